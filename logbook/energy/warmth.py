"""How warm a pack gets in flight: the highest temperature of the next flight, learned from earlier ones.

    highest − before = a + b · energy used − c · (before − outside)                              (1)

The pack is warmed in proportion to the energy it gives, and cooled by the air in proportion to how much warmer it is.
The fit is Bayesian and robust, and with few flights the interval is that of the prior: wide. A forecast is made from three flights on.
See docs/packs/temperature.md.
"""

from collections.abc import Iterable, Sequence
from math import erfc, exp, log, sqrt
from statistics import median
from typing import Final, NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.small_regression import (
    Part,
    Posterior,
    mixture_quantile,
    posterior,
    robust_weights,
    sums_of,
)

FEWEST_FLIGHTS = 3
PRIOR_MEAN = (2.0, 1.0, 0.1)
"""Before any record: 2 °C a flight, 1 °C for each kWh out of the pack, a tenth of the excess over the air."""
PRIOR_SD = (4.0, 1.5, 0.2)
RISE_SDS = (0.5, 0.8, 1.2, 1.8, 2.7, 4.0, 6.0)
"""Candidates for the scatter of one rise about the line [°C]."""
USUAL_RISE_SD = 2.0
ACCEPTED: Final = 0.05
"""Chance of going above a caution or limit that needs no word [0..1]."""


class Rise(NamedTuple):
    """How warm one pack got on one flight."""

    before_c: float
    """Temperature before start [°C]."""
    highest_c: float
    """Highest in flight, or after stop where the highest was not read [°C]."""
    used_kwh: float
    """Energy the pack gave [kWh]."""
    outside_c: float | None = None
    """Air temperature; unknown is taken as the temperature before start [°C]."""


class RiseFit(NamedTuple):
    """What the record says of how a pack warms."""

    fits: tuple[tuple[float, float, Posterior], ...]
    """Chance, scatter of one flight [°C] and coefficients."""
    n: int
    most_used_kwh: float
    warmest_before_c: float

    def highest(self, before_c: float, used_kwh: float, outside_c: float | None = None) -> Estimate:
        """Highest temperature of a flight to come [°C].

        Args:
            before_c: Temperature of the pack before start [°C].
            used_kwh: Energy the pack is going to give [kWh].
            outside_c: Air temperature [°C]; unknown is taken as that of the pack.
        Returns: Never below ``before_c``. ``how`` says when the flight lies outside what was ever flown.
        """
        row = _row(Rise(before_c, before_c, used_kwh, outside_c))
        parts = []
        for weight, sd, fit in self.fits:
            mean, variance = fit.at(row)
            parts.append(Part(weight, before_c + mean, sqrt(variance + sd**2)))
        low, mid, high = (max(mixture_quantile(parts, share), before_c) for share in (0.05, 0.5, 0.95))
        how = f"rise learned from {self.n} flights"
        if used_kwh > 1.1 * self.most_used_kwh:
            how += f"; more energy than was ever used on one ({self.most_used_kwh:.1f} kWh)"
        if before_c > self.warmest_before_c + 2:
            how += f"; the pack never started this warm (up to {self.warmest_before_c:.0f} °C)"
        return Estimate(low, mid, high, self.n, how)

    def chance_above(
        self, limit_c: float, before_c: float, used_kwh: float, outside_c: float | None = None
    ) -> float:
        """Chance that a flight to come goes above a temperature [0..1]; arguments as in `highest`."""
        if before_c > limit_c:
            return 1.0
        row = _row(Rise(before_c, before_c, used_kwh, outside_c))
        total = above = 0.0
        for weight, sd, fit in self.fits:
            mean, variance = fit.at(row)
            total += weight
            above += weight * _tail((limit_c - before_c - mean) / sqrt(variance + sd**2))
        return above / total

    def warmest_start(self, limit_c: float, used_kwh: float, outside_c: float | None = None) -> float:
        """Warmest a pack may be before start so that 95 % of such flights stay below a limit [°C], by bisection.

        Args:
            limit_c: Caution or limit in flight [°C].
            used_kwh: Energy the pack is going to give [kWh].
            outside_c: Air temperature [°C]; unknown is taken as that of the pack.
        """
        low, high = limit_c - 80.0, limit_c
        for _ in range(30):
            mid = (low + high) / 2
            if self.chance_above(limit_c, mid, used_kwh, outside_c) > ACCEPTED:
                high = mid
            else:
                low = mid
        return low


def _tail(z: float) -> float:
    """Share of a normal distribution above z standard deviations."""
    return 0.5 * erfc(z / sqrt(2))


def rise_of(rises: Iterable[Rise]) -> RiseFit | None:
    """Learns how a pack warms; ``None`` with fewer than three flights.

    Args:
        rises: Flights on which energy used and both temperatures are known, of one pack or of packs of one type.
    """
    listed = [rise for rise in rises if rise.used_kwh >= 0]
    if len(listed) < FEWEST_FLIGHTS:
        return None
    rows = [_row(rise) for rise in listed]
    values = [rise.highest_c - rise.before_c for rise in listed]
    weights = _weights(rows, values)
    sums = sums_of(rows, values, weights)
    scored = []
    for sd in RISE_SDS:
        fit = posterior(sums, sd, PRIOR_MEAN, PRIOR_SD)
        scored.append((fit.log_evidence - 0.5 * (log(sd / USUAL_RISE_SD) / log(2.0)) ** 2, sd, fit))
    best = max(score for score, _, _ in scored)
    return RiseFit(
        tuple((exp(score - best), sd, fit) for score, sd, fit in scored),
        len(listed),
        max(rise.used_kwh for rise in listed),
        max(rise.before_c for rise in listed),
    )


def _row(rise: Rise) -> tuple[float, float, float]:
    excess = 0.0 if rise.outside_c is None else rise.before_c - rise.outside_c
    return 1.0, rise.used_kwh, -excess


def _weights(rows: Sequence[tuple[float, float, float]], values: Sequence[float]) -> list[float]:
    weights = [1.0] * len(values)
    for _ in range(3):
        fit = posterior(sums_of(rows, values, weights), USUAL_RISE_SD, PRIOR_MEAN, PRIOR_SD)
        residuals = [value - fit.at(row)[0] for row, value in zip(rows, values, strict=True)]
        weights = robust_weights(residuals, max(1.4826 * median(map(abs, residuals)), 0.5))
    return weights
