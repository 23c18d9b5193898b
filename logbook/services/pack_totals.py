"""What a pack has been through: cycles both ways, energy, health, heat; and how fast it is being used."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from typing import NamedTuple

from logbook.energy.cycles import (
    CHARGES,
    COUNTER,
    FLIGHTS,
    HALF_SUM,
    CycleCount,
    Tally,
    count_cycles_of,
    definition_of,
    energy_through,
    judged_cycles,
)
from logbook.energy.estimate import Estimate
from logbook.energy.fade import SOH_PRIOR, Fade, FadePoint, fade_of, missing_for_fade
from logbook.energy.ledger_events import CHARGE_START, DEPARTURE, LANDING, Event
from logbook.energy.pace import MINUTES_A_DAY, YEAR_DAYS, UsagePace, Use, usage_pace
from logbook.energy.usable import usable_from_soh
from logbook.services.pack_hours import Service
from logbook.services.pack_record import Minutes, PackRecord
from logbook.units import instant_of


class Totals(NamedTuple):
    """The sums over the record of one pack.

    Attributes:
        cycles: counted since the first reading.
        tally: cycles in the maker's own counting, or why they cannot be judged.
        energy_out: energy the pack gave [kWh]; None where its capacity is unknown.
        usable: usable capacity now by the SOH scale [kWh].
        highest: highest temperature ever read [°C] and when (UTC).
    """

    cycles: CycleCount
    tally: Tally
    energy_out: Estimate | None
    usable: Estimate | None
    soh: tuple[int, float] | None
    highest: tuple[float, str] | None
    own_counter: float | None


def totals_of(record: PackRecord) -> Totals:
    """One pass over the line of a pack for each of its sums."""
    figures = record.figures
    count = count_cycles_of(record.events)
    counters = [seen.counter_cycles for seen in record.observations if seen.counter_cycles is not None]
    counter = counters[-1] if counters else None
    soh = record.health[-1] if record.health else None
    return Totals(
        cycles=count,
        tally=judged_cycles(
            count, figures["cycle_definition"], record.pack["cycles_brought_forward"], counter
        ),
        energy_out=energy_through(record.events, usable_on(record), record.worths),
        usable=scale_of(record)(None if soh is None else soh[1]),
        soh=soh,
        highest=_highest(record),
        own_counter=counter,
    )


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


def _highest(record: PackRecord) -> tuple[float, str] | None:
    best: tuple[float, str] | None = None
    for row in record.flights:
        for value in (row.temp_max_c, row.temp_landing_c, row.temp_departure_c):
            if value is not None and (best is None or value > best[0]):
                best = value, row.off_blocks
    for charge in record.charges:
        for value in (charge.temp_start_c, charge.temp_end_c):
            if value is not None and (best is None or value > best[0]):
                best = value, charge.started
    for seen in record.observations:
        if seen.temp_max_c is not None and (best is None or seen.temp_max_c > best[0]):
            best = seen.temp_max_c, seen.at
    return best


class Used(NamedTuple):
    """What each flight took: the first, which says how long the record is, and those of the year up to the last.

    Attributes:
        maker: in its maker's cycles, where these can be counted.
        discharge: in cycles by discharge.
    """

    maker: Sequence[Use]
    discharge: Sequence[Use]


def used_of(record: PackRecord, service: Service) -> Used:
    """What the flights of a pack took, as far as any pace from now on needs it."""
    definition = definition_of(record.figures["cycle_definition"])
    hours = dict(service.by_flight)
    discharge = _last_year(_uses(record.events, hours, ""))
    if definition == COUNTER:
        factor = _counter_factor(record)
        return Used([use._replace(cycles=use.cycles * factor) for use in discharge], discharge)
    if definition in (HALF_SUM, CHARGES, FLIGHTS):
        return Used(_last_year(_uses(record.events, hours, definition)), discharge)
    return Used(discharge, discharge)


def _last_year(uses: Sequence[Use]) -> list[Use]:
    return _needed(uses, uses[-1].at) if uses else []


class Paces(NamedTuple):
    """How fast a pack is used, in its maker's cycles and by discharge."""

    maker: UsagePace
    discharge: UsagePace


def paces_of(used: Used, now: int) -> Paces:
    """Pace of use over the last twelve months; for a pack at rest, over the twelve months to its last flight.

    Args:
        used: what its flights took.
        now: no earlier than the last of them [POSIX minutes].
    """
    discharge = _pace(used.discharge, now)
    return Paces(discharge if used.maker is used.discharge else _pace(used.maker, now), discharge)


def _pace(uses: Sequence[Use], now: int) -> UsagePace:
    pace = usage_pace(_needed(uses, now), now)
    until_now = [use.at for use in uses if use.at <= now]
    if pace.hours_per_day is not None or pace.cycles_per_day is not None or not until_now:
        return pace
    last = max(until_now)
    earlier = usage_pace(_needed(uses, last), last)
    if earlier.hours_per_day is None and earlier.cycles_per_day is None:
        return pace
    return earlier._replace(words=f"{earlier.words} before its last flight on {instant_of(last)[:10]}")


def _needed(uses: Sequence[Use], now: int) -> list[Use]:
    """The first use, which says how long the record is, and those of the last year."""
    since = now - YEAR_DAYS * MINUTES_A_DAY
    return [use for place, use in enumerate(uses) if place == 0 or use.at >= since]


def _uses(events: Sequence[Event], hours: dict[int, float], counting: str) -> list[Use]:
    """What each flight took, with everything since the flight before it: a gap or a charge belongs to the next flight."""
    cycles: dict[int, float] = {}
    amount, last, off_blocks = 0.0, None, 0
    for event in events:
        if event.soc_pct is not None:
            if last is not None:
                amount += _part(event.soc_pct - last, counting)
            last = event.soc_pct
        if event.what == DEPARTURE:
            off_blocks = event.at
        elif event.what == CHARGE_START:
            amount += counting == CHARGES
        elif event.what == LANDING:
            cycles[off_blocks], amount = amount + (counting == FLIGHTS), 0.0
    moments = sorted({*cycles, *hours})
    return [Use(at, hours.get(at, 0.0), cycles.get(at, 0.0)) for at in moments]


def _part(change: float, counting: str) -> float:
    if counting == HALF_SUM:
        return abs(change) / 200
    return max(-change, 0.0) / 100 if counting == "" else 0.0


def _counter_factor(record: PackRecord) -> float:
    """What the pack's own counter moves for each cycle by discharge; 0 where that was never to be seen."""
    minutes = Minutes()
    read = [(minutes.of(s.at), s.counter_cycles) for s in record.observations if s.counter_cycles is not None]
    if len(read) < 2:
        return 0.0
    (first_at, first), (last_at, last) = read[0], read[-1]
    fallen = fallen_by(record.events, [first_at, last_at])
    through = fallen[1] - fallen[0]
    return (last - first) / through if through > 0 and last > first else 0.0


def fallen_by(events: Sequence[Event], moments: Sequence[int]) -> list[float]:
    """Cycles by discharge up to each of some moments, which must be in order."""
    found: list[float] = []
    total, last, place = 0.0, None, 0
    for event in events:
        while place < len(moments) and event.at > moments[place]:
            found.append(total)
            place += 1
        if event.soc_pct is None:
            continue
        if last is not None and event.soc_pct < last:
            total += (last - event.soc_pct) / 100
        last = event.soc_pct
    return found + [total] * (len(moments) - place)


def health_fade(record: PackRecord) -> tuple[Fade | None, str]:
    """How the indicated state of health fades over discharge cycles since the last baseline break, or what is missing."""
    minutes = Minutes()
    breaks = [minutes.of(seen.at) for seen in record.observations if seen.baseline_break is not None]
    since = breaks[-1] if breaks else -1
    read = [(at, soh) for at, soh in record.health if at >= since]
    cycles = fallen_by(record.events, [at for at, _ in read])
    points = [FadePoint(done, soh) for done, (_, soh) in zip(cycles, read, strict=True)]
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
