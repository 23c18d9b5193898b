"""How much a share of hits may differ from its aim by chance alone: the bands that judge our intervals."""

from collections import Counter

import numpy as np
import pytest
from scipy import stats

from logbook.energy.scatter import Scatter, weight_of

# Acceptance bands (2.5 and 97.5 % quantiles of the binomial, inclusive counts); computed here with scipy
BANDS = {20: (15, 20), 50: (41, 49), 100: (84, 95), 200: (171, 188), 400: (348, 371)}


@pytest.mark.parametrize(("flights", "band"), BANDS.items())
def test_bands_are_binomial(flights: int, band: tuple[int, int]) -> None:
    low, high = stats.binom.ppf([0.025, 0.975], flights, 0.9)
    assert (int(low), int(high)) == band


@pytest.mark.parametrize("spread", [0.85, 1.0, 1.2])
def test_the_empirical_quantile_brings_nine_in_ten_though_the_spread_is_misjudged(spread: float) -> None:
    rng, scatter, hits = np.random.default_rng(5), Scatter(), Counter[bool]()
    for number in range(900):
        z = rng.normal(0, spread)
        if number >= 500:
            hits[abs(z) <= scatter.quantile("local")] += 1
        scatter.record("local", z)
    low, high = BANDS[400]
    assert low - 8 <= hits[True] <= high + 8, (
        "the quantile is shrunk towards the normal one, so a little beside the aim"
    )


def test_scatter_is_learned_by_kind_and_borrowed_before() -> None:
    rng, scatter = np.random.default_rng(2), Scatter()
    truth = {"circuits": 0.03, "local": 0.06}
    for _ in range(400):
        for kind, sd in truth.items():
            z2 = rng.normal(0, sd) ** 2 / scatter.variance(kind)
            scatter.learn(kind, z2, weight_of(z2))
    for kind, sd in truth.items():
        assert scatter.variance(kind) ** 0.5 == pytest.approx(sd, rel=0.15)
    assert 0.03 < scatter.variance("ferry") ** 0.5 < 0.06


def test_a_gross_error_counts_almost_nothing() -> None:
    assert weight_of(1.0) > 0.99
    assert weight_of(9.0) > 0.8
    assert weight_of(25.0) < 0.01
    assert weight_of(1e9) >= 0
