"""A form that scrolls: the field with the keyboard stays in sight, whatever takes room from it and in whatever order."""

from collections.abc import Iterable

from textual import events
from textual.app import App, ComposeResult
from textual.widget import Widget
from textual.widgets import Input, Static

from logbook.ui.widgets.field_scroll import FieldScroll

FIELDS = 30


class _Form(App[None]):
    """A heading, fields of one row, and below them what explains the field one is in: as high as it is told to be."""

    CSS = "Input { height: 1; border: none; } #explained { height: 1; }"

    def compose(self) -> ComposeResult:
        with FieldScroll(can_focus=False):
            yield Static("Heading", id="heading")
            for number in range(FIELDS):
                yield Input(id=f"field-{number}")
        yield Static("", id="explained")


def _in_sight(field: Widget) -> bool:
    fields = field.screen.query_one(FieldScroll)
    return fields.region.contains_region(field.region)


async def test_a_field_at_the_edge_stays_in_sight_when_its_explanation_takes_rows() -> None:
    async with _Form().run_test(size=(40, 12)) as pilot:
        field = pilot.app.query_one("#field-9", Input)
        field.focus()
        await pilot.pause()
        for rows in (5, 2, 9):
            pilot.app.query_one("#explained").styles.height = rows
            await pilot.pause()
            assert _in_sight(field), rows


async def test_every_field_is_in_sight_while_explanations_come_and_go() -> None:
    async with _Form().run_test(size=(40, 12)) as pilot:
        for number in (*range(FIELDS), *reversed(range(FIELDS))):
            field = pilot.app.query_one(f"#field-{number}", Input)
            field.focus()
            pilot.app.query_one("#explained").styles.height = 1 + number % 3
            await pilot.pause()
            assert _in_sight(field), number


async def test_a_scroll_is_done_at_once_so_that_none_comes_late_from_an_older_layout() -> None:
    async with _Form().run_test(size=(40, 12)) as pilot:
        fields, last = pilot.app.query_one(FieldScroll), pilot.app.query_one(f"#field-{FIELDS - 1}", Input)
        pilot.app.screen.scroll_to_widget(last)
        assert fields.scroll_offset.y == fields.max_scroll_y > 0


async def test_a_heading_goes_to_the_top_only_as_far_as_its_field_stays_in_sight() -> None:
    async with _Form().run_test(size=(40, 12)) as pilot:
        fields, heading = pilot.app.query_one(FieldScroll), pilot.app.query_one("#heading")
        for number, top in ((3, 0), (20, 11)):  # the room has 11 rows; field 20 is the 22nd row below the top
            field = pilot.app.query_one(f"#field-{number}", Input)
            field.focus()
            await pilot.pause()
            fields.begin_at(heading, field)
            await pilot.pause()
            assert fields.scroll_offset.y == top
            assert _in_sight(field)


async def test_the_wheel_may_turn_away_until_the_room_changes() -> None:
    async with _Form().run_test(size=(40, 12)) as pilot:
        fields, field = pilot.app.query_one(FieldScroll), pilot.app.query_one("#field-0", Input)
        field.focus()
        await pilot.pause()
        for turn in _wheel(fields, 6):
            fields.post_message(turn)
        await pilot.pause()
        assert not _in_sight(field)
        await pilot.resize_terminal(40, 10)
        await pilot.pause()
        assert _in_sight(field)


def _wheel(over: Widget, turns: int) -> Iterable[events.MouseScrollDown]:
    for _ in range(turns):
        yield events.MouseScrollDown(over, 1, 1, 0, 1, 0, False, False, False)
