"""Straight fits: weighted least squares with an optional prior, and the interval of one more observation.

    minimise  Σ wᵢ (yᵢ − xᵢβ)² + Σ ((βⱼ − mⱼ) / sⱼ)² · σ²                                     (1)

Without a prior this is ordinary weighted least squares (solved by QR); with one it is the Bayesian posterior for a
known σ, in closed form. Checked against the certified values of NIST's Statistical Reference Datasets (Norris, NoInt1,
NoInt2, Longley) and against statsmodels.
"""

from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from logbook.energy.estimate import Estimate
from logbook.energy.student_t import t_quantile

Array = NDArray[np.float64]


class Fit(NamedTuple):
    """Coefficients of a linear fit and how sure they are."""

    coefficients: Array
    """Shape (terms,)."""
    covariance: Array
    """Shape (terms, terms)."""
    residual_sd: float
    """Standard deviation of an observation of weight 1 about the fit; NaN-free: 0 where there are no spare observations."""
    degrees: int
    """Observations less terms."""

    def predict(self, terms: ArrayLike, coverage: float = 0.9) -> Estimate:
        """Where one more observation is expected, with its interval (Student t).

        Args:
            terms: The row of the design matrix for it, shape (terms,).
            coverage: Share of such intervals that hold the observation.
        """
        row = np.asarray(terms, dtype=float)
        mid = float(row @ self.coefficients)
        sd = sqrt(max(self.residual_sd**2 + float(row @ self.covariance @ row), 0.0))
        half = t_quantile(0.5 + coverage / 2, max(self.degrees, 1)) * sd
        return Estimate(mid - half, mid, mid + half, self.degrees + row.size, "linear fit")


def least_squares(design: ArrayLike, observed: ArrayLike, weights: ArrayLike | None = None) -> Fit:
    """Weighted least squares by QR.

    Args:
        design: Shape (observations, terms), of full column rank.
        observed: Shape (observations,).
        weights: Inverse variances up to a common factor, shape (observations,).

    Raises:
        ValueError: If there are fewer observations than terms, or the terms cannot be told apart.
    """
    x, y = np.atleast_2d(np.asarray(design, dtype=float)), np.asarray(observed, dtype=float)
    count, terms = x.shape
    if count < terms:
        raise ValueError("A fit needs at least as many observations as terms.")
    root = np.ones(count) if weights is None else np.sqrt(np.asarray(weights, dtype=float))
    q, r = np.linalg.qr(x * root[:, None])
    diagonal = np.abs(np.diag(r))
    if diagonal.min() <= 1e-12 * diagonal.max():
        raise ValueError("The terms of the fit cannot be told apart.")
    inverse = np.linalg.solve(r, np.eye(terms))
    coefficients = inverse @ (q.T @ (y * root))
    residual = (y - x @ coefficients) * root
    degrees = count - terms
    variance = float(residual @ residual) / degrees if degrees else 0.0
    return Fit(coefficients, variance * (inverse @ inverse.T), sqrt(variance), degrees)


def posterior(
    design: ArrayLike, observed: ArrayLike, noise_sd: float, prior_mean: ArrayLike, prior_sd: ArrayLike
) -> Fit:
    """Bayesian linear fit with independent normal priors and known noise, equation (1) in closed form.

    Args:
        design: Shape (observations, terms); there may be no observations.
        observed: Shape (observations,).
        noise_sd: Standard deviation of one observation.
        prior_mean: Shape (terms,).
        prior_sd: Shape (terms,), greater than 0.
    """
    mean, sd = np.asarray(prior_mean, dtype=float), np.asarray(prior_sd, dtype=float)
    y = np.asarray(observed, dtype=float)
    x = np.asarray(design, dtype=float).reshape(y.size, mean.size)
    precision = np.diag(sd**-2.0) + x.T @ x / noise_sd**2
    covariance = np.linalg.inv(precision)
    coefficients = covariance @ (mean / sd**2 + x.T @ y / noise_sd**2)
    return Fit(coefficients, covariance, noise_sd, y.size)
