"""How fast a charger fills a pack, and when a charge will be done.

Charging slows down towards full, so the pace is learned by bands of charge:

    minutes of a charge = start-up + Σ points filled in a band × minutes per point of the band    (1)

The fit is Bayesian and robust (a charge that was left plugged in says little) and starts, for each charger, from what all
chargers of the record do together. See docs/packs/temperature.md, "Charging pace".
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import exp, log, sqrt
from statistics import median
from typing import NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.meter import sessions_of
from logbook.energy.record import ChargeFacts
from logbook.energy.small_regression import (
    Part,
    Posterior,
    mixture_quantile,
    posterior,
    robust_weights,
    sums_of,
)

EDGES = (0.0, 50.0, 80.0, 90.0, 95.0, 100.0)
"""Bands of charge [%]."""
TAPER = (1.0, 1.0, 1.15, 1.6, 2.5)
"""Minutes per point beside those of the lowest band, before any record (common practice, no source)."""
TAPER_SD = (0.3, 0.3, 0.4, 0.8, 1.5)
START_UP_MIN, START_UP_SD = 2.0, 3.0
LEAST_FILL_PCT = 5.0
"""Smaller charges are mostly waiting [points]."""
FEWEST_CHARGES = 3
SCATTERS = (0.02, 0.03, 0.05, 0.08, 0.12, 0.2)
"""Candidates for the scatter of one charge, as a fraction of a usual one."""
USUAL_SCATTER = 0.05
QUICKER_BY_CHANCE = 0.9
"""A band that seems quicker than the one below by less than this is left as it is: that may be chance."""


class Filling(NamedTuple):
    """One pack in one charging session, as the pace sees it."""

    charger: str
    minutes: float
    soc_start_pct: float
    soc_end_pct: float
    packs_together: int = 1
    """Packs that shared the charger: they share its power too."""


class BandPace(NamedTuple):
    """Pace of one band of charge."""

    from_pct: float
    to_pct: float
    points_per_min: Estimate


class ChargingPace(NamedTuple):
    """What the record says of how fast one charger fills one of so many packs."""

    charger: str
    packs_together: int
    fits: tuple[tuple[float, float, Posterior], ...]
    """Chance, scatter of a usual charge [min], coefficients of equation (1)."""
    usual_min: float
    n: int

    @property
    def bands(self) -> tuple[BandPace, ...]:
        """Points a minute by band of charge."""
        found = []
        for index, (low, high) in enumerate(pairwise(EDGES)):
            row = [float(i == index + 1) for i in range(len(EDGES))]
            ends = self._quantiles(row, scatter=False)
            slow, mid, fast = (1 / max(end, 1e-3) for end in reversed(ends))
            found.append(BandPace(low, high, Estimate(slow, mid, fast, self.n, self._how())))
        return tuple(found)

    def minutes_to(self, soc_now_pct: float, soc_wanted_pct: float) -> Estimate:
        """Minutes from plugging in until a charge is reached [min]; 0 if it is there already.

        Args:
            soc_now_pct: Charge now [%].
            soc_wanted_pct: Charge wanted [%].
        """
        if soc_wanted_pct <= soc_now_pct:
            return Estimate(0.0, 0.0, 0.0, self.n, "it is there already")
        on_the_way = [edge for edge in EDGES if soc_now_pct < edge < soc_wanted_pct]
        ends = [
            self._quantiles(_row(soc_now_pct, reached), scatter=True)
            for reached in (*on_the_way, soc_wanted_pct)
        ]
        # What is fuller comes later: an end of the interval is never before that of an edge on the way.
        low, mid, high = (max(0.0, *column) for column in zip(*ends, strict=True))
        return Estimate(low, mid, high, self.n, self._how())

    def _quantiles(self, row: Sequence[float], *, scatter: bool) -> tuple[float, float, float]:
        parts = []
        for weight, sd, fit in self.fits:
            slowing, doubt = _slowing(row, fit.mean)
            mean, variance = fit.at(slowing)
            # A charge of any size scatters by the fraction that a usual one does, and never less than a minute.
            spread = max(sd * mean / self.usual_min, 1.0) if scatter else 0.0
            parts.append(Part(weight, mean, sqrt(variance + spread**2 + doubt**2)))
        low, mid, high = (mixture_quantile(parts, share) for share in (0.05, 0.5, 0.95))
        return low, mid, high

    def _how(self) -> str:
        together = "" if self.packs_together == 1 else f", {self.packs_together} packs together"
        return f"{self.n} charges with {self.charger or 'an unnamed charger'}{together}"


def fillings_of(charges: Iterable[ChargeFacts]) -> list[Filling]:
    """The rows of a record from which the pace can be learned: times and both charges known, 5 points or more."""
    found = []
    for session in sessions_of(charges):
        packs = len({row.serial_no for row in session})
        for row in session:
            if row.ended is None or row.soc_start_pct is None or row.soc_end_pct is None:
                continue
            if row.ended <= row.started or row.soc_end_pct - row.soc_start_pct < LEAST_FILL_PCT:
                continue
            minutes = float(row.ended - row.started)
            found.append(Filling(row.charger or "", minutes, row.soc_start_pct, row.soc_end_pct, packs))
    return found


def charging_paces(fillings: Iterable[Filling]) -> dict[tuple[str, int], ChargingPace]:
    """Pace of every charger, apart for each number of packs it fills together.

    Args:
        fillings: Of one pack, or of packs of one type.
    Returns: By charger and number of packs; those with fewer than three charges are left out. Linear.
    """
    groups: dict[tuple[str, int], list[Filling]] = {}
    for filling in fillings:
        groups.setdefault((filling.charger, filling.packs_together), []).append(filling)
    return {key: _pace_of(*key, rows) for key, rows in groups.items() if len(rows) >= FEWEST_CHARGES}


def _pace_of(charger: str, packs_together: int, rows: Sequence[Filling]) -> ChargingPace:
    # The pace below the taper is guessed from the quicker half of the charges, so that charges left plugged in do not set it.
    equivalent = [_weighted_points(row.soc_start_pct, row.soc_end_pct) for row in rows]
    base = _quick(
        [max(row.minutes - START_UP_MIN, 1.0) / points for row, points in zip(rows, equivalent, strict=True)]
    )
    usual = max(base * median(equivalent), 5.0)
    prior_mean = (START_UP_MIN, *(base * factor for factor in TAPER))
    prior_sd = (START_UP_SD, *(base * factor for factor in TAPER_SD))
    matrix = [_row(row.soc_start_pct, row.soc_end_pct) for row in rows]
    minutes = [row.minutes for row in rows]
    weights = _weights(matrix, minutes, usual, (prior_mean, prior_sd))
    sums = sums_of(matrix, minutes, weights)
    scored = []
    for scatter in SCATTERS:
        fit = posterior(sums, scatter * usual, prior_mean, prior_sd)
        score = fit.log_evidence - 0.5 * (log(scatter / USUAL_SCATTER) / log(2.0)) ** 2
        scored.append((score, scatter * usual, fit))
    best = max(score for score, _, _ in scored)
    fits = tuple((exp(score - best), sd, fit) for score, sd, fit in scored)
    return ChargingPace(charger, packs_together, fits, usual, len(rows))


def _quick(paces: Sequence[float]) -> float:
    """The 30 % point: nearer to what the charger can do than the middle is."""
    return sorted(paces)[int(0.3 * len(paces))]


def _filled(start: float, end: float) -> list[float]:
    """Points filled in each band."""
    return [max(min(end, high) - max(start, low), 0.0) for low, high in pairwise(EDGES)]


def _weighted_points(start: float, end: float) -> float:
    return sum(points * factor for points, factor in zip(_filled(start, end), TAPER, strict=True))


def _row(start: float, end: float) -> list[float]:
    return [1.0, *_filled(start, end)]


def _slowing(row: Sequence[float], minutes_per_point: Sequence[float]) -> tuple[list[float], float]:
    """The row with the points of a band that seems quicker than the one below it counted at the pace of that one.

    A charge does not get quicker towards full. Where a record says so, its charges ended with the session and not with
    the pack, or never went that far; how much slower the band is remains a guess.

    Returns: the row, and the standard deviation of that guess [min].
    """
    found, doubt, pace_of = list(row), 0.0, 1
    for band in range(2, len(row)):
        if minutes_per_point[band] >= QUICKER_BY_CHANCE * minutes_per_point[pace_of]:
            pace_of = band
            continue
        doubt += row[band] * abs(minutes_per_point[pace_of]) * TAPER_SD[band - 1]
        found[pace_of] += found[band]
        found[band] = 0.0
    return found, doubt


def _weights(
    rows: Sequence[Sequence[float]],
    minutes: Sequence[float],
    usual: float,
    prior: tuple[Sequence[float], Sequence[float]],
) -> list[float]:
    """Little weight for charges that took far longer or shorter than the others, by rounds of re-weighting."""
    weights = [1.0] * len(minutes)
    scale = 0.3 * usual
    for _ in range(6):
        fit = posterior(sums_of(rows, minutes, weights), max(scale, 0.02 * usual), *prior)
        residuals = [value - fit.at(row)[0] for row, value in zip(rows, minutes, strict=True)]
        scale = max(1.4826 * median(map(abs, residuals)), 0.01 * usual)
        # Full weight near the line: otherwise the scatter of honest charges would come out too small.
        weights = [min(weight, 1.0) for weight in robust_weights(residuals, 1.5 * scale, freedom=2.0)]
    return weights
