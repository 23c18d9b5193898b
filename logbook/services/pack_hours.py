"""Time in service of a pack: over all its fittings, by the clock each aeroplane counts with, and how it was counted."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from logbook.energy.service_time import (
    AIR,
    METER,
    NONE,
    Installation,
    ServiceSums,
    TimeInService,
    add_service,
    counted,
    flown_with,
    service_so_far,
)
from logbook.services.pack_record import Fleet, PackRecord, installations_of


class Service(NamedTuple):
    """What a pack has accrued, brought-forward figures included.

    Attributes:
        hours: time in service [h].
        landings: how many.
        flights: how many were counted.
        basis: by which clock, and every fall-back, in words.
    """

    hours: float
    landings: int
    flights: int
    basis: str


class HoursSums(NamedTuple):
    """The flights of a pack counted so far, from which the count can go on.

    Attributes:
        by_clock: the sums of the aeroplanes that count by one clock, for each clock that any of them counts by.
        read: flights on which the pack was read.
        elsewhere: those of them during which it was not fitted to that aeroplane.
    """

    by_clock: Mapping[str, ServiceSums] = MappingProxyType({})
    read: int = 0
    elsewhere: int = 0


def add_hours(sums: HoursSums, record: PackRecord, fleet: Fleet) -> tuple[HoursSums, dict[int, float]]:
    """Goes on counting with a later part of the record; also gives the hours of each flight by off blocks [POSIX minutes; h].

    A pack accrues time only while it is fitted (14 CFR 43.10). Where the book knows no fitting of a pack at all, the
    flights on which it was read stand for them; see `service_of`.
    """
    fittings = installations_of(record, fleet.minutes)
    elsewhere = _read_elsewhere(record, fleet, fittings) if fittings else 0
    by_clock, by_flight = dict(sums.by_clock), dict[int, float]()
    for basis, chosen in _by_basis(fittings or _as_read(record, fleet), fleet):
        flown = list(flown_with(record.serial_no, chosen, fleet.flown))
        by_clock[basis] = add_service(by_clock.get(basis, ServiceSums()), flown, basis)
        by_flight |= {flight.off_blocks: counted(flight, basis)[1] / 60 for flight in flown}
    return HoursSums(by_clock, sums.read + len(record.flights), sums.elsewhere + elsewhere), by_flight


def service_of(record: PackRecord, sums: HoursSums) -> Service:
    """Hours and landings of one pack, from what was counted.

    Where flights on which it was read stand for fittings, the basis says so; flights on which it was read while it was
    not fitted there are named and not counted.
    """
    notes: list[str] = []
    if not record.fittings and sums.read:
        notes.append("no fitting is recorded: counted are the flights on which it was read")
    elif sums.elsewhere:
        notes.append(f"not counted: {sums.elsewhere} flights on which it was read but not fitted")
    parts = [
        (basis, service_so_far(sums.by_clock[basis], basis))
        for basis in (AIR, METER)
        if basis in sums.by_clock
    ]
    before = record.pack["hours_brought_forward"], record.pack["landings_brought_forward"]
    return Service(
        hours=(before[0] or 0.0) + sum(part.hours for _, part in parts),
        landings=round(before[1] or 0) + sum(part.landings for _, part in parts),
        flights=sum(part.flights for _, part in parts),
        basis="; ".join([*_words(parts), *notes, *_brought_forward(*before)]),
    )


def _by_basis(fittings: Sequence[Installation], fleet: Fleet) -> Iterator[tuple[str, list[Installation]]]:
    for basis in (AIR, METER):
        chosen = [one for one in fittings if fleet.bases.get(one.aircraft, AIR) == basis]
        if chosen:
            yield basis, chosen


def _words(parts: Sequence[tuple[str, TimeInService]]) -> list[str]:
    flown = [(basis, part) for basis, part in parts if part.flights]
    if not flown:
        return ["no flights while fitted"]
    return [_of_one(basis, part) for basis, part in flown]


def _of_one(basis: str, part: TimeInService) -> str:
    """The clock alone where all flights were counted by one, else the words of the count."""
    taken = [name for name, times in part.by_basis.items() if times]
    if len(taken) == 1 and taken[0] not in (basis, NONE):
        return part.words.replace(f"by {basis}; {part.flights} of {part.flights} flights by", "by", 1)
    return part.words


def _brought_forward(hours: float | None, landings: float | None) -> list[str]:
    found = [
        f"{amount:g} {unit}" for amount, unit in ((hours, "h"), (landings, "landings")) if amount is not None
    ]
    return [f"{' and '.join(found)} brought forward"] if found else []


def _as_read(record: PackRecord, fleet: Fleet) -> list[Installation]:
    found = []
    for row in record.flights:
        at = fleet.minutes.of(row.off_blocks)
        found.append(Installation(record.serial_no, row.aircraft, at, at + 1))
    return found


def _read_elsewhere(record: PackRecord, fleet: Fleet, fittings: Sequence[Installation]) -> int:
    starts = [one.fitted for one in fittings]
    outside = 0
    for row in record.flights:
        if row.outcome != "flown":
            continue
        at = fleet.minutes.of(row.off_blocks)
        place = bisect_right(starts, at) - 1
        one = fittings[place] if place >= 0 else None
        fitted = (
            one is not None and one.aircraft == row.aircraft and (one.removed is None or at < one.removed)
        )
        outside += not fitted
    return outside
