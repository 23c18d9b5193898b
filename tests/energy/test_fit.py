"""Weighted least squares against NIST's certified values and statsmodels; the posterior against its closed form."""

import numpy as np
import pytest
import statsmodels.api as sm

from logbook.energy.fit import least_squares, posterior

# NIST Statistical Reference Datasets, linear regression: https://www.itl.nist.gov/div898/strd/lls/lls.shtml
NORRIS_Y = """0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 557.7
228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"""
NORRIS_X = """0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 556.0
228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"""


def _norris() -> tuple[np.ndarray, np.ndarray]:
    x = np.array(NORRIS_X.split(), dtype=float)
    return np.column_stack([np.ones(x.size), x]), np.array(NORRIS_Y.split(), dtype=float)


def test_norris_to_the_certified_digits() -> None:
    fit = least_squares(*_norris())
    assert fit.coefficients == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-10)
    assert np.sqrt(np.diag(fit.covariance)) == pytest.approx(
        [0.232818234301152, 0.429796848199937e-3], rel=1e-10
    )
    assert fit.residual_sd == pytest.approx(0.884796396144373, rel=1e-10)
    assert fit.degrees == 34


def test_prediction_intervals_of_norris_are_those_of_the_textbook_formula() -> None:
    # computed here with scipy's t quantile from the certified fit; 90 %
    expected = {0: (-1.809375, 1.284728), 500: (499.278188, 502.313984), 1000: (1000.280092, 1003.428898)}
    fit = least_squares(*_norris())
    for x, (low, high) in expected.items():
        found = fit.predict([1, x])
        assert (found.low, found.high) == pytest.approx((low, high), abs=1e-6)


def test_a_line_through_the_origin_to_the_certified_digits() -> None:
    # NIST NoInt1: the energy-per-minute model
    x, y = np.arange(60.0, 71.0)[:, None], np.arange(130.0, 141.0)
    fit = least_squares(x, y)
    assert fit.coefficients[0] == pytest.approx(2.07438016528926, rel=1e-12)
    assert np.sqrt(fit.covariance[0, 0]) == pytest.approx(0.0165289256198347, rel=1e-10)
    assert fit.residual_sd == pytest.approx(3.56753034006338, rel=1e-12)
    found = fit.predict([65])  # computed here
    assert (found.low, found.mid, found.high) == pytest.approx((128.081848, 134.834711, 141.587573), abs=1e-6)
    naive = float(np.sqrt(((y - 2.07438016528926 * x[:, 0]) ** 2).sum() / 11))
    assert abs(naive - fit.residual_sd) > 0.1, "dividing by n instead of n - 1 must be told apart"


def test_noint2_to_the_certified_digits() -> None:
    fit = least_squares(np.array([[4.0], [5.0], [6.0]]), np.array([3.0, 4.0, 4.0]))
    assert fit.coefficients[0] == pytest.approx(0.727272727272727, rel=1e-12)
    assert np.sqrt(fit.covariance[0, 0]) == pytest.approx(0.0420827318078432, rel=1e-10)


def test_longley_with_its_nearly_dependent_columns() -> None:
    data = sm.datasets.longley.load_pandas()
    design = np.column_stack([np.ones(16), data.exog.to_numpy(dtype=float)])
    fit = least_squares(design, data.endog.to_numpy(dtype=float))
    certified = [
        -3482258.63459582,
        15.0618722713733,
        -0.0358191792925910,
        -2.02022980381683,
        -1.03322686717359,
    ]
    certified += [-0.0511041056535807, 1829.15146461355]
    assert fit.coefficients == pytest.approx(certified, rel=1e-7)
    assert fit.residual_sd == pytest.approx(304.854073561965, rel=1e-8)


def test_weights_agree_with_statsmodels() -> None:
    rng = np.random.default_rng(4)
    x = np.column_stack([np.ones(60), rng.uniform(0, 4, 60), rng.uniform(0, 30, 60)])
    weights = rng.uniform(0.2, 5, 60)
    y = x @ [0.5, 1.4, 0.45] + rng.normal(0, 1, 60) / np.sqrt(weights)
    ours, theirs = least_squares(x, y, weights), sm.WLS(y, x, weights=weights).fit()
    assert ours.coefficients == pytest.approx(theirs.params, rel=1e-11)
    assert ours.covariance == pytest.approx(theirs.cov_params(), rel=1e-9)


def test_posterior_of_one_mean_is_the_closed_form() -> None:
    # normal prior, normal data with known spread (Gelman et al., Bayesian Data Analysis, 2.5; from memory)
    y = np.array([1.1, 0.9, 1.4, 1.0])
    fit = posterior(np.ones((4, 1)), y, 0.5, [2.0], [0.3])
    precision = 1 / 0.3**2 + 4 / 0.5**2
    assert fit.covariance[0, 0] == pytest.approx(1 / precision)
    assert fit.coefficients[0] == pytest.approx((2.0 / 0.3**2 + y.sum() / 0.5**2) / precision)
    assert posterior(np.empty((0, 1)), [], 0.5, [2.0], [0.3]).coefficients[0] == pytest.approx(2.0)


def test_too_little_to_fit_is_said() -> None:
    with pytest.raises(ValueError, match="at least as many observations"):
        least_squares([[1.0, 2.0]], [1.0])
    with pytest.raises(ValueError, match="cannot be told apart"):
        least_squares([[1.0, 2.0], [2.0, 4.0], [3.0, 6.0]], [1.0, 2.0, 3.0])
