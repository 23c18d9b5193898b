"""First half against second half, against scipy's Welch interval."""

from __future__ import annotations

import pytest
from scipy import stats

from logbook.rules.halves import halves_of

BEFORE = [9.0, 7.5, 8.0, 6.0, 9.5, 7.0]
AFTER = [4.0, 3.5, 5.0, 2.0, 4.5, 3.0]


def test_the_difference_and_its_interval_are_welchs():
    found = halves_of([*BEFORE, *AFTER])
    reference = stats.ttest_ind(AFTER, BEFORE, equal_var=False).confidence_interval(0.9)
    assert found.difference.low == pytest.approx(reference.low)
    assert found.difference.high == pytest.approx(reference.high)
    assert found.state == "lower"


def test_each_half_has_its_own_interval_and_count():
    first = halves_of([*BEFORE, *AFTER]).first
    low, high = stats.t.interval(0.9, 5, loc=sum(BEFORE) / 6, scale=stats.sem(BEFORE))
    assert (first.n, first.low, first.high) == (6, pytest.approx(low), pytest.approx(high))


def test_with_fewer_than_five_in_a_half_nothing_is_claimed():
    found = halves_of([9.0, 9.0, 9.0, 9.0, 1.0, 1.0, 1.0, 1.0])
    assert found.state == "too few"
    assert found.difference.mid is None
    assert found.first.n == 4
    assert halves_of([]).state == "too few"


def test_the_middle_of_an_odd_row_is_left_out():
    assert halves_of([*BEFORE, 100.0, *AFTER]) == halves_of([*BEFORE, *AFTER])


def test_no_difference_is_claimed_where_the_interval_holds_zero():
    assert halves_of([5.0, 6.0, 7.0, 8.0, 9.0, 5.1, 6.2, 6.8, 8.1, 8.9]).state == "no difference can be told"


def test_values_that_never_change_make_no_trouble():
    assert halves_of([3.0] * 12).state == "no difference can be told"
