"""Columns leave whole and in their order; those that stay use the room."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from logbook.ui.widgets.columns import GAP, Column, place

COLUMNS = [
    Column("date", "Date", str, 10),
    Column("from", "From", str, 6, most=20, priority=2),
    Column("to", "To", str, 6, most=20, priority=2),
    Column("time", "Time", str, 5, right=True),
    Column("temp", "Temp", str, 5, right=True, priority=4),
    Column("remarks", "Remarks", str, 10, most=60, priority=3),
]


def keys(room: int) -> list[str]:
    return [placed.column.key for placed in place(COLUMNS, room)]


def test_columns_leave_in_the_order_of_their_priority() -> None:
    assert keys(60) == ["date", "from", "to", "time", "temp", "remarks"]
    assert keys(51) == ["date", "from", "to", "time", "remarks"]
    assert keys(40) == ["date", "from", "to", "time"]
    assert keys(30) == ["date", "from", "time"]
    assert keys(20) == ["date", "time"]


def test_the_room_of_a_wide_terminal_is_used() -> None:
    placed = place(COLUMNS, 120)
    assert placed[-1].start + placed[-1].width == 120
    assert next(p for p in placed if p.column.key == "remarks").width > 30


def test_columns_that_always_stay_become_narrow_only_at_the_very_end() -> None:
    (date, time) = place(COLUMNS, 15)
    assert (date.width, time.width) == (10, 3)


COLUMN = st.builds(
    lambda width, grow, priority: Column("k", "t", str, width, most=width + grow, priority=priority),
    st.integers(1, 20),
    st.integers(0, 40),
    st.integers(0, 5),
)


@given(st.lists(COLUMN, max_size=12), st.integers(0, 200))
def test_columns_stay_inside_and_apart(columns: list[Column], room: int) -> None:
    placed = place(columns, room)
    for before, after in pairwise(placed):
        assert after.start == before.start + before.width + GAP
    if placed:
        assert placed[-1].start + placed[-1].width <= room


@given(st.lists(COLUMN, max_size=12), st.integers(1, 100), st.integers(0, 100))
def test_more_room_never_shows_fewer_columns(columns: list[Column], room: int, more: int) -> None:
    assert len(place(columns, room)) <= len(place(columns, room + more))
