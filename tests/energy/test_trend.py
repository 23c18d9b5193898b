"""The slope of a line and its interval, beside an implementation that is not ours."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from logbook.energy.trend import slope

READ = [(0.0, 31.0), (0.5, 29.0), (1.0, 35.0), (1.5, 35.0), (1.7, 35.0)]


def test_slope_and_interval_are_those_of_scipy() -> None:
    x, y = zip(*READ, strict=True)
    ours, theirs = slope(x, y), stats.linregress(x, y)
    width = stats.t.ppf(0.95, len(x) - 2) * theirs.stderr
    assert ours is not None
    assert ours[:3] == pytest.approx((theirs.slope - width, theirs.slope, theirs.slope + width), rel=1e-9)
    assert (ours.n, ours.how) == (5, "line through 5 readings")


@given(
    st.lists(st.tuples(st.integers(0, 400), st.integers(-500, 500)), min_size=3, max_size=12),
)
def test_any_readings_agree_with_scipy(read: list[tuple[int, int]]) -> None:
    x, y = [one[0] / 10 for one in read], [one[1] / 10 for one in read]
    ours = slope(x, y)
    if min(x) == max(x):
        assert ours is None
        return
    if min(y) == max(y):
        assert ours is not None
        assert ours[:3] == pytest.approx((0, 0, 0), abs=1e-9)
        return
    theirs = stats.linregress(x, y)
    width = float(stats.t.ppf(0.95, len(x) - 2) * theirs.stderr)
    assert ours is not None
    assert ours.mid == pytest.approx(theirs.slope, rel=1e-6, abs=1e-9)
    assert ours.high - ours.mid == pytest.approx(width, rel=1e-5, abs=1e-6)


@pytest.mark.parametrize("read", [[], READ[:2], [(1.0, 3.0)] * 4])
def test_too_few_or_all_at_once_give_no_slope(read: list[tuple[float, float]]) -> None:
    assert slope([one[0] for one in read], [one[1] for one in read]) is None


def test_readings_on_a_line_are_no_better_known_than_their_rounding_allows() -> None:
    ours = slope([0.0, 0.5, 1.0], [30.0, 31.0, 32.0], least_sd=0.41)
    assert ours is not None
    assert ours.mid == pytest.approx(2.0)
    assert ours.high - ours.mid == pytest.approx(stats.t.ppf(0.95, 1) * 0.41 / 0.5**0.5)
