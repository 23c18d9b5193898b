"""Counting by depth, against ASTM E1049-85 and the library `rainflow`."""

from itertools import pairwise

import pytest
import rainflow as library
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.rainflow import DepthSums, add_depths, by_depth, count_cycles, depths_of, turning_points

# ASTM E1049-85 (2017), section 5.4.4, example (read second-hand: the library's own tests quote it).
STANDARD_EXAMPLE = [-2, 1, -3, 5, -1, 3, -4, 4, -2]
STANDARD_RESULT = {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}

charges = st.lists(st.integers(0, 100), max_size=60)
real_values = st.lists(st.floats(-1000, 1000, allow_subnormal=False), max_size=40)


def half_variation(series: list[float]) -> float:
    return sum(abs(b - a) for a, b in pairwise(series)) / 2


def test_the_example_of_the_standard_is_reproduced() -> None:
    assert count_cycles(STANDARD_EXAMPLE) == STANDARD_RESULT


def test_plateaus_and_points_on_the_way_change_nothing() -> None:
    doubled = [value for value in STANDARD_EXAMPLE for _ in range(2)]
    between = [x for a, b in pairwise(STANDARD_EXAMPLE) for x in (a, (a + b) / 2, b)]
    assert count_cycles(doubled) == count_cycles(between) == STANDARD_RESULT


@pytest.mark.parametrize(
    ("series", "counts"),  # computed here by hand from the rule
    [
        ([100, 0, 100], {100: 1.0}),
        ([100, 50, 100, 50, 100], {50: 2.0}),
        ([100, 60, 90, 40, 100, 30, 100], {30: 1.0, 60: 1.0, 70: 1.0}),
        ([100, 70, 80, 35, 100], {10: 1.0, 65: 1.0}),
        ([100, 50, 30], {70: 0.5}),
        ([100, 30], {70: 0.5}),
    ],
)
def test_charges_of_a_pack_are_counted_by_their_depth(
    series: list[float], counts: dict[float, float]
) -> None:
    assert count_cycles(series) == counts


@pytest.mark.parametrize("series", [[], [80], [80, 80], [80, 80, 80, 80]])
def test_a_charge_that_never_changes_holds_no_cycle(series: list[float]) -> None:
    assert count_cycles(series) == {}
    assert sum(by_depth(series)) == 0


@given(charges)
def test_the_library_counts_the_same(series: list[int]) -> None:
    # The library has no answer for one single range, and calls an unchanging series half a cycle of 0.
    if len(turning_points(series)) > 2:
        assert list(count_cycles(series).items()) == library.count_cycles(series)


@given(real_values)
def test_ranges_times_counts_are_half_the_way_travelled(series: list[float]) -> None:
    weighted = sum(depth * times for depth, times in count_cycles(series).items())
    assert weighted == pytest.approx(half_variation(series), rel=1e-9, abs=1e-9)


@given(charges)
def test_the_bins_hold_every_cycle_once(series: list[int]) -> None:
    assert sum(by_depth(series)) == sum(count_cycles(series).values())


@given(st.lists(charges, max_size=6))
def test_a_count_that_goes_on_is_the_count_of_the_whole(parts: list[list[int]]) -> None:
    sums = DepthSums((0.0,) * 10)
    for part in parts:
        sums = add_depths(sums, part)
    whole: dict[int, float] = {}
    for depth, times in count_cycles([value for part in parts for value in part]).items():
        whole[max(-(-int(depth) // 10), 1)] = whole.get(max(-(-int(depth) // 10), 1), 0.0) + times
    assert depths_of(sums) == tuple(whole.get(place, 0.0) for place in range(1, 11))


def test_a_depth_on_an_edge_belongs_to_the_shallower_bin() -> None:
    assert by_depth([100, 70, 100])[2] == 1.0
    assert by_depth([100, 69, 100])[3] == 1.0
    assert by_depth([0.3, 0.1 + 0.2 + 10, 0.3])[0] == 1.0
    assert by_depth([100, 0, 100])[9] == 1.0


@given(charges, st.integers(1, 5))
def test_flying_the_same_again_adds_its_whole_cycles(series: list[int], times: int) -> None:
    closed = [*series, *series[:1]]
    once, often = count_cycles(closed), count_cycles(closed + closed[1:] * (times - 1))
    assert sum(d * c for d, c in often.items()) == pytest.approx(times * sum(d * c for d, c in once.items()))
