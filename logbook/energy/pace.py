"""How fast a pack is being used: hours and cycles a day, from its last twelve months."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise
from math import dist, exp, hypot, log, sqrt
from typing import NamedTuple

from logbook.energy.estimate import Z90, Estimate

MINUTES_A_DAY = 1440.0
YEAR_DAYS = 365.0
BUCKET_DAYS = 30.0
FEWEST_FLIGHTS = 5
SHORTEST_DAYS = 60.0
CHANGE_OF_USE_SD = 0.25
"""How much the use of the coming years may differ from the last one, as a fraction (common practice, no source)."""


class Uses(NamedTuple):
    """What the flights of a pack took, a column for each figure: no two at one moment, in order of time.

    The first is the first there ever was, as it says how long the record is; between it and the last twelve months any
    may be left out.
    """

    at: Sequence[int]
    """[POSIX minutes]"""
    hours: Sequence[float]
    cycles: Sequence[float]
    """In the counting of the limit they are compared with."""


class UsagePace(NamedTuple):
    """How fast a pack is used, or what is missing to say so."""

    hours_per_day: Estimate | None
    cycles_per_day: Estimate | None
    hours_per_cycle: Estimate | None
    words: str
    """How it was made, or what is missing."""


def usage_pace(uses: Uses, now: int) -> UsagePace:
    """Pace of use from the last twelve months, or from as much of them as there is.

    The interval holds the scatter between months and a possible change of use; it is log-normal, so never below nothing.

    Args:
        uses: Flights of the pack; those after now are left out.
        now: [POSIX minutes]
    """
    end = bisect_right(uses.at, now)
    start = bisect_left(uses.at, now - YEAR_DAYS * MINUTES_A_DAY, 0, end)
    count = end - start
    if count < FEWEST_FLIGHTS:
        return _unknown(
            f"needs {FEWEST_FLIGHTS} flights in the last twelve months to know the pace, has {count}"
        )
    span = min((now - uses.at[0]) / MINUTES_A_DAY, YEAR_DAYS)
    if span < SHORTEST_DAYS:
        return _unknown(
            f"needs a record of {SHORTEST_DAYS:.0f} days to know the pace, this pack's has {span:.0f}"
        )
    how = f"{count} flights in the last {span:.0f} days"
    ends = _months(uses.at[start:end], now, span)
    hours, cycles = uses.hours[start:end], uses.cycles[start:end]
    return UsagePace(
        _rate(hours, ends, span, how),
        _rate(cycles, ends, span, how),
        _ratio(hours, cycles, how),
        f"from {how}",
    )


def _months(at: Sequence[int], now: int, span: float) -> list[int]:
    """Where each month of 30 days ends among the flights, oldest month first, which are found by halving."""
    count = max(int(span / BUCKET_DAYS), 2)

    def from_the_oldest(moment: int) -> int:
        age = (now - moment) / MINUTES_A_DAY
        return count - 1 - min(int(age / span * count), count - 1)

    return [bisect_right(at, month, key=from_the_oldest) for month in range(count)]


def _unknown(words: str) -> UsagePace:
    return UsagePace(None, None, None, words)


def _rate(amounts: Sequence[float], ends: Sequence[int], span: float, how: str) -> Estimate | None:
    """Amount a day, with an interval from the scatter between months of 30 days."""
    total = sum(amounts)
    if total <= 0:
        return None
    count = len(ends)
    buckets = [sum(amounts[start:end]) for start, end in pairwise((0, *ends))]
    mean = total / count
    variance = sum((bucket - mean) ** 2 for bucket in buckets) / (count - 1)
    relative = sqrt(variance / count / mean**2 + CHANGE_OF_USE_SD**2)
    return spread_about(total / span, relative, len(amounts), how)


def _ratio(hours: Sequence[float], cycles: Sequence[float], how: str) -> Estimate | None:
    """Flight hours to one cycle: far steadier than either of them a day."""
    flown, through = sum(hours), sum(cycles)
    if flown <= 0 or through <= 0:
        return None
    ratio = flown / through
    errors = dist(hours, [ratio * one for one in cycles])
    return spread_about(ratio, hypot(errors / flown, 0.05), len(hours), how)


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
