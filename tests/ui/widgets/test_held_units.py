"""A figure keeps its unit on its line, in lines broken by us and in blocks of text."""

import pytest

from logbook.ui.widgets.head_line import HeadLine
from logbook.ui.widgets.plain import PlainText, wrap
from tests.ui.screen_text import screen_text

WORDS = "0:37 h block · landed with 39 % · 18 min left at 30.2 kW · 3 °C and 120 points"
UNITS = ("%", "h", "min", "kW", "°C", "points")


@pytest.mark.parametrize("width", range(10, 80))
def test_no_line_begins_with_a_unit(width: int) -> None:
    lines = wrap(WORDS, width)
    assert " ".join(lines) == WORDS
    assert not [line for line in lines if line.split(" ")[0] in UNITS]


def test_a_word_that_only_begins_like_a_unit_goes_on_the_next_line() -> None:
    assert wrap("of 12 hours", 6) == ["of 12", "hours"]


@pytest.mark.parametrize("width", [24, 30, 37, 60])
async def test_a_block_of_text_grows_by_the_line_it_needs(show, width: int) -> None:
    class Block(PlainText):
        DEFAULT_CSS = "Block { height: auto; }"

    app = show(lambda: [Block(WORDS)])
    async with app.run_test(size=(width, 12)) as pilot:
        await pilot.pause()
        lines = [line for line in screen_text(app).splitlines() if line]
        assert " ".join(lines) == WORDS
        assert not [line for line in lines if line.split(" ")[0] in UNITS]
        await pilot.resize_terminal(width + 9, 12)
        await pilot.pause()
        lines = [line for line in screen_text(app).splitlines() if line]
        assert lines == wrap(WORDS, width + 9)


async def test_a_clock_that_does_not_fit_leaves_with_its_zone(show) -> None:
    line = HeadLine("")
    app = show(lambda: [line])
    async with app.run_test(size=(40, 2)) as pilot:
        line.show("Log a flight of ZZ-OHM, 2026-11-28", "2026-11-28 01:31 UTC")
        await pilot.pause()
        assert screen_text(app).splitlines()[0].strip() == "Log a flight of ZZ-OHM, 2026-11-28"
