"""The record of one pack summed up, so that the sums can go on: an appended flight needs the newest part of the record only.

`summed` over a whole record, and `summed` over its first part and then over the rest, are the same to the last bit, for each
sum goes through the record in order of time and keeps what it needs to go on. That holds where the record is cut at a moment
at which no flight and no charge was under way (`clean_cut`).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from logbook.energy.cycles import CycleSums, EnergySums, add_cycles, add_energy
from logbook.energy.ledger_events import CHARGE_END, CHARGE_START, OBSERVED
from logbook.energy.rainflow import DepthSums
from logbook.energy.service_time import ServiceFlight, ServiceSums
from logbook.services.pack_hours import HoursSums, add_hours
from logbook.services.pack_record import Fleet, PackRecord
from logbook.services.pack_totals import (
    FallSums,
    HighestSums,
    add_falls,
    add_highest,
    charges_too_warm_or_cold,
    usable_on,
)
from logbook.services.pack_used import UsedSums, add_used
from logbook.store.pack_sweep import Fitting

Row = dict[str, Any]


class Sums(NamedTuple):
    """What a pack has accrued so far.

    Attributes:
        hours: flights and their clocks.
        cycles, energy, highest, falls, used: as their modules say.
        soh: the newest state of health: when [POSIX minutes], and how much [%].
        charges_off: charges outside the charging temperatures.
        newest: the newest instant that counted [POSIX minutes]; as of any later moment it is the same.
    """

    hours: HoursSums = HoursSums()
    cycles: CycleSums = CycleSums()
    energy: EnergySums = EnergySums()
    highest: HighestSums = HighestSums()
    falls: FallSums = FallSums()
    used: UsedSums = UsedSums()
    soh: tuple[int, float] | None = None
    charges_off: int = 0
    newest: int = 0


def summed(record: PackRecord, fleet: Fleet, begun: Sums = Sums()) -> Sums:  # noqa: B008 - a constant
    """Sums up a record, or goes on with a later part of it.

    Args:
        record: all of it, or what comes after the part that is summed up.
        fleet: with the flights of the aeroplanes over the same time.
        begun: the sums of the earlier part.
    """
    hours, by_flight = add_hours(begun.hours, record, fleet)
    known = record if begun.soh is None else record._replace(health=[begun.soh, *record.health])
    definition = record.figures["cycle_definition"]
    return Sums(
        hours,
        add_cycles(begun.cycles, record.events),
        add_energy(begun.energy, record.events, usable_on(known), record.worths),
        add_highest(begun.highest, record),
        add_falls(begun.falls, record),
        add_used(begun.used, record.events, by_flight, definition),
        record.health[-1] if record.health else begun.soh,
        begun.charges_off + len(charges_too_warm_or_cold(record)),
        max(begun.newest, _newest(record, fleet)),
    )


def _newest(record: PackRecord, fleet: Fleet) -> int:
    of = fleet.minutes.of
    times = [of(one) for row in record.fittings for one in (row.fitted, row.removed) if one is not None]
    times += [event.at for event in record.events]
    times += [of(seen.at) for seen in record.observations[-1:]]
    times += [of(flight.off_blocks) for flight in record.flights[-1:]]
    times += [at for row in record.fittings if (at := _last_flown(row, fleet)) is not None]
    return max(times, default=0)


def _last_flown(fitting: Fitting, fleet: Fleet) -> int | None:
    """When the aeroplane of a fitting flew last during it; later flights of it do not concern the pack."""
    of, flown = fleet.minutes.of, fleet.flown.get(fitting.aircraft, ())
    end = len(flown)
    if fitting.removed is not None:
        end = bisect_left(flown, of(fitting.removed), key=_off_blocks)
    return flown[end - 1].off_blocks if end and flown[end - 1].off_blocks >= of(fitting.fitted) else None


def _off_blocks(flight: ServiceFlight) -> int:
    return flight.off_blocks


# -- where a record is cut -----------------------------------------------------------------------------------------------


def clean_cut(record: PackRecord, behind: int) -> int | None:
    """The last moment [POSIX minutes] with enough records behind it at which none was under way; None where there is none.

    Everything of the record is then either before it, or at it and later.

    Args:
        record: the whole record.
        behind: how many flights and charges must begin at the cut or later.
    """
    under_way: set[tuple[str, bool]] = set()
    left, events = behind, record.events
    for place in range(len(events) - 1, 0, -1):
        event = events[place]
        if event.what != OBSERVED:
            key = event.record_id, event.what in (CHARGE_START, CHARGE_END)
            left -= key in under_way  # its other end was behind this one
            under_way ^= {key}
        if left <= 0 and not under_way and events[place - 1].at < event.at:
            return event.at
    return None


def parts_of(
    record: PackRecord, fleet: Fleet, at: int
) -> tuple[tuple[PackRecord, Fleet], tuple[PackRecord, Fleet]]:
    """A record with the flights that concern it, cut in two: what was before a moment [POSIX minutes], and the rest."""
    of = fleet.minutes.of
    cuts = (
        bisect_left(record.flights, at, key=lambda row: of(row.off_blocks)),
        bisect_left(record.charges, at, key=lambda row: of(row.started)),
        bisect_left(record.observations, at, key=lambda row: of(row.at)),
        bisect_left(record.events, at, key=lambda event: event.at),
        bisect_left(record.health, at, key=lambda read: read[0]),
    )
    homes = {one.aircraft for one in record.fittings} | {one.aircraft for one in record.flights}
    ends = {name: bisect_left(fleet.flown.get(name, ()), at, key=_off_blocks) for name in homes}
    head, rest = _slices(record, cuts, first=True), _slices(record, cuts, first=False)
    before = {name: fleet.flown.get(name, ())[:end] for name, end in ends.items()}
    after = {name: fleet.flown.get(name, ())[end:] for name, end in ends.items()}
    return (head, fleet._replace(flown=before)), (rest, fleet._replace(flown=after))


def _slices(record: PackRecord, cuts: Sequence[int], *, first: bool) -> PackRecord:
    flights, charges, seen, events, health = (slice(0, at) if first else slice(at, None) for at in cuts)
    return record._replace(
        flights=record.flights[flights],
        charges=record.charges[charges],
        observations=record.observations[seen],
        events=record.events[events],
        health=record.health[health],
    )


# -- as plain values, for the book ---------------------------------------------------------------------------------------


def from_plain_sums(kept: Sequence[Any]) -> Sums:
    """Sums again, after a way through JSON, which makes lists of them."""
    hours, cycles, energy, highest, falls, used, soh, charges_off, newest = kept
    changes, charges, flights, depths, first_at, last_at = cycles
    bins, stack, value = depths
    counted = DepthSums(tuple(bins), tuple(stack), value)
    total, last, counter, *rest = falls
    at, by_hours, discharge, maker, since_landing, charge = used
    by_clock: Mapping[str, Any] = hours[0]
    return Sums(
        HoursSums({clock: ServiceSums(*sums) for clock, sums in by_clock.items()}, *hours[1:]),
        CycleSums(tuple(changes), charges, flights, counted, first_at, last_at),
        EnergySums(*energy),
        HighestSums(*(None if one is None else tuple(one) for one in highest)),
        FallSums(total, last, tuple(tuple(one) for one in counter), *rest),
        UsedSums(at, by_hours, discharge, maker, tuple(since_landing), charge),
        None if soh is None else tuple(soh),
        charges_off,
        newest,
    )
