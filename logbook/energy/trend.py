"""How a figure that is read now and then moves: a straight line through the readings, and how well its slope is known.

    b = Σ (x − x̄)(y − ȳ) / Σ (x − x̄)²,   s_b² = s² / Σ (x − x̄)²,   s² = Σ e² / (n − 2),   b ± t(0.95, n − 2) s_b   (1)

When a reading is expected to meet a limit L is read off the same line: the middle where the line meets it, low and high
where the interval of a single reading does, nine times in ten,

    ȳ + b (x − x̄) ± t(0.95, n − 2) s √(1 + 1/n + (x − x̄)² / Σ (x − x̄)²) = L                                       (2)

Ordinary least squares and inverse prediction (any textbook of statistics). It assumes readings of one scatter, independent
of each other, and a line that goes on as it did; with three or four readings the interval is wide, and rightly so.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sqrt
from statistics import linear_regression, mean
from typing import NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.student_t import t_quantile

LEAST = 3
"""So many readings are needed: two lie on a line whatever they are."""
_WITHIN = 0.95
"""Both tails cut off: nine times in ten between."""


class Line(NamedTuple):
    """A line through readings.

    Attributes:
        slope: [unit of y per unit of x].
        level: mean of the readings [unit of y], which the line has at `around` [unit of x].
        spread: sum of the squares of the distances from `around` [unit of x, squared].
        reach: t times the scatter of a reading, equation (2) [unit of y].
        n: readings.
    """

    slope: float
    level: float
    around: float
    spread: float
    reach: float
    n: int

    def _within(self, d: float) -> float:
        """Half the interval of a single reading, so far from the mean of all."""
        return self.reach * sqrt(1 + 1 / self.n + d * d / self.spread)

    def meets(self, limit: float, now: float) -> Estimate:
        """From when on a reading is expected at or above a limit, equation (2); not before now, infinite where never.

        Args:
            limit: [unit of y].
            now: [unit of x].
        """
        short, since = limit - self.level, now - self.around
        line, half = self.slope * since, self._within(since)
        how = f"line through {self.n} readings"
        mid = since if line >= short else short / self.slope if self.slope > 0 else inf
        ends = [d for d in self._solutions(short) if d > since]
        low = min((d for d in ends if self.slope * d < short), default=inf)
        low = since if line + half >= short else low
        high = min((d for d in ends if self.slope * d > short), default=inf)
        high = since if line - half >= short else high
        if not self.reach:
            low = high = mid  # readings without any scatter
        return Estimate(self.around + low, self.around + mid, self.around + high, self.n, how)

    def _solutions(self, short: float) -> list[float]:
        """Where an end of the interval is at the limit: the roots of equation (2), squared."""
        a = self.slope**2 - self.reach**2 / self.spread
        b = -2 * self.slope * short
        c = short**2 - self.reach**2 * (1 + 1 / self.n)
        under = b * b - 4 * a * c
        if under < 0:
            return []
        q = -(b + (sqrt(under) if b >= 0 else -sqrt(under))) / 2
        return ([q / a] if a else []) + ([c / q] if q else [])


def line_through(x: Sequence[float], y: Sequence[float], least_sd: float = 0.0) -> Line | None:
    """The line, equation (1); None where there are too few readings, or all at one x.

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
    reach = t_quantile(_WITHIN, freedom) * sqrt(max(left / freedom, least_sd**2))
    return Line(line.slope, mean(y), around, spread, reach, len(x))


def slope(x: Sequence[float], y: Sequence[float], least_sd: float = 0.0) -> Estimate | None:
    """Slope of the line [unit of y per unit of x] with its interval; arguments and None as for `line_through`."""
    line = line_through(x, y, least_sd)
    if line is None:
        return None
    width = line.reach / sqrt(line.spread)
    how = f"line through {line.n} readings"
    return Estimate(line.slope - width, line.slope, line.slope + width, line.n, how)
