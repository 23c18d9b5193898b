"""The life of each pack as the energy modules read it: its line of charge, its health, its fittings and hours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final, NamedTuple

from logbook.energy.ledger_events import (
    CHARGE_END,
    CHARGE_START,
    DEPARTURE,
    LANDING,
    NOT_READ,
    OBSERVED,
    Event,
    in_order,
)
from logbook.energy.service_time import AIR, METER, Installation, ServiceFlight
from logbook.energy.worth import Worths, worths_of
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.pack_sweep import Charged, Fitting, Flown, FlownWith, PackSweep, Seen
from logbook.store.records import Records

Row = dict[str, Any]
_FIGURES: Final = (
    "nominal_kwh",
    "soh_zero_fraction",
    "soh_full_fraction",
    "unusable_soc_pct",
    "energy_by_decile",
    "temp_caution_c",
    "temp_limit_c",
    "charge_min_temp_c",
    "charge_max_temp_c",
    "takeoff_min_temp_c",
    "takeoff_max_temp_c",
    "storage_soc_pct",
    "limit_hours",
    "limit_cycles",
    "cycle_definition",
    "limit_date",
    "limit_soh_pct",
    "cells_apart_caution_mv",
    "cells_apart_limit_mv",
    "cell_limit_min_v",
    "cell_limit_max_v",
    "insulation_limit_mohm",
)


class Minutes(dict[str, int]):
    """Whole minutes since 1970 of stored instants; days are worked out once, for a fleet has few of them."""

    def __missing__(self, day: str) -> int:
        self[day] = found = (date.fromisoformat(day).toordinal() - 719163) * 1440
        return found

    def of(self, instant: str) -> int:
        """One instant [POSIX minutes]."""
        return self[instant[:10]] + int(instant[11:13]) * 60 + int(instant[14:16])

    def span(self, start: str | None, end: str | None) -> int | None:
        """From one instant to another [min]; None if either is unknown."""
        return None if start is None or end is None else self.of(end) - self.of(start)


class PackRecord(NamedTuple):
    """Everything recorded of one pack up to a moment.

    Attributes:
        pack: the recorded columns of the pack.
        figures: what its type and its aeroplane say where the pack itself is silent.
        events: its line of charge, in order.
        health: state of health as read (POSIX minutes, %), in order.
        fittings: where it was fitted, in order.
    """

    serial_no: str
    pack: Row
    figures: Row
    flights: Sequence[FlownWith]
    charges: Sequence[Charged]
    observations: Sequence[Seen]
    fittings: Sequence[Fitting]
    events: Sequence[Event]
    health: Sequence[tuple[int, float]]

    @property
    def fitted(self) -> Fitting | None:
        """Where it is fitted at the moment the record ends."""
        return next((fitting for fitting in reversed(self.fittings) if fitting.removed is None), None)

    @property
    def worths(self) -> Worths | None:
        """What a percent is worth in each tenth of charge, where that is stated."""
        return worths_of(self.figures["energy_by_decile"])

    @property
    def home(self) -> str | None:
        """The aeroplane it is, or was last, fitted to or flown on."""
        if self.fittings:
            return self.fittings[-1].aircraft
        return self.flights[-1].aircraft if self.flights else None


class Fleet(NamedTuple):
    """The packs asked for, and the flights their hours come from.

    Attributes:
        packs: by serial number.
        flown: flown flights of each aeroplane, by registration, in order of off blocks.
        bases: which clock counts as time in service in each aeroplane.
        minutes: instants of this sweep.
    """

    packs: Mapping[str, PackRecord]
    flown: Mapping[str, Sequence[ServiceFlight]]
    bases: Mapping[str, str]
    aircraft: Mapping[str, Row]
    minutes: Minutes


def read_fleet(
    book: Book,
    serials: Sequence[str] | None = None,
    until: str = "9",
    *,
    since: str = "",
    hours: bool = True,
) -> Fleet:
    """Reads packs in a few sweeps.

    Args:
        book: the open book.
        serials: the packs; None for every one that is not struck out.
        until: the last instant that counts (UTC).
        since: the first instant of flights, charges and observations; for questions about what is newest.
        hours: read the flights of the aeroplanes too, which time in service is counted from.

    Raises:
        DataRefused: the book knows no pack of that serial number.
    """
    sweep, minutes = PackSweep(book, serials, until, since), Minutes()
    where = "struck = 0" if serials is None else f"serial_no IN ({','.join('?' * len(serials))})"
    packs = {
        row["serial_no"]: row for _, row in Records(book, "pack").select(where, serials or (), "serial_no")
    }
    flights, charges = _by_pack(sweep.flights()), _by_pack(sweep.charges())
    seen, fittings = _by_pack(sweep.observations()), _by_pack(sweep.fittings())
    found: dict[str, PackRecord] = {}
    for serial, row in packs.items():
        parts = (flights.get(serial, []), charges.get(serial, []), seen.get(serial, []))
        found[serial] = PackRecord(
            serial,
            row,
            {},
            *parts,
            fittings.get(serial, []),
            line_of(*parts, minutes),
            _health(parts[0], parts[2], minutes),
        )
    homes = None if serials is None else _homes(found.values())
    aircraft = _by_key(book, "aircraft", homes)
    parts_no = None if serials is None else sorted({row["part_no"] for row in packs.values()} - {None})
    types = _by_key(book, "pack_type", parts_no)
    return Fleet(
        {serial: _with_figures(record, types, aircraft) for serial, record in found.items()},
        _service_flights(sweep.flown(homes), minutes) if hours else {},
        {name: METER if row["time_in_service_from"] == "meter" else AIR for name, row in aircraft.items()},
        aircraft,
        minutes,
    )


def _by_key(book: Book, table: str, names: Sequence[str] | None) -> dict[str, Row]:
    """Rows of a table by the name people know them by: those named, or all (of pack types, those that count)."""
    key = TABLES[table].key
    where = "struck = 0" if table == "pack_type" else "1"
    if names is not None:
        where += f" AND {key} IN ({','.join('?' * len(names))})"
    return {row[key]: row for _, row in Records(book, table).select(where, names or ())}


def _with_figures(record: PackRecord, types: Mapping[str, Row], aircraft: Mapping[str, Row]) -> PackRecord:
    """The record with what its pack says, else its type, else the aeroplane that is its home."""
    row = record.pack
    sources = (row, types.get(row["part_no"] or "", {}), aircraft.get(record.home or "", {}))
    return record._replace(figures={name: _first(sources, name) for name in _FIGURES})


def _homes(records: Any) -> list[str]:
    """Every aeroplane the packs were ever fitted to or read on."""
    return sorted({row.aircraft for record in records for row in (*record.fittings, *record.flights)})


def _by_pack(rows: Any) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    for row in rows:
        found.setdefault(row.serial_no, []).append(row)
    return found


def _first(sources: Sequence[Row], name: str) -> Any:
    return next((row[name] for row in sources if row.get(name) is not None), None)


def line_of(
    flights: Sequence[FlownWith], charges: Sequence[Charged], seen: Sequence[Seen], minutes: Minutes
) -> list[Event]:
    """The line of charge of one pack, in order; a reading that nobody made is an event without a charge."""
    line: list[Event] = []
    for row in flights:
        unread = row.source == NOT_READ
        before = None if unread else row.soc_departure_pct
        after = None if unread else row.soc_landing_pct
        line.append(Event(minutes.of(row.off_blocks), DEPARTURE, before, row.flight_id, row.source))
        line.append(Event(minutes.of(row.until), LANDING, after, row.flight_id, row.source))
    for charge in charges:
        ended = charge.ended or charge.started
        line.append(Event(minutes.of(charge.started), CHARGE_START, charge.soc_start_pct, charge.charge_id))
        line.append(Event(minutes.of(ended), CHARGE_END, charge.soc_end_pct, charge.charge_id))
    line += [
        Event(minutes.of(one.at), OBSERVED, one.soc_pct, one.observation_id)
        for one in seen
        if one.soc_pct is not None
    ]
    return in_order(line)


def _health(flights: Sequence[FlownWith], seen: Sequence[Seen], minutes: Minutes) -> list[tuple[int, float]]:
    read = [
        (minutes.of(row.off_blocks), row.soh_pct)
        for row in flights
        if row.soh_pct is not None and row.source != NOT_READ
    ]
    read += [(minutes.of(one.at), one.soh_pct) for one in seen if one.soh_pct is not None]
    return sorted(read)


def _service_flights(rows: Any, minutes: Minutes) -> dict[str, list[ServiceFlight]]:
    found: dict[str, list[ServiceFlight]] = {}
    row: Flown
    for row in rows:
        found.setdefault(row.aircraft, []).append(service_flight_of(row, minutes))
    return found


def service_flight_of(row: Flown, minutes: Minutes) -> ServiceFlight:
    """What one flight counts for; landings are unknown where neither day nor night was written down."""
    meter = None
    if row.meter_start is not None and row.meter_end is not None:
        meter = round((row.meter_end - row.meter_start) * 60, 3)
    landings = None
    if row.landings_day is not None or row.landings_night is not None:
        landings = (row.landings_day or 0) + (row.landings_night or 0)
    return ServiceFlight(
        minutes.of(row.off_blocks),
        minutes.span(row.takeoff, row.landing),
        minutes.span(row.off_blocks, row.on_blocks),
        meter,
        landings,
    )


def installations_of(record: PackRecord, minutes: Minutes) -> list[Installation]:
    """The fittings of a pack as time in service is counted over them."""
    return [
        Installation(
            row.serial_no,
            row.aircraft,
            minutes.of(row.fitted),
            None if row.removed is None else minutes.of(row.removed),
            row.position,
        )
        for row in record.fittings
    ]
