"""Energy from power over time, by figures that can be worked out by hand."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.integral import PowerIntegral


def summed(rows, longest_s=5.0, end=None):
    total = PowerIntegral(longest_s)
    for at, kw in rows:
        total.add(at, kw)
    total.end(rows[-1][0] if end is None else end)
    return total


def test_twenty_kilowatt_for_half_an_hour_are_ten_kilowatt_hours():
    total = summed([(t, 20.0) for t in range(1801)])
    assert total.out_kwh == pytest.approx(10)
    assert (total.back_kwh, total.missing_s, total.covered_s, total.peak_kw) == (0, 0, 1800, 20)


def test_a_triangle_is_half_of_base_times_height():
    total = summed([(t, 60 - abs(t - 60)) for t in range(121)])
    assert total.out_kwh == pytest.approx(60 * 120 / 2 / 3600)
    assert total.peak_kw == 60


def test_energy_taken_back_is_counted_apart_even_between_two_rows():
    total = summed([(0, 10.0), (4, -10.0)])
    assert total.out_kwh == pytest.approx(10 * 2 / 2 / 3600)
    assert total.back_kwh == pytest.approx(10 * 2 / 2 / 3600)


def test_a_gap_is_not_filled_but_counted():
    total = summed([(0, 36.0), (5, 36.0), (15, 36.0), (20, 36.0)])
    assert total.out_kwh == pytest.approx(0.1)
    assert (total.missing_s, total.gaps, total.covered_s) == (10, 1, 10)


def test_rows_without_power_are_bridged_up_to_the_limit_and_a_gap_beyond_it():
    short = summed([(0, 36.0), (2, None), (4, 36.0)])
    assert (short.out_kwh, short.missing_s) == (pytest.approx(0.04), 0)
    long = summed([(0, 36.0), *((t, None) for t in range(1, 9)), (9, 36.0)])
    assert (long.out_kwh, long.missing_s) == (0, 9)


def test_power_that_is_not_known_at_the_beginning_or_the_end_is_a_gap():
    assert summed([(0, None), (8, 1.0), (9, 1.0)]).missing_s == 8
    assert summed([(0, 1.0), (1, 1.0), (9, None)], end=9).missing_s == 8
    assert summed([(0, None), (60, None)], end=60).missing_s == 60


steps = st.lists(st.tuples(st.floats(0.1, 20), st.floats(-50, 80)), min_size=3, max_size=40)


@given(steps, st.data())
def test_a_recording_cut_in_two_at_a_row_adds_up(told, data):
    at, rows = 0.0, []
    for step, kw in told:
        at += step
        rows.append((at, kw))
    cut = data.draw(st.integers(1, len(rows) - 2))
    whole, first, second = summed(rows), summed(rows[: cut + 1]), summed(rows[cut:])
    for name in ("out_kwh", "back_kwh", "covered_s", "missing_s"):
        assert getattr(first, name) + getattr(second, name) == pytest.approx(getattr(whole, name)), name
    assert whole.covered_s + whole.missing_s == pytest.approx(rows[-1][0] - rows[0][0])


@given(st.integers(0, 10_000))
def test_jitter_of_the_clock_changes_little(seed):
    jitter = Random(seed)  # noqa: S311 - noise of a test
    times = [t + jitter.uniform(-0.4, 0.4) for t in range(601)]
    ragged = summed([(t, 20 + 10 * t / 600) for t in times])
    assert ragged.out_kwh == pytest.approx(25 * 600 / 3600, rel=0.003)
    assert ragged.missing_s == 0
