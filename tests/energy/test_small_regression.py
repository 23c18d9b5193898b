"""The small Bayesian fit, against certified least squares and scipy."""

from math import erf, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from logbook.energy.small_regression import (
    Part,
    mixture_quantile,
    posterior,
    robust_weights,
    share_below,
    sums_of,
)

# NIST StRD NoInt1 (regression through the origin): slope 2.07438016528926, sd 0.0165289256198347, residual sd 3.56753034006338.
NOINT_X, NOINT_Y = range(60, 71), range(130, 141)


def test_with_a_vague_prior_it_is_least_squares_as_certified() -> None:
    fit = posterior(sums_of([(float(x),) for x in NOINT_X], list(NOINT_Y)), 3.56753034006338, (0.0,), (1e6,))
    assert fit.mean[0] == pytest.approx(2.07438016528926, rel=1e-9)
    assert sqrt(fit.cov[0][0]) == pytest.approx(0.0165289256198347, rel=1e-9)


def test_without_data_the_prior_stands() -> None:
    fit = posterior(sums_of([], []), 1.0, (3.0, -1.0), (0.5, 2.0))
    assert fit.mean == pytest.approx((3.0, -1.0))
    assert fit.at((1.0, 1.0)) == pytest.approx((2.0, 0.25 + 4.0))


def test_the_evidence_is_the_density_of_the_data() -> None:
    rows, y, sd = [(1.0, 0.0), (1.0, 1.0), (1.0, 3.0)], [0.4, 1.9, 3.1], 0.7
    prior_mean, prior_sd = (0.5, 1.0), (1.0, 0.8)
    cov = [
        [
            sum(a * b * s * s for a, b, s in zip(r, q, prior_sd, strict=True)) + (sd**2 if r is q else 0)
            for q in rows
        ]
        for r in rows
    ]
    mean = [sum(a * m for a, m in zip(r, prior_mean, strict=True)) for r in rows]
    exact = stats.multivariate_normal(mean, cov).logpdf(y)
    evidence = posterior(sums_of(rows, y), sd, prior_mean, prior_sd).log_evidence
    assert evidence - 1.5 * 1.8378770664093453 == pytest.approx(exact)


def test_a_weight_of_two_is_the_observation_twice() -> None:
    twice = posterior(sums_of([(1.0,), (1.0,), (1.0,)], [1.0, 4.0, 4.0]), 1.0, (0.0,), (9.0,))
    heavy = posterior(sums_of([(1.0,), (1.0,)], [1.0, 4.0], [1.0, 2.0]), 1.0, (0.0,), (9.0,))
    assert heavy.mean == pytest.approx(twice.mean)


def test_far_residuals_count_less() -> None:
    near, far = robust_weights([0.0, 10.0], 1.0)
    assert near == 1.25
    assert far < 0.05


@given(st.floats(0.02, 0.98), st.floats(-50, 50), st.floats(0.1, 20))
def test_the_quantile_of_a_mixture_has_that_share_below_it(share: float, mean: float, sd: float) -> None:
    parts = [Part(1.0, mean, sd), Part(3.0, 2.0, 1.0)]
    value = mixture_quantile(parts, share)
    below = sum(p.weight * (0.5 + 0.5 * erf((value - p.mean) / p.sd / sqrt(2))) for p in parts) / 4
    assert below == pytest.approx(share, abs=1e-6)
    assert share_below(parts, value) == pytest.approx(below)


@given(st.floats(0.02, 0.98), st.floats(-50, 50), st.floats(0.1, 20), st.floats(-60, 60))
def test_a_value_with_less_below_it_lies_below_the_quantile(
    share: float, mean: float, sd: float, value: float
) -> None:
    parts = [Part(1.0, mean, sd), Part(3.0, 2.0, 1.0)]
    quantile = mixture_quantile(parts, share)
    if abs(quantile - value) > 1e-6:
        assert (share_below(parts, value) < share) == (value < quantile)
