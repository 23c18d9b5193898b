"""What the readings of a pack point at: usable capacity by its health, the highest temperature, falls, fade, charges off limits.

What runs on over a life goes on from what was summed up of an earlier part of the record, and then gives what one pass
over the whole would have given.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.fade import SOH_PRIOR, Fade, FadePoint, fade_of, missing_for_fade
from logbook.energy.ledger_events import Event
from logbook.energy.usable import usable_from_soh
from logbook.services.pack_record import Minutes, PackRecord

Hot = tuple[float, str]
"""A temperature [°C] and when it was read (UTC)."""


def scale_of(record: PackRecord) -> Callable[[float | None], Estimate | None]:
    """Usable capacity [kWh] that a state of health [%] points at; each health is worked out once."""
    figures, known = record.figures, dict[float | None, Estimate | None]()

    def usable(soh_pct: float | None) -> Estimate | None:
        if soh_pct not in known:
            known[soh_pct] = usable_from_soh(
                figures["nominal_kwh"], soh_pct, figures["soh_zero_fraction"], figures["soh_full_fraction"]
            )
        return known[soh_pct]

    return usable


def usable_on(record: PackRecord) -> Callable[[int], Estimate | None]:
    """Usable capacity [kWh] at an instant [POSIX minutes], by the health read last before it."""
    usable, times = scale_of(record), [at for at, _ in record.health]

    def at(moment: int) -> Estimate | None:
        place = max(bisect_right(times, moment) - 1, 0)  # the first health stands for what was before it
        return usable(record.health[place][1] if times else None)

    return at


class HighestSums(NamedTuple):
    """The highest temperature so far, of flights, charges and observations apart: of equal ones the first of these counts."""

    flown: Hot | None = None
    charged: Hot | None = None
    seen: Hot | None = None


def add_highest(sums: HighestSums, record: PackRecord) -> HighestSums:
    """Goes on with a later part of the record."""
    flown = (
        (value, row.off_blocks)
        for row in record.flights
        for value in (row.temp_max_c, row.temp_landing_c, row.temp_departure_c)
        if value is not None
    )
    charged = (
        (value, charge.started)
        for charge in record.charges
        for value in (charge.temp_start_c, charge.temp_end_c)
        if value is not None
    )
    seen = ((one.temp_max_c, one.at) for one in record.observations if one.temp_max_c is not None)
    return HighestSums(_hotter(sums.flown, flown), _hotter(sums.charged, charged), _hotter(sums.seen, seen))


def highest_of(sums: HighestSums) -> Hot | None:
    """The highest temperature ever read, and when."""
    return _hotter(None, (one for one in sums if one is not None))


def _hotter(best: Hot | None, found: Iterable[Hot]) -> Hot | None:
    for one in found:
        if best is None or one[0] > best[0]:
            best = one
    return best


class FallSums(NamedTuple):
    """Cycles by discharge so far, and what the falls of charge come to at some readings.

    Attributes:
        total: up to the end.
        last: the last known charge [%].
        counter: the first and the last reading of the pack's own counter, each with the cycles by then.
        readings: how often that counter was read.
        health: state of health [%] as read since the last baseline break.
        at_health: the cycles by each of these readings.
    """

    total: float = 0.0
    last: float | None = None
    counter: tuple[tuple[float, float], ...] = ()
    readings: int = 0
    health: Sequence[float] = ()
    at_health: Sequence[float] = ()


def add_falls(sums: FallSums, record: PackRecord) -> FallSums:
    """Goes on with a later part of the record."""
    of = Minutes().of
    read = [(of(one.at), one.counter_cycles) for one in record.observations if one.counter_cycles is not None]
    by_then, _ = _fallen_by(record.events, [at for at, _ in read], (sums.total, sums.last))
    counter = [*sums.counter, *((value, cycles) for (_, value), cycles in zip(read, by_then, strict=True))]
    breaks = [of(one.at) for one in record.observations if one.baseline_break is not None]
    health = [(at, soh) for at, soh in record.health if not breaks or at >= breaks[-1]]
    by_then, end = _fallen_by(record.events, [at for at, _ in health], (sums.total, sums.last))
    earlier: tuple[Sequence[float], Sequence[float]] = ((), ()) if breaks else (sums.health, sums.at_health)
    return FallSums(
        *end,
        tuple(counter if len(counter) < 2 else (counter[0], counter[-1])),
        sums.readings + len(read),
        [*earlier[0], *(soh for _, soh in health)],
        [*earlier[1], *by_then],
    )


def counter_factor(sums: FallSums) -> float:
    """What the pack's own counter moves for each cycle by discharge; 0 where that was never to be seen."""
    if sums.readings < 2:
        return 0.0
    (first, fallen), (last, fallen_then) = sums.counter
    through = fallen_then - fallen
    return (last - first) / through if through > 0 and last > first else 0.0


def _fallen_by(
    events: Sequence[Event], moments: Sequence[int], begun: tuple[float, float | None]
) -> tuple[list[float], tuple[float, float | None]]:
    """Cycles by discharge up to each of some moments, which must be in order, and up to the end with the last charge there."""
    found: list[float] = []
    (total, last), place = begun, 0
    for event in events:
        while place < len(moments) and event.at > moments[place]:
            found.append(total)
            place += 1
        if event.soc_pct is None:
            continue
        if last is not None and event.soc_pct < last:
            total += (last - event.soc_pct) / 100
        last = event.soc_pct
    return found + [total] * (len(moments) - place), (total, last)


def health_fade(sums: FallSums) -> tuple[Fade | None, str]:
    """How the indicated state of health fades over discharge cycles since the last baseline break, or what is missing."""
    points = [FadePoint(done, soh) for done, soh in zip(sums.at_health, sums.health, strict=True)]
    return fade_of(points, SOH_PRIOR), missing_for_fade(points)


def charges_too_warm_or_cold(record: PackRecord) -> list[tuple[str, str, float, float]]:
    """Charges that began or ended outside the charging temperatures: id, started, temperature and limit [°C]."""
    least, most = record.figures["charge_min_temp_c"], record.figures["charge_max_temp_c"]
    found = []
    for charge in record.charges:
        for value in (charge.temp_start_c, charge.temp_end_c):
            limit = _passed(value, least, most)
            if value is not None and limit is not None:
                found.append((charge.charge_id, charge.started, value, limit))
                break
    return found


def _passed(value: float | None, least: float | None, most: float | None) -> float | None:
    if value is None:
        return None
    if least is not None and value < least:
        return least
    return most if most is not None and value > most else None
