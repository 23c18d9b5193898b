"""How fast a pack is being used: hours and cycles a day, from its last twelve months."""

from collections.abc import Iterable, Sequence
from math import exp, hypot, log, sqrt
from typing import NamedTuple

from logbook.energy.estimate import Z90, Estimate

MINUTES_A_DAY = 1440.0
YEAR_DAYS = 365.0
BUCKET_DAYS = 30.0
FEWEST_FLIGHTS = 5
SHORTEST_DAYS = 60.0
CHANGE_OF_USE_SD = 0.25
"""How much the use of the coming years may differ from the last one, as a fraction (common practice, no source)."""


class Use(NamedTuple):
    """What one flight took of a pack."""

    at: int
    """[POSIX minutes]"""
    hours: float
    cycles: float
    """In the counting of the limit it is compared with."""


class UsagePace(NamedTuple):
    """How fast a pack is used, or what is missing to say so."""

    hours_per_day: Estimate | None
    cycles_per_day: Estimate | None
    hours_per_cycle: Estimate | None
    words: str
    """How it was made, or what is missing."""


def usage_pace(uses: Iterable[Use], now: int) -> UsagePace:
    """Pace of use from the last twelve months, or from as much of them as there is.

    The interval holds the scatter between months and a possible change of use; it is log-normal, so never below nothing.

    Args:
        uses: Flights of the pack, in any order; those after now are left out.
        now: [POSIX minutes]
    """
    until_now = sorted(use for use in uses if use.at <= now)
    recent = [use for use in until_now if now - use.at <= YEAR_DAYS * MINUTES_A_DAY]
    if len(recent) < FEWEST_FLIGHTS:
        return _unknown(
            f"needs {FEWEST_FLIGHTS} flights in the last twelve months to know the pace, has {len(recent)}"
        )
    span = min((now - until_now[0].at) / MINUTES_A_DAY, YEAR_DAYS)
    if span < SHORTEST_DAYS:
        return _unknown(
            f"needs a record of {SHORTEST_DAYS:.0f} days to know the pace, this pack's has {span:.0f}"
        )
    how = f"{len(recent)} flights in the last {span:.0f} days"
    ages = [(now - use.at) / MINUTES_A_DAY for use in recent]
    hours = _rate(ages, [use.hours for use in recent], span, how)
    cycles = _rate(ages, [use.cycles for use in recent], span, how)
    return UsagePace(hours, cycles, _ratio(recent, how), f"from {how}")


def _unknown(words: str) -> UsagePace:
    return UsagePace(None, None, None, words)


def _rate(ages: Sequence[float], amounts: Sequence[float], span: float, how: str) -> Estimate | None:
    """Amount a day, with an interval from the scatter between months of 30 days."""
    total = sum(amounts)
    if total <= 0:
        return None
    count = max(int(span / BUCKET_DAYS), 2)
    buckets = [0.0] * count
    for age, amount in zip(ages, amounts, strict=True):
        buckets[min(int(age / span * count), count - 1)] += amount
    mean = total / count
    variance = sum((bucket - mean) ** 2 for bucket in buckets) / (count - 1)
    relative = sqrt(variance / count / mean**2 + CHANGE_OF_USE_SD**2)
    return spread_about(total / span, relative, len(amounts), how)


def _ratio(recent: Sequence[Use], how: str) -> Estimate | None:
    """Flight hours to one cycle: far steadier than either of them a day."""
    hours, cycles = sum(use.hours for use in recent), sum(use.cycles for use in recent)
    if hours <= 0 or cycles <= 0:
        return None
    ratio = hours / cycles
    errors = sum((use.hours - ratio * use.cycles) ** 2 for use in recent)
    relative = sqrt(errors / hours**2 + 0.05**2)
    return spread_about(ratio, relative, len(recent), how)


def spread_about(mid: float, relative_sd: float, n: int, how: str) -> Estimate:
    """A log-normal 90 % interval about a positive middle value."""
    factor = exp(Z90 * sqrt(log(1 + relative_sd**2)))
    return Estimate(mid / factor, mid, mid * factor, n, how)


def quotient(amount: Estimate, rate: Estimate) -> Estimate:
    """Amount over rate, rate positive and independent: relative widths add as squares, on each side apart."""
    return _combined(amount, rate, 1 / rate.mid, _up(rate), _down(rate))


def product(amount: Estimate, rate: Estimate) -> Estimate:
    """Amount times rate, rate positive and independent; see `quotient`."""
    return _combined(amount, rate, rate.mid, _down(rate), _up(rate))


def _combined(amount: Estimate, rate: Estimate, scale: float, below: float, above: float) -> Estimate:
    """The amount times ``scale``, widened by the widths of the rate, which are given as logarithms."""
    how = "; ".join(part for part in (amount.how, rate.how) if part)
    n = min(amount.n, rate.n) if amount.n and rate.n else max(amount.n, rate.n)
    if amount.mid <= 0:
        return Estimate(0.0, 0.0, max(amount.high, 0.0) * scale * exp(above), n, how)
    mid = amount.mid * scale
    low, high = mid * exp(-hypot(_down(amount), below)), mid * exp(hypot(_up(amount), above))
    return Estimate(low, mid, high, n, how)


def _down(value: Estimate) -> float:
    """Width below the middle as a logarithm; a lower end at nothing is taken as a thousandth."""
    return log(value.mid / max(value.low, 1e-3 * value.mid))


def _up(value: Estimate) -> float:
    return log(max(value.high, value.mid) / value.mid)
