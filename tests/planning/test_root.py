import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.planning.root import crossing, most_whole


def counted(function):
    calls = []

    def wrapper(amount):
        calls.append(amount)
        return function(amount)

    return wrapper, calls


def test_a_straight_margin_is_met_in_a_handful_of_steps_on_the_safe_side():
    margin, calls = counted(lambda x: 0.7 * x - 31.0)
    found = crossing(margin, 0, 100, tolerance=0.01)
    assert found is not None
    assert 31 / 0.7 <= found <= 31 / 0.7 + 0.01
    assert len(calls) <= 6


@given(
    root=st.floats(0.5, 99.5),
    bend=st.floats(0.2, 5),
    rising=st.booleans(),
)
def test_the_answer_is_within_tolerance_and_never_on_the_wrong_side(root, bend, rising):
    sign = 1 if rising else -1

    def margin(x):
        return sign * (math.pow(x, bend) - math.pow(root, bend))

    margin_counted, calls = counted(margin)
    found = crossing(margin_counted, 0, 100, tolerance=0.01)
    assert found is not None
    assert margin(found) >= 0
    assert abs(found - root) <= 0.0101
    assert len(calls) <= 40


def test_a_step_in_the_margin_does_not_trap_it():
    found = crossing(lambda x: 1.0 if x >= 37.2 else -50.0, 0, 100)
    assert found == pytest.approx(37.2, abs=0.0101)
    assert found >= 37.2


def test_no_change_of_sign_is_no_answer():
    assert crossing(lambda x: x + 1, 0, 10) is None
    assert crossing(lambda x: -x - 1, 0, 10) is None


@given(st.integers(-1, 300))
def test_the_most_whole_amount_is_found_without_trying_all(n):
    margin, calls = counted(lambda k: n - k)
    assert most_whole(margin) == (n if n >= 0 else None)
    assert len(calls) <= 2 * math.log2(max(n, 1)) + 4


def test_without_any_end_the_limit_is_the_answer():
    assert most_whole(lambda _: 1.0, limit=50) == 50
