"""Has it got better? First half of a record against the second, with a count and an interval, or no claim at all."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from statistics import fmean, variance
from typing import Final, NamedTuple

from logbook.energy.student_t import t_quantile

LEAST: Final = 5
"""Fewest flights in each half before anything is said: with fewer the interval is wider than any progress (common
practice, no source)."""

COVERAGE: Final = 0.9


class Half(NamedTuple):
    """The mean of one half with its interval (nine in ten), and the number behind it; None where there are too few."""

    n: int
    low: float | None
    mid: float | None
    high: float | None


class Halves(NamedTuple):
    """Both halves, the difference second less first with its interval, and what can be said.

    Attributes:
        state: `higher`, `lower`, `no difference can be told`, or `too few`.
    """

    first: Half
    second: Half
    difference: Half
    state: str


def halves_of(values: Sequence[float]) -> Halves:
    """Compares the first half of a row of values, in order of time, with the second; of an odd row the middle is left out.

    The means are compared as Welch does, with unequal variances (Welch, Biometrika 34, 1947, from memory).
    """
    size = len(values) // 2
    first, second = list(values[:size]), list(values[len(values) - size :])
    if size < LEAST:
        few = Half(size, None, None, None)
        return Halves(few, few, few, "too few")
    spread_1, spread_2 = variance(first) / size, variance(second) / size
    step = fmean(second) - fmean(first)
    spread = spread_1 + spread_2
    degrees = spread**2 / (spread_1**2 + spread_2**2) * (size - 1) if spread > 0 else size - 1.0
    half_width = t_quantile((1 + COVERAGE) / 2, degrees) * sqrt(spread)
    difference = Half(2 * size, step - half_width, step, step + half_width)
    return Halves(_half(first), _half(second), difference, _state(difference))


def _half(values: Sequence[float]) -> Half:
    n, mid = len(values), fmean(values)
    width = t_quantile((1 + COVERAGE) / 2, n - 1) * sqrt(variance(values) / n)
    return Half(n, mid - width, mid, mid + width)


def _state(difference: Half) -> str:
    if difference.low is not None and difference.low > 0:
        return "higher"
    if difference.high is not None and difference.high < 0:
        return "lower"
    return "no difference can be told"
