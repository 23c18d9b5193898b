"""Time in service of a pack: over all its fittings, by the clock each aeroplane counts with, and how it was counted."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from logbook.energy.service_time import (
    AIR,
    METER,
    NONE,
    Installation,
    ServiceFlight,
    TimeInService,
    counted,
    flown_with,
    time_in_service,
)
from logbook.services.pack_record import Fleet, PackRecord, installations_of


class Service(NamedTuple):
    """What a pack has accrued, brought-forward figures included.

    Attributes:
        hours: time in service [h].
        landings: how many.
        flights: how many were counted.
        basis: by which clock, and every fall-back, in words.
        by_flight: hours of each flight (off blocks, POSIX minutes; h), in order.
    """

    hours: float
    landings: int
    flights: int
    basis: str
    by_flight: Sequence[tuple[int, float]]


def service_of(record: PackRecord, fleet: Fleet) -> Service:
    """Hours and landings of one pack.

    A pack accrues time only while it is fitted (14 CFR 43.10). Where the book knows no fitting of a pack at all, the
    flights on which it was read stand for them, and the basis says so; flights on which it was read while it was
    not fitted there are named and not counted.
    """
    fittings = installations_of(record, fleet.minutes)
    notes: list[str] = []
    if not fittings and record.flights:
        fittings = _as_read(record, fleet)
        notes.append("no fitting is recorded: counted are the flights on which it was read")
    elif fittings:
        outside = _read_elsewhere(record, fleet, fittings)
        if outside:
            notes.append(f"not counted: {outside} flights on which it was read but not fitted")
    parts = [
        (basis, time_in_service(record.serial_no, chosen, fleet.flown, basis=basis))
        for basis, chosen in _by_basis(fittings, fleet)
    ]
    before = record.pack["hours_brought_forward"], record.pack["landings_brought_forward"]
    return Service(
        hours=(before[0] or 0.0) + sum(part.hours for _, part in parts),
        landings=round(before[1] or 0) + sum(part.landings for _, part in parts),
        flights=sum(part.flights for _, part in parts),
        basis="; ".join([*_words(parts), *notes, *_brought_forward(*before)]),
        by_flight=sorted(_by_flight(record.serial_no, fittings, fleet)),
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


def _by_flight(serial_no: str, fittings: Sequence[Installation], fleet: Fleet) -> Iterator[tuple[int, float]]:
    for basis, chosen in _by_basis(fittings, fleet):
        flight: ServiceFlight
        for flight in flown_with(serial_no, chosen, fleet.flown):
            yield flight.off_blocks, counted(flight, basis)[1] / 60
