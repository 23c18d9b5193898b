"""How a figure that is read now and then moves: a straight line through the readings, and how well its slope is known.

    b = Σ (x − x̄)(y − ȳ) / Σ (x − x̄)²,   s_b² = Σ e² / (n − 2) / Σ (x − x̄)²,   b ± t(0.95, n − 2) s_b          (1)

Ordinary least squares (any textbook of statistics). It assumes readings of one scatter, independent of each other, and a
line; with three or four readings the interval is wide, and rightly so.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from statistics import linear_regression, mean

from logbook.energy.estimate import Estimate
from logbook.energy.student_t import t_quantile

LEAST = 3
"""So many readings are needed: two lie on a line whatever they are."""
_WITHIN = 0.95
"""Both tails cut off: nine times in ten between."""


def slope(x: Sequence[float], y: Sequence[float], least_sd: float = 0.0) -> Estimate | None:
    """Slope of the line [unit of y per unit of x], equation (1); None where there are too few readings, or all at one x.

    Args:
        x: when, or at what.
        y: the readings.
        least_sd: the scatter of a reading is at least that of its rounding, though all lie on a line [unit of y].
    """
    if len(x) < LEAST or min(x) == max(x):
        return None
    line = linear_regression(x, y)
    around = mean(x)
    spread = sum((one - around) ** 2 for one in x)
    left = sum((value - line.intercept - line.slope * one) ** 2 for one, value in zip(x, y, strict=True))
    freedom = len(x) - 2
    width = t_quantile(_WITHIN, freedom) * sqrt(max(left / freedom, least_sd**2) / spread)
    how = f"line through {len(x)} readings"
    return Estimate(line.slope - width, line.slope, line.slope + width, len(x), how)
