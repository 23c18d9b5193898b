"""The slope of a line and its interval, beside an implementation that is not ours."""

from __future__ import annotations

from collections.abc import Callable
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats
from statsmodels.api import OLS, add_constant

from logbook.energy.trend import line_through, slope

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


# -- when a limit is met ---------------------------------------------------------------------------------------------


STEADY = [(0.0, 31.0), (0.5, 33.5), (1.0, 35.0), (1.5, 38.1), (1.7, 38.6)]


def interval_at(x: float, read: list[tuple[float, float]]) -> tuple[float, float]:
    """The interval of a single reading at x, nine times in ten, by statsmodels."""
    xs, ys = zip(*read, strict=True)
    fitted = OLS(list(ys), add_constant(list(xs))).fit()
    low, high = fitted.get_prediction([[1.0, x]]).conf_int(obs=True, alpha=0.1)[0]
    return float(low), float(high)


def test_a_limit_is_met_where_the_interval_of_a_reading_by_statsmodels_meets_it() -> None:
    line = line_through(*zip(*STEADY, strict=True))
    assert line is not None
    met = line.meets(60, now=2.0)
    assert 2.0 < met.low < met.mid < met.high < 1000
    assert interval_at(met.low, STEADY)[1] == pytest.approx(60)
    assert interval_at(met.high, STEADY)[0] == pytest.approx(60)
    assert sum(interval_at(met.mid, STEADY)) / 2 == pytest.approx(60)
    assert (met.n, met.how) == (5, "line through 5 readings")


def test_a_line_of_uncertain_slope_may_never_meet_the_limit_and_a_falling_one_is_not_expected_to() -> None:
    unsure = line_through([0.0, 1.0, 2.0], [30.0, 34.0, 32.0])
    assert unsure is not None
    met = unsure.meets(80, now=3.0)
    assert met.low < met.mid < inf
    assert met.high == inf
    falling = line_through([0.0, 1.0, 2.0, 3.0], [40.0, 38.2, 36.1, 33.9])
    assert falling is not None
    assert falling.meets(80, now=4.0)[:3] == (inf, inf, inf)


def test_what_is_reached_already_is_reached_now() -> None:
    line = line_through(*zip(*STEADY, strict=True))
    assert line is not None
    assert line.meets(20, now=2.0)[:3] == (2.0, 2.0, 2.0)
    soon = line.meets(40.2, now=2.0)
    assert soon.low == 2.0 < soon.mid < soon.high


def test_readings_without_scatter_meet_it_at_one_moment() -> None:
    line = line_through([0.0, 1.0, 2.0], [1.0, 2.0, 3.0])
    assert line is not None
    assert line.meets(11, now=2.0)[:3] == pytest.approx((10, 10, 10))


@given(
    st.lists(st.integers(-400, 400), min_size=3, max_size=10),
    st.integers(-50, 3000),
    st.integers(0, 30),
)
def test_the_ends_are_in_order_and_each_is_the_first_crossing(
    read: list[int], limit: int, later: int
) -> None:
    x, y = [float(n) for n in range(len(read))], [value / 10 for value in read]
    line = line_through(x, y, least_sd=0.4)
    assert line is not None
    now = x[-1] + later / 10
    met = line.meets(float(limit), now)
    assert now <= met.low <= met.mid <= met.high

    def over(side: int) -> Callable[[float], float]:
        half = line.reach
        return lambda at: (
            line.level + line.slope * (at - line.around)
            + side * half * (1 + 1 / line.n + (at - line.around) ** 2 / line.spread) ** 0.5
            - limit
        )  # fmt: skip

    for side, end in ((1, met.low), (-1, met.high)):
        signed = over(side)
        if end == now:
            assert signed(now) >= -1e-6
            continue
        ahead = [now + (min(end, now + 500) - now) * step / 50 for step in range(50)]
        assert max(map(signed, ahead)) < 1e-6  # not before
        if end < now + 1e4:
            assert optimize.brentq(signed, now, end + 1e-3 + 1e-6 * abs(end)) == pytest.approx(end, abs=1e-3)
