"""How unevenly flights are flown, learned per kind, and how wide an interval must be to hold nine in ten.

Scatter is a fraction of the SOC drop. It has an inverse-gamma prior (``PRIOR_WEIGHT`` flights at ``PRIOR_SD``), old
flights count less and less (discount), and kinds with few flights borrow from the others. The interval's half-width is
a quantile of the standardised errors actually made, shrunk towards the normal one.
"""

from bisect import bisect_left, insort
from collections import deque
from math import exp

PRIOR_SD = 0.085
PRIOR_WEIGHT = 8.0
BLANK_RATIO = 2.0
"""Variance where feet or minutes were not written down, over that of complete entries, before it is learned."""
LEND = 14.0
DISCOUNT = 0.99
KEPT = 160
NORMAL_Q = 1.70
PSEUDO = 80.0
COVERAGE = 0.9


class Kind:
    """Scatter and standardised errors of one kind of flight."""

    def __init__(self, prior_ratio: float = 1.0) -> None:
        self.ratio = prior_ratio
        self.weight = 0.0
        self.total = 0.0
        self.recent: deque[float] = deque()
        self.ordered: list[float] = []


class Scatter:
    """Variance of the common scatter of a flight, by kind [fraction²]."""

    def __init__(self) -> None:
        self.weight = PRIOR_WEIGHT
        self.total = PRIOR_WEIGHT * PRIOR_SD**2
        self.kinds: dict[str, Kind] = {}

    def variance(self, kind: str) -> float:
        """Scatter of a kind, borrowing from all while it is little known."""
        pool = self.total / self.weight
        known = self.kinds.get(kind)
        if known is None:
            return pool * (BLANK_RATIO if kind.endswith("?") else 1.0)
        return (known.total + LEND * pool * known.ratio) / (known.weight + LEND)

    def learn(self, kind: str, z2: float, weight: float) -> None:
        """Learn from a flight whose squared standardised residual was ``z2``."""
        blank = kind.endswith("?")
        here = self.kinds.setdefault(kind, Kind(BLANK_RATIO if blank else 1.0))
        sample = self.variance(kind) * min(z2, 16.0)
        here.weight = DISCOUNT * here.weight + weight
        here.total = DISCOUNT * here.total + weight * sample
        if not blank:
            self.weight = DISCOUNT * self.weight + weight
            self.total = DISCOUNT * self.total + weight * sample

    def record(self, kind: str, z: float) -> None:
        """Keep one standardised error for the width of later intervals."""
        here = self.kinds.setdefault(kind, Kind())
        size = min(abs(z), 50.0)
        here.recent.append(size)
        insort(here.ordered, size)
        if len(here.recent) > KEPT:
            del here.ordered[bisect_left(here.ordered, here.recent.popleft())]

    def quantile(self, kind: str) -> float:
        """Half-width of the 90 % interval in standard deviations."""
        here = self.kinds.get(kind)
        if here is None or not here.ordered:
            return NORMAL_Q
        n = len(here.ordered)
        rank = min(int(COVERAGE * (n + 1)), n - 1)
        return float((n * here.ordered[rank] + PSEUDO * NORMAL_Q) / (n + PSEUDO))


def weight_of(z2: float, share: float = 0.01) -> float:
    """Odds that an entry is good, given its squared standardised residual.

    A gross error is taken to have five times the spread; ``share`` of the entries are gross errors.
    """
    return 1 / (1 + share / (1 - share) / 5 * exp(min(0.48 * z2, 60.0)))
