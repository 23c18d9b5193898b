"""The air of the day: what the day's earlier flights say about the next one.

Gusty air makes all flights of a day dearer. How much of a flight's standardised residual comes back in the next flight
of the same day is learned from the record (a regression shrunk towards nought), so that it is left alone where the air
does not carry over.
"""

GAP_MIN = 600
PRIOR_WEIGHT = 60.0
MOST = 0.5


class Today:
    """Residuals of the day so far, and how well they foretold."""

    def __init__(self) -> None:
        self.last_at = -(10**9)
        self.total = 0.0
        self.count = 0
        self.product = 0.0
        self.square = PRIOR_WEIGHT

    def expected(self, at: int) -> float:
        """Standardised residual expected of a flight at this instant."""
        share = min(max(self.product / self.square, 0.0), MOST)
        return share * self._mean(at)

    def learn(self, at: int, z: float) -> None:
        """One more flight: its standardised residual, had the day not been known."""
        z = min(max(z, -2.5), 2.5)
        mean = self._mean(at)
        if mean:
            self.product = 0.998 * self.product + mean * z
            self.square = 0.998 * (self.square - PRIOR_WEIGHT) + mean * mean + PRIOR_WEIGHT
        if at - self.last_at >= GAP_MIN:
            self.total, self.count = 0.0, 0
        self.total += z
        self.count += 1
        self.last_at = at

    def _mean(self, at: int) -> float:
        if not self.count or at - self.last_at >= GAP_MIN:
            return 0.0
        return self.total / (self.count + 0.5)
