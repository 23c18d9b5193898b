"""From the record of one aeroplane to the plain facts that the estimates read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from logbook.domain.sources import TRUSTED
from logbook.energy.record import (
    WHOLE,
    AircraftFacts,
    AircraftHistory,
    BreakFacts,
    ChargeFacts,
    CheckFacts,
    FlightFacts,
    PackFacts,
    ReadingFacts,
)
from logbook.errors import DataRefused
from logbook.services.cases import Cases
from logbook.store.database import Book
from logbook.store.histories import FlownRow, Histories, ReadRow
from logbook.store.records import Records
from logbook.units import minutes_of


def history_of(book: Book, aircraft: str) -> AircraftHistory:
    """Everything recorded of an aeroplane and every pack that was ever in it.

    Raises:
        DataRefused: the book knows no such aeroplane.
    """
    found = Records(book, "aircraft").find(aircraft)
    if found is None:
        raise DataRefused(
            f"The book knows no aircraft '{aircraft}'.", next_step="See 'logbook list aircraft'."
        )
    row, sweep = found[1], Histories(book)
    facts, serials = aircraft_facts(row), sweep.packs(row["registration"])
    flights = _flights(sweep, facts)
    nameless = any(
        not reading.packs and reading.serial_no == WHOLE for f in flights for reading in f.readings
    )
    return AircraftHistory(
        aircraft=facts,
        packs=pack_facts(book, facts.registration, [*serials, WHOLE] if nameless else serials),
        flights=flights,
        charges=tuple(charge_facts(raw) for raw in sweep.charges(serials)),
        checks=tuple(
            CheckFacts(serial, minutes_of(at), kwh, kw) for serial, at, kwh, kw in sweep.checks(serials)
        ),
        breaks=tuple(
            BreakFacts(serial, minutes_of(at), why or "") for serial, at, why in sweep.breaks(serials)
        ),
    )


def aircraft_facts(row: dict[str, Any]) -> AircraftFacts:
    """What handbook and operator say, from the recorded columns; impossible figures count as unknown."""
    values = {name: row[name] for name in AircraftFacts._fields if name not in ("registration", "positions")}
    known = {name: value if value is not None and value >= 0 else None for name, value in values.items()}
    return AircraftFacts(registration=row["registration"], positions=tuple(row["positions"]), **known)


def pack_facts(book: Book, aircraft: str, serials: Iterable[str]) -> tuple[PackFacts, ...]:
    """What is stated about each pack, its type and the aeroplane filling in."""
    cases = Cases(book)
    found = []
    for serial in serials:
        limits = cases.limits(aircraft, serial)
        found.append(
            PackFacts(
                serial_no=serial,
                nominal_kwh=_positive(limits.nominal_kwh),
                soh_zero_fraction=limits.soh_zero_fraction,
                soh_full_fraction=limits.soh_full_fraction,
                unusable_soc_pct=limits.unusable_soc_pct,
                curve=None if limits.energy_by_decile is None else tuple(limits.energy_by_decile),
            )
        )
    return tuple(found)


def _flights(sweep: Histories, aircraft: AircraftFacts) -> tuple[FlightFacts, ...]:
    fitted = _Fitted(sweep.fittings(aircraft.registration), len(aircraft.positions))
    readings: dict[int, list[ReadRow]] = {}
    for reading in sweep.readings(aircraft.registration):
        readings.setdefault(reading.flight, []).append(reading)
    return tuple(
        _flight(row, readings.get(row.n, []), fitted) for row in sweep.flights(aircraft.registration)
    )


class _Fitted:
    """Where each pack was at a moment, and whether every position was filled."""

    def __init__(self, fittings: list[tuple[str, str, str, str | None]], positions: int) -> None:
        self._count = positions
        self._of: dict[str, list[tuple[str, str, str]]] = {}
        for serial, position, fitted, removed in fittings:
            self._of.setdefault(serial, []).append((fitted, removed or "9", position))

    def all_at(self, moment: str) -> tuple[str, ...]:
        """Every pack that was fitted; none where a position was empty or filled twice, as far as the book knows."""
        found = tuple(serial for serial in self._of if self.at(serial, moment) is not None)
        return found if len(found) == self._count else ()

    def at(self, serial: str, moment: str) -> str | None:
        for fitted, removed, position in self._of.get(serial, ()):
            if fitted <= moment < removed:
                return position
        return None


def _flight(row: FlownRow, readings: list[ReadRow], fitted: _Fitted) -> FlightFacts:
    single = any(one.serial_no is not None and _both_read(one) for one in readings)
    return FlightFacts(
        flight_id=row.flight_id,
        off_blocks=minutes_of(row.off_blocks),
        takeoff=_minutes(row.takeoff),
        landing=_minutes(row.landing),
        on_blocks=_minutes(row.on_blocks),
        kind=row.kind or "",
        circuits=row.circuits,
        climb_ft=_not_negative(row.climb_ft),
        highest_ft=_not_negative(row.highest_ft),
        level_min=_not_negative(row.level_min),
        level_kw=_positive(row.level_kw),
        mass_kg=_positive(row.mass_kg),
        aboard=row.aboard,
        handler=row.handler,
        outside_temp_c=row.outside_temp_c,
        wind_dir=row.wind_dir,
        wind_kt=_not_negative(row.wind_kt),
        landings=row.landings,
        readings=tuple(_reading(one, fitted, row.off_blocks, single=single) for one in readings),
        place_from=row.place_from or "",
        place_to=row.place_to or "",
    )


def _both_read(reading: ReadRow) -> bool:
    return None not in (reading.soc_departure_pct, reading.soc_landing_pct)


def _reading(row: ReadRow, fitted: _Fitted, at: str, *, single: bool) -> ReadingFacts:
    """A reading; of one figure for the whole aeroplane nothing is learned where single packs were read beside it."""
    whole = row.serial_no is None
    return ReadingFacts(
        serial_no=WHOLE if row.serial_no is None else row.serial_no,
        position=None if row.serial_no is None else fitted.at(row.serial_no, at),
        soc_departure_pct=row.soc_departure_pct,
        soc_landing_pct=row.soc_landing_pct,
        soh_pct=row.soh_pct,
        temp_departure_c=row.temp_departure_c,
        counts=row.source in TRUSTED and not (whole and single),
        packs=fitted.all_at(at) if whole else (),
    )


def charge_facts(raw: tuple[Any, ...]) -> ChargeFacts:
    """One row of the sweep over charges as the estimates read it."""
    charge_id, serial, started, ended, charger, purpose, soc_from, soc_to, own, shared, *_ = raw
    return ChargeFacts(
        charge_id,
        serial,
        minutes_of(started),
        _minutes(ended),
        charger,
        purpose,
        soc_from,
        soc_to,
        _not_negative(own),
        _not_negative(shared),
    )


def _minutes(instant: str | None) -> int | None:
    return None if instant is None else minutes_of(instant)


def _not_negative(value: float | None) -> float | None:
    return value if value is not None and value >= 0 else None


def _positive(value: float | None) -> float | None:
    return value if value is not None and value > 0 else None
