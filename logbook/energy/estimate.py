"""One estimated figure with its honesty: low, mid, high, how many records, how it was made."""

from typing import Final, NamedTuple

Z90: Final = 1.6448536269514722
"""Half-width of the central 90 % of a normal distribution, in standard deviations: its quantile at 0.95."""


class Estimate(NamedTuple):
    """A figure that was worked out, never read.

    ``low`` to ``high`` is meant to hold the truth nine times in ten; ``mid`` is the single best value.
    The unit is that of the function that returns it. ``n`` counts the records behind the figure
    (0: only stated values), ``how`` says in plain words how it was made.
    """

    low: float
    mid: float
    high: float
    n: int = 0
    how: str = ""

    def scaled(self, factor: float) -> "Estimate":
        """The same estimate in another unit or for a multiple of the amount [factor > 0 or < 0]."""
        ends = sorted((self.low * factor, self.high * factor))
        return Estimate(ends[0], self.mid * factor, ends[1], self.n, self.how)
