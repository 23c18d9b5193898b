"""However fast keys come, as over a slow line, each one works where the one before has left the keyboard."""

import asyncio

from textual import events

from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Understood

NAMES = {"\r": "enter", "=": "equals_sign", "-": "minus"}


def burst(app, text: str) -> None:
    """Keys that arrive all at once."""
    for letter in text:
        app.post_message(events.Key(NAMES.get(letter, letter), letter))


def field(label: str, expected: str = "") -> ReadingField:
    return ReadingField(label, parse=Understood, expected=expected, goes_on=True)


async def settled(pilot, condition) -> None:
    async with asyncio.timeout(20):
        while not condition():
            await pilot.pause(0.01)


async def test_figures_typed_ahead_go_into_the_field_they_were_meant_for(show) -> None:
    app = show(lambda: [field("one"), field("two", "91"), field("three"), field("four")])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        burst(app, "98\r=18\r55")
        boxes = list(app.query(ReadingField))
        await settled(pilot, lambda: boxes[3].text == "55")
        assert [box.text for box in boxes] == ["98", "91", "18", "55"]


async def test_a_screen_in_the_making_gets_the_keys_that_were_typed_ahead(show) -> None:
    app = show(lambda: [field("one")])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.screen.busy = True
        burst(app, "12")
        await asyncio.sleep(0.3)
        box = app.query_one(ReadingField)
        assert box.text == "1"  # the second waits
        app.screen.busy = False
        await settled(pilot, lambda: box.text == "12")


async def test_a_key_whose_widget_is_gone_holds_up_nothing(show) -> None:
    app = show(lambda: [field("one"), field("two")])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        first, second = app.query(ReadingField)
        burst(app, "1")
        await first.remove()
        second.focus()
        burst(app, "23")
        await settled(pilot, lambda: second.text.endswith("23"))
