"""How a pack fades: capacity or SOH over cycles, and what lies ahead.

    y(x) = y₀ · (1 − k · (x / 1000)^p)                                                          (1)

with p from 0.4 to 1.2: square root of the cycles (growth of a film on the electrode), linear, and what lies between or beyond.
Which p is true cannot be told early in a life, so every p is fitted and each counts by how well it explains
the readings. A fitted law is not the pack: the law may change, and the part of the loss that lies ahead is taken as uncertain by

    LAW_SD · a / (1 + a),   a = distance ahead / distance observed                              (2)

of itself. Method: mixture of Bayesian linear regressions (Gelman and Hill; from memory). See docs/packs/life.md.
"""

from collections.abc import Sequence
from math import exp, log, sqrt
from statistics import median
from typing import NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.small_regression import (
    Part,
    mixture_quantile,
    posterior,
    robust_weights,
    share_below,
    sums_of,
)

EXPONENTS = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.2)
PRIOR_OF_EXPONENT = (1.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0, 1.0)
READING_SDS = (0.002, 0.003, 0.0045, 0.007, 0.01, 0.015, 0.022, 0.033, 0.05)
"""Candidates for the scatter of one reading, as a fraction of y₀."""
USUAL_READING_SD = 0.01
LAW_SD = 0.6
"""Chosen on real cells; what each says of the other is in docs/packs/life.md."""
UNIT_CYCLES = 1000.0
MOST_GROUPS = 40

FEWEST_READINGS = 4
SHORTEST_SPAN_CYCLES = 20.0


class FadePoint(NamedTuple):
    """One reading of capacity or SOH."""

    cycles: float
    """Cycles of the pack when it was read, in one and the same counting."""
    value: float
    """Capacity [kWh, Ah] or SOH [%]."""


class FadePrior(NamedTuple):
    """What is expected of any pack before its record (common practice, no source)."""

    loss: float = 0.20
    """Part lost after 1000 equivalent full cycles."""
    loss_sd: float = 0.15
    start: float | None = None
    """Value when new; ``None``: about that of the first reading."""
    start_sd: float = 0.04
    """As a fraction of the start."""


ANY_PACK = FadePrior()
SOH_PRIOR = FadePrior(loss=0.5, loss_sd=0.5)
"""For the indicated SOH, whose scale usually runs from 100 to 0 over a life."""


class _Law(NamedTuple):
    weight: float
    exponent: float
    mean: tuple[float, ...]
    cov: tuple[tuple[float, ...], ...]
    sd: float


class Fade(NamedTuple):
    """What the record says of how a pack fades."""

    laws: tuple[_Law, ...]
    scale: float
    first: float
    last: float
    n: int

    def at(self, cycles: float, *, as_read: bool = False) -> Estimate:
        """Value at a number of cycles.

        Args:
            cycles: Not before the last reading, for a forecast; before it, the fitted line.
            as_read: With the scatter of one reading, for comparing with a measurement.
        """
        parts = [self._part(law, cycles, as_read=as_read) for law in self.laws]
        low, mid, high = (mixture_quantile(parts, share) for share in (0.05, 0.5, 0.95))
        how = f"fade law fitted to {self.n} readings over {self.last - self.first:.0f} cycles"
        return Estimate(max(low, 0.0), max(mid, 0.0), max(high, 0.0), self.n, how)

    def _part(self, law: _Law, cycles: float, *, as_read: bool) -> Part:
        loss_at = (max(cycles, 0.0) / UNIT_CYCLES) ** law.exponent
        loss_now = (self.last / UNIT_CYCLES) ** law.exponent
        start, slope = law.mean
        mean = start - max(slope, 0.0) * loss_at
        variance = (
            law.cov[0][0] - 2 * loss_at * law.cov[0][1] + loss_at**2 * law.cov[1][1] + law.sd**2 * as_read
        )
        if cycles > self.last:
            ahead = (cycles - self.last) / max(self.last - self.first, 1.0)
            spread = LAW_SD * ahead / (1 + ahead)
            variance += (spread * max(slope, 0.0) * (loss_at - loss_now)) ** 2
        return Part(law.weight, mean * self.scale, sqrt(max(variance, 1e-12)) * self.scale)

    def cycles_until(self, value: float, horizon: float | None = None) -> Estimate:
        """Cycles from the last reading until a value is reached.

        Args:
            value: The limit, in the unit of the readings.
            horizon: How far to look [cycles from the last reading]; ends of the interval beyond it are set to it,
                and ``how`` says so.
        """
        most = horizon if horizon is not None else max(3 * (self.last - self.first), 3000.0)
        ends = [self._reaches(value, share, most) for share in (0.05, 0.5, 0.95)]
        how = f"fade law fitted to {self.n} readings over {self.last - self.first:.0f} cycles"
        if ends[2] >= most:
            how += f"; may lie beyond {most:.0f} cycles from now, where nothing is said"
        return Estimate(ends[0], ends[1], ends[2], self.n, how)

    def _reaches(self, value: float, share: float, most: float) -> float:
        """Cycles from the last reading at which a quantile of the value is down to the limit, by bisection."""

        def above(ahead: float) -> bool:
            parts = [self._part(law, self.last + ahead, as_read=False) for law in self.laws]
            return share_below(parts, value) < share

        if not above(0.0):
            return 0.0
        if above(most):
            return most
        low, high = 0.0, most
        while high - low > max(0.002 * high, 0.05):
            mid = (low + high) / 2
            low, high = (mid, high) if above(mid) else (low, mid)
        return (low + high) / 2


def fade_of(points: Sequence[FadePoint], prior: FadePrior = ANY_PACK) -> Fade | None:
    """Fits the fade of one pack. Linear in the number of readings.

    Neighbouring readings share their errors (a gauge lags), so they are joined into at most 40 groups by their median.

    Args:
        points: Readings since the last baseline break, in any order.
        prior: What is expected of any pack.
    Returns: ``None`` where there are too few readings; `missing_for_fade` says what is missing.
    """
    if missing_for_fade(points):
        return None
    listed = sorted(points)
    grouped = _grouped(listed)
    scale = prior.start or grouped[0].value
    values = [point.value / scale for point in grouped]
    weights = _weights(grouped, values, prior)
    laws = []
    for exponent, chance in zip(EXPONENTS, PRIOR_OF_EXPONENT, strict=True):
        sums = sums_of(_rows(grouped, exponent), values, weights)
        for sd in READING_SDS:
            fit = posterior(sums, sd, (1.0, prior.loss), (prior.start_sd, prior.loss_sd))
            # The scatter itself is expected near its usual size, give or take a factor of two.
            score = fit.log_evidence + log(chance) - 0.5 * (log(sd / USUAL_READING_SD) / log(2.0)) ** 2
            laws.append(_Law(score, exponent, fit.mean, fit.cov, sd))
    best = max(law.weight for law in laws)
    kept = tuple(law._replace(weight=exp(law.weight - best)) for law in laws if law.weight > best - 9)
    return Fade(kept, scale, listed[0].cycles, listed[-1].cycles, len(listed))


def missing_for_fade(points: Sequence[FadePoint]) -> str:
    """What is missing before anything can be said about fading; empty when nothing is."""
    if len(points) < FEWEST_READINGS:
        return f"needs {FEWEST_READINGS} readings, has {len(points)}"
    span = max(points).cycles - min(points).cycles
    if span < SHORTEST_SPAN_CYCLES:
        return f"needs readings over {SHORTEST_SPAN_CYCLES:g} cycles, they span {span:.0f}"
    if any(point.value <= 0 for point in points):
        return "a reading is 0 or less, which is no capacity"
    return ""


def _rows(points: Sequence[FadePoint], exponent: float) -> list[tuple[float, float]]:
    # The loss is entered with a minus sign, so that its coefficient is k of equation (1), relative to the start.
    return [(1.0, -((max(point.cycles, 0.0) / UNIT_CYCLES) ** exponent)) for point in points]


def _grouped(points: Sequence[FadePoint]) -> list[FadePoint]:
    """At most MOST_GROUPS points: the medians of neighbours."""
    if len(points) <= MOST_GROUPS:
        return list(points)
    size = -(-len(points) // MOST_GROUPS)
    groups = [points[i : i + size] for i in range(0, len(points), size)]
    return [FadePoint(median(p.cycles for p in g), median(p.value for p in g)) for g in groups]


def _weights(points: Sequence[FadePoint], values: Sequence[float], prior: FadePrior) -> list[float]:
    """Less weight for readings that lie far from a middle law, by three rounds of re-weighting."""
    rows = _rows(points, 0.7)
    weights = [1.0] * len(values)
    for _ in range(3):
        fit = posterior(
            sums_of(rows, values, weights),
            USUAL_READING_SD,
            (1.0, prior.loss),
            (prior.start_sd, prior.loss_sd),
        )
        residuals = [value - fit.at(row)[0] for row, value in zip(rows, values, strict=True)]
        scale = max(1.4826 * median(map(abs, residuals)), 0.005)
        weights = robust_weights(residuals, scale)
    return weights
