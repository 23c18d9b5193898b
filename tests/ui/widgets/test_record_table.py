"""A table of any length keeps its place, reads only what is seen, and shows text as text."""

from array import array
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import FileTrouble
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.record_pages import PAGE, PAGES_KEPT, RecordPages
from logbook.ui.widgets.record_table import GONE, RecordTable
from tests.ui.screen_text import screen_text


class Row(NamedTuple):
    number: int
    words: str = ""
    flagged: bool = False


class Rows:
    """Makes a row for every id, and counts how often it is asked."""

    def __init__(self, **special: Row) -> None:
        self.asked: list[int] = []
        self.special = {int(key[1:]): row for key, row in special.items()}
        self.gone: set[int] = set()
        self.broken = False

    def rows(self, ids: Sequence[int]) -> Mapping[int, Row]:
        if self.broken:
            raise FileTrouble("The book is locked.", next_step="Close the other program.")
        self.asked.extend(ids)
        return {n: self.special.get(n, Row(n, f"row {n}")) for n in ids if n not in self.gone}


COLUMNS = [
    Column("number", "No", lambda row: str(row.number), 7, right=True),
    Column("words", "Words", lambda row: row.words, 12, most=60),
    Column("extra", "Extra", lambda _: "extra", 30, priority=5),
]


class Kept(RecordTable[Row]):
    """Keeps the messages it posts."""

    def __init__(self) -> None:
        super().__init__(COLUMNS, sign=lambda row: ("!", "warning") if row.flagged else ("", ""), id="table")
        self.posted: list = []

    def post_message(self, message) -> bool:
        if type(message).__qualname__.startswith("RecordTable."):
            self.posted.append(message)
        return super().post_message(message)

    def opened(self) -> list[int]:
        return [message.record for message in self.posted if isinstance(message, self.Selected)]


def first_line(app) -> str:
    return screen_text(app).splitlines()[1]


async def test_the_first_row_can_be_opened_without_a_click(show) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 24)) as pilot:
        table = app.query_one(Kept)
        table.show(Rows(), [30, 10, 20])
        await pilot.press("down", "enter")
    assert table.opened() == [10]


async def test_keys_reach_the_first_the_last_and_the_pages_between(show) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 11)) as pilot:
        table = app.query_one(Kept)
        table.show(Rows(), range(1000, 1100))
        await pilot.press("end")
        assert table.record == 1099
        assert "row 1099" in screen_text(app).splitlines()[10]
        await pilot.press("home", "pagedown")
        assert table.record == 1010
        await pilot.press("pageup", "up")
        assert table.record == 1000


async def test_a_million_rows_read_a_few_pages_only(show) -> None:
    rows = Rows()
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 24)) as pilot:
        app.query_one(Kept).show(rows, array("q", range(1_000_000)))
        await pilot.press("end", "home")
        assert "row 0" in first_line(app)
    assert len(rows.asked) <= 4 * PAGE


async def test_the_cursor_stays_on_its_record_when_the_order_changes(show) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 24)) as pilot:
        table = app.query_one(Kept)
        table.show(Rows(), range(100))
        await pilot.press(*["down"] * 3)
        table.set_ids(list(reversed(range(100))))
        await pilot.pause()
        assert table.record == 3
        assert table.cursor == 96
        assert "▸        3  row 3" in screen_text(app)


async def test_a_record_that_left_gives_its_place_to_the_next(show) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 24)) as pilot:
        table = app.query_one(Kept)
        table.show(Rows(), [1, 2, 3])
        await pilot.press("down")
        table.set_ids([1, 3])
        assert table.record == 3
        table.set_ids([])
        assert table.record is None
        await pilot.press("enter")
        assert table.opened() == []
        table.set_ids([7])
        assert table.record == 7


async def test_the_first_page_is_there_while_the_rest_is_still_being_read(show) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 24)) as pilot:
        table = app.query_one(Kept)
        table.show(Rows(), range(5), complete=False)
        await pilot.press("down", "down")
        assert "more rows are being read" in screen_text(app)
        table.set_ids(array("q", range(300_000)))
        await pilot.pause()
        assert table.record == 2
        assert "more rows are being read" not in screen_text(app)


async def test_less_important_columns_leave_whole(show) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=(50, 8)) as pilot:
        table = app.query_one(Kept)
        table.show(Rows(), [1])
        await pilot.pause()
        assert table.shown_columns == ["number", "words"]
        assert "Ext" not in screen_text(app)
        await pilot.resize_terminal(100, 8)
        await pilot.pause()
        assert table.shown_columns == ["number", "words", "extra"]


async def test_a_marked_row_is_marked_by_a_sign(show) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=(50, 8)) as pilot:
        app.query_one(Kept).show(Rows(_2=Row(2, "low charge", flagged=True)), [1, 2])
        await pilot.pause()
        lines = screen_text(app).splitlines()
    assert lines[1].startswith("▸ ")
    assert lines[2].startswith(" !")


async def test_plain_signs_where_the_font_has_no_others(show) -> None:
    app = show(lambda: [Kept()], ascii_only=True)
    async with app.run_test(size=(50, 8)) as pilot:
        app.query_one(Kept).show(Rows(), [1, 2])
        await pilot.pause()
        assert screen_text(app).isascii()


async def test_wide_letters_and_hidden_characters_keep_the_columns_straight(show) -> None:
    rows = Rows(_1=Row(1, "電池 hot"), _2=Row(2, "[b]\x1b[2J\u202e"))
    app = show(lambda: [Kept()])
    async with app.run_test(size=(100, 8)) as pilot:
        app.query_one(Kept).show(rows, [1, 2, 3])
        await pilot.pause()
        strips = app.screen._compositor.render_strips()
        lines = screen_text(app).splitlines()
    assert {strip.cell_length for strip in strips} == {100}
    assert "[b]\\x1b[2J\\u202e" in lines[2]
    assert lines[2].index("extra") == lines[3].index("extra") == lines[1].index("extra") + 2


async def test_a_record_that_is_gone_is_said_and_the_table_goes_on(show) -> None:
    rows = Rows()
    rows.gone = {2}
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 8)) as pilot:
        app.query_one(Kept).show(rows, [1, 2, 3])
        await pilot.pause()
        assert GONE in screen_text(app)
        assert "row 3" in screen_text(app)


async def test_trouble_with_the_file_is_told_once_and_is_no_crash(show) -> None:
    rows = Rows()
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 8)) as pilot:
        table = app.query_one(Kept)
        table.show(rows, [1, 2, 3])
        await pilot.pause()
        rows.broken = True
        table.reload()
        await pilot.pause()
        assert "cannot be read now" in screen_text(app)
        assert [type(message) for message in table.posted].count(RecordTable.Trouble) == 1
        rows.broken = False
        table.reload()
        await pilot.pause()
        assert "row 1" in screen_text(app)


async def test_an_empty_table_says_what_to_do(show) -> None:
    app = show(lambda: [RecordTable(COLUMNS, empty="No flight yet. Press l to log one.")])
    async with app.run_test(size=(80, 8)) as pilot:
        await pilot.press("down", "end", "enter")
        assert "No flight yet. Press l to log one." in screen_text(app)


async def test_the_mouse_moves_opens_and_sorts(show) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=(80, 8)) as pilot:
        table = app.query_one(Kept)
        table.show(Rows(), [1, 2, 3])
        await pilot.click(table, offset=(5, 3))
        assert table.record == 3
        assert table.opened() == []
        await pilot.click(table, offset=(5, 3))
        assert table.opened() == [3]
        await pilot.click(table, offset=(14, 0))
    assert [m.key for m in table.posted if isinstance(m, RecordTable.HeaderClicked)] == ["words"]


async def test_the_last_figure_does_not_touch_the_scrollbar(show) -> None:
    columns = [
        Column("a", "A", lambda _: "first", 6, most=200),
        Column("b", "B", lambda _: "12345", 5, right=True),
    ]
    app = show(lambda: [RecordTable(columns)])
    async with app.run_test(size=(40, 10)) as pilot:
        app.query_one(RecordTable).show(Rows(), range(100))
        await pilot.pause()
        lines = [line.ljust(40) for line in screen_text(app).splitlines()]
    assert {line[33:39] for line in lines[1:]} == {"12345 "}


@pytest.mark.parametrize("size", [(80, 24), (140, 40), (60, 20), (10, 4)])
async def test_any_size_can_be_painted(show, size: tuple[int, int]) -> None:
    app = show(lambda: [Kept()])
    async with app.run_test(size=size) as pilot:
        app.query_one(Kept).show(Rows(), range(200))
        await pilot.press("end")
        assert {strip.cell_length for strip in app.screen._compositor.render_strips()} == {size[0]}


@given(st.lists(st.integers(0, 5000), unique=True, min_size=1, max_size=300), st.data())
def test_a_row_is_always_the_row_of_its_id(ids: list[int], data: st.DataObject) -> None:
    pages = RecordPages(Rows(), ids)
    for index in data.draw(st.lists(st.integers(0, len(ids) - 1), max_size=30)):
        assert pages.row(index).number == ids[index]
        assert pages.index_of(ids[index], data.draw(st.integers(0, len(ids)))) == index


def test_only_so_many_pages_are_kept() -> None:
    rows = Rows()
    pages = RecordPages(rows, range(PAGE * (PAGES_KEPT + 1)))
    for page in range(PAGES_KEPT + 1):
        pages.row(page * PAGE)
    before = len(rows.asked)
    pages.row(PAGES_KEPT * PAGE)
    assert len(rows.asked) == before  # used last: kept
    pages.row(0)
    assert len(rows.asked) == before + PAGE  # used longest ago: read again
