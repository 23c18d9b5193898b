import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from logbook.energy.forecast import LandingForecast, Parts
from logbook.planning.any_pack import chance_any


def pack(mean, sd, common):
    return LandingForecast("P", 0, 0, 0, sd, mean, Parts(common, 1 - common, 0.0, 0.0))


def test_alone_it_is_the_packs_own_chance():
    assert chance_any([pack(35, 5, 0.4)], [30]) == pytest.approx(0.1587, abs=0.0005)  # normal table, one sd


def test_independent_packs_multiply():
    found = chance_any([pack(30, 5, 0.0), pack(30, 4, 0.0)], [30, 30])
    assert found == pytest.approx(0.75, abs=1e-6)


def test_it_agrees_with_a_simulation():
    rng = np.random.default_rng(5)
    z, own = rng.standard_normal(400_000), rng.standard_normal((2, 400_000))
    first = 36 + 5 * (0.8**0.5 * z + 0.2**0.5 * own[0]) < 30
    second = 34 + 4 * (0.6**0.5 * z + 0.4**0.5 * own[1]) < 30
    found = chance_any([pack(36, 5, 0.8), pack(34, 4, 0.6)], [30, 30])
    assert found == pytest.approx(float((first | second).mean()), abs=0.003)


@given(st.floats(10, 60), st.floats(10, 60), st.floats(1, 8), st.floats(0, 1))
@example(22.0, 24.0, 8.0, 1.0)
def test_it_lies_between_the_worse_pack_and_the_sum(a, b, sd, common):
    packs = [pack(a, sd, common), pack(b, sd, common)]
    each = [one.chance_below(30) for one in packs]
    found = chance_any(packs, [30, 30])
    assert max(each) - 0.0005 <= found <= min(sum(each), 1) + 0.0005
