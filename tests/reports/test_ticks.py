"""Axes are marked at round numbers and at the beginnings of days, months and years."""

from datetime import date
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from logbook.reports.ticks import date_ticks, date_words, number_ticks, spread

NUMBERS = st.floats(-1e6, 1e6, allow_nan=False)
MOST = st.integers(1, 15)


def words(ticks) -> list[str]:
    return [tick.words for tick in ticks]


@pytest.mark.parametrize(
    ("low", "high", "most", "expected"),
    [
        (0, 100, 6, ["0", "20", "40", "60", "80", "100"]),
        (8.9, 10.1, 4, ["9.0", "9.5", "10.0"]),
        (0.31, 0.46, 4, ["0.35", "0.40", "0.45"]),
        (-10, 45, 7, ["-10", "0", "10", "20", "30", "40"]),
        (0, 10, 5, ["0.0", "2.5", "5.0", "7.5", "10.0"]),
        (5, 5, 4, ["5"]),
    ],
)
def test_numbers_are_round(low: float, high: float, most: int, expected: list[str]) -> None:
    assert words(number_ticks(low, high, most)) == expected


@given(NUMBERS, st.floats(1e-6, 1e6), MOST)
def test_number_ticks_lie_inside_rise_evenly_and_are_never_too_many(
    low: float, span: float, most: int
) -> None:
    high = low + span
    assume(span > abs(low) * 1e-6)  # else the axis is finer than the numbers on it
    ticks = number_ticks(low, high, most)
    assert len(ticks) <= most
    slack = span * 1e-6
    assert all(low - slack <= tick.at <= high + slack for tick in ticks)
    steps = [after.at - before.at for before, after in pairwise(ticks)]
    assert all(step == pytest.approx(steps[0], rel=1e-6) for step in steps)


@given(NUMBERS, st.floats(1e-3, 1e6), MOST)
def test_what_is_written_at_a_tick_is_its_value(low: float, span: float, most: int) -> None:
    assume(span > abs(low) * 1e-6)
    for tick in number_ticks(low, low + span, most):
        assert float(tick.words) == pytest.approx(tick.at, abs=span * 1e-3)


@pytest.mark.parametrize(
    ("low", "high", "most", "expected"),
    [
        (
            date(2031, 5, 1),
            date(2031, 5, 8),
            8,
            ["1 May", "2 May", "3 May", "4 May", "5 May", "6 May", "7 May", "8 May"],
        ),
        (date(2031, 5, 1), date(2031, 5, 30), 5, ["1 May", "8 May", "15 May", "22 May", "29 May"]),
        (
            date(2030, 11, 20),
            date(2031, 5, 3),
            6,
            ["Dec 2030", "Jan 2031", "Feb 2031", "Mar 2031", "Apr 2031", "May 2031"],
        ),
        (date(2028, 3, 1), date(2033, 3, 1), 5, ["2029", "2030", "2031", "2032", "2033"]),
        (date(2028, 3, 1), date(2033, 3, 1), 3, ["2030", "2032"]),
    ],
)
def test_dates_fall_on_beginnings(low: date, high: date, most: int, expected: list[str]) -> None:
    assert words(date_ticks(low.toordinal(), high.toordinal(), most)) == expected


@given(st.dates(date(1950, 1, 1), date(2100, 1, 1)), st.integers(1, 40000), MOST)
def test_date_ticks_lie_inside_and_are_never_too_many(first: date, days: int, most: int) -> None:
    low = first.toordinal()
    ticks = date_ticks(low, low + days, most)
    assert len(ticks) <= most
    assert all(low <= tick.at <= low + days for tick in ticks)
    assert len({tick.words for tick in ticks}) == len(ticks)


def test_a_day_number_is_said_in_full() -> None:
    assert date_words(date(2031, 5, 9).toordinal()) == "9 May 2031"
    assert date_words(date(2031, 5, 9).toordinal() + 8.5 / 24) == "9 May 2031 08:30"


@given(st.lists(st.integers(0, 50), max_size=8).map(sorted), st.integers(1, 3))
def test_labels_never_cover_each_other_where_there_is_room(wanted: list[int], height: int) -> None:
    placed = spread(wanted, height, 0, 50)
    assert all(0 <= at <= 50 for at in placed)
    assert all(after - before >= height for before, after in pairwise(placed))
