"""Bayesian straight-line fits with a handful of coefficients, in plain arithmetic.

    y = X β + e,   e ~ N(0, σ² / w),   β ~ N(prior mean, prior sd²)                              (1)

For a given σ the posterior of β is normal and the evidence p(y | σ) is closed form (Gelman et al., Bayesian Data
Analysis, chapter 14; from memory); σ itself is taken from a grid by whoever fits. No numpy: it is quick to import,
and there are never more than a few coefficients.
"""

from collections.abc import Sequence
from math import erf, log, sqrt
from typing import NamedTuple

Vector = tuple[float, ...]
Matrix = tuple[Vector, ...]


class Sums(NamedTuple):
    """All that the fit needs of the data: weighted sums of products."""

    n: int
    xx: Matrix
    xy: Vector
    yy: float
    log_weights: float


class Posterior(NamedTuple):
    """What is known of the coefficients after the data."""

    mean: Vector
    cov: Matrix
    log_evidence: float
    """Logarithm of p(y | σ), without the constant that is common to all fits of the same y."""

    def at(self, row: Sequence[float]) -> tuple[float, float]:
        """Mean and variance of X β for one row of X."""
        mean = sum(x * b for x, b in zip(row, self.mean, strict=True))
        spread = [sum(c * x for c, x in zip(line, row, strict=True)) for line in self.cov]
        return mean, max(sum(x * s for x, s in zip(row, spread, strict=True)), 0.0)


def sums_of(
    rows: Sequence[Sequence[float]], values: Sequence[float], weights: Sequence[float] | None = None
) -> Sums:
    """Weighted sums of products. One pass.

    Args:
        rows: One row of X for each observation.
        values: Observations.
        weights: Relative precisions [> 0]; equal if absent.
    """
    size = len(rows[0]) if rows else 0
    xx = [[0.0] * size for _ in range(size)]
    xy = [0.0] * size
    yy = log_weights = 0.0
    for index, (row, value) in enumerate(zip(rows, values, strict=True)):
        weight = 1.0 if weights is None else weights[index]
        log_weights += log(weight)
        yy += weight * value * value
        for i in range(size):
            scaled = weight * row[i]
            xy[i] += scaled * value
            for j in range(size):
                xx[i][j] += scaled * row[j]
    return Sums(len(rows), tuple(map(tuple, xx)), tuple(xy), yy, log_weights)


def posterior(sums: Sums, sd: float, prior_mean: Sequence[float], prior_sd: Sequence[float]) -> Posterior:
    """Coefficients after the data, equation (1), for a given standard deviation of an observation.

    Args:
        sums: Of the observations.
        sd: σ [unit of y].
        prior_mean: Expected coefficients before the data.
        prior_sd: How sure that is; each coefficient apart.
    """
    size = len(prior_mean)
    precision = [[sums.xx[i][j] / sd**2 if sums.n else 0.0 for j in range(size)] for i in range(size)]
    target = [sums.xy[i] / sd**2 if sums.n else 0.0 for i in range(size)]
    prior_precision = [1 / spread**2 for spread in prior_sd]
    for i in range(size):
        precision[i][i] += prior_precision[i]
        target[i] += prior_precision[i] * prior_mean[i]
    cov, log_det = _inverse(precision)
    mean = tuple(sum(c * t for c, t in zip(line, target, strict=True)) for line in cov)
    prior_square = sum(p * m * m for p, m in zip(prior_precision, prior_mean, strict=True))
    square = sums.yy / sd**2 + prior_square - sum(m * t for m, t in zip(mean, target, strict=True))
    evidence = -0.5 * (square + log_det - sum(map(log, prior_precision)) - sums.log_weights)
    return Posterior(mean, cov, evidence - sums.n * log(sd))


def _inverse(matrix: list[list[float]]) -> tuple[Matrix, float]:
    """Inverse and log determinant of a small positive definite matrix, by elimination."""
    size = len(matrix)
    work = [line[:] + [float(i == j) for j in range(size)] for i, line in enumerate(matrix)]
    log_det = 0.0
    for i in range(size):
        pivot = work[i][i]
        log_det += log(pivot)
        work[i] = [value / pivot for value in work[i]]
        for k in range(size):
            factor = work[k][i]
            if k != i and factor:
                work[k] = [a - factor * b for a, b in zip(work[k], work[i], strict=True)]
    return tuple(tuple(line[size:]) for line in work), log_det


def robust_weights(residuals: Sequence[float], scale: float, freedom: float = 4.0) -> list[float]:
    """Weights that make far residuals count less: those of a Student t error [0..1.25].

    Args:
        residuals: Observations less fit.
        scale: Usual size of a residual [> 0].
        freedom: Degrees of freedom; the fewer, the less far ones count.
    """
    return [(freedom + 1) / (freedom + (residual / scale) ** 2) for residual in residuals]


class Part(NamedTuple):
    """One normal distribution of a mixture."""

    weight: float
    mean: float
    sd: float


def mixture_quantile(parts: Sequence[Part], share: float) -> float:
    """The value below which a given share of a mixture of normal distributions lies, by bisection.

    Args:
        parts: Weights need not add up to 1.
        share: [0..1, ends excluded]
    """
    low = min(part.mean - 8 * part.sd for part in parts)
    high = max(part.mean + 8 * part.sd for part in parts)
    for _ in range(60):
        mid = (low + high) / 2
        if share_below(parts, mid) < share:
            low = mid
        else:
            high = mid
    return (low + high) / 2


def share_below(parts: Sequence[Part], value: float) -> float:
    """The share of a mixture of normal distributions that lies below a value [0..1].

    Where it is less than some share, the quantile of that share lies above the value: asked so, nothing is searched for.
    """
    below = sum(
        part.weight * (0.5 + 0.5 * erf((value - part.mean) / (part.sd * sqrt(2))))
        if part.sd > 0
        else part.weight * (part.mean <= value)
        for part in parts
    )
    return below / sum(part.weight for part in parts)
