"""Puts together what the rules look at: a flight, its packs, and what the record holds around it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any, Final, NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.usable import PackNow, energy_of_drop, minutes_left, usable_from_soh
from logbook.rules.case import (
    Event,
    FlightCase,
    Limits,
    Neighbour,
    PackCase,
    final_reserve,
    in_force,
    unread_of,
)
from logbook.services.grounding import GROUNDING, in_state
from logbook.services.recorded import Recordings
from logbook.services.whole_gauge import limits_together
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.neighbours import flights_beside
from logbook.store.pack_events import PackEvents
from logbook.store.pack_states import PackState, pack_states, state_at
from logbook.store.records import Records
from logbook.units import between, shown_instant

Row = dict[str, Any]
PackEventsAround = tuple[tuple[Event, ...], Event | None]
"""A pack's events since, and with, its last flight before a flight, in order of time; and the event after it."""


_PACK: Final = "serial_no = ?"
_BREAKS: Final = "serial_no = ? AND struck = 0 AND baseline_break IS NOT NULL"
_GROUNDING: Final = "serial_no = ? AND struck = 0 AND needs_inspection = 1"


class Around(NamedTuple):
    """What the record holds around a flight.

    Attributes:
        packs: for each of its readings, in their order.
        previous: the flight of the aeroplane before.
        following: the flight of the aeroplane after.
    """

    packs: tuple[PackEventsAround, ...]
    previous: Neighbour | None = None
    following: Neighbour | None = None


class Cases:
    """Builds the case of any flight; what several flights have in common is read once."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._events = PackEvents(book)
        self._limits: dict[tuple[str, str], Limits] = {}
        self._rows: dict[tuple[str, str, str], list[Row]] = {}
        self._fitted_in: dict[str, dict[str, list[Row]]] = {}
        self._grounding: dict[str, list[Row]] = {}
        self._states: dict[str, list[PackState]] = {}
        self._recordings = Recordings(book)

    def _aircraft(self, registration: str) -> Row:
        return next(iter(self._kept("aircraft", "registration = ?", registration)), {})

    def _pack(self, serial: str) -> Row:
        return next(iter(self._kept("pack", _PACK, serial)), {})

    def _type(self, part_no: str) -> Row:
        return next(iter(self._kept("pack_type", "part_no = ? AND struck = 0", part_no)), {})

    def _fittings(self, aircraft: str) -> dict[str, list[Row]]:
        """What was ever fitted in an aeroplane, by serial number, in order of time."""
        if aircraft not in self._fitted_in:
            found: dict[str, list[Row]] = {}
            for row in self._kept("installation", "aircraft = ? AND struck = 0", aircraft, "fitted"):
                found.setdefault(row["serial_no"], []).append(row)
            self._fitted_in[aircraft] = found
        return self._fitted_in[aircraft]

    def _breaks(self, serial: str) -> list[Row]:
        return self._kept("observation", _BREAKS, serial, "at")

    def _inspections(self, serial: str) -> list[Row]:
        """Defects that ground a pack, each with `until`: when a maintenance entry closed it."""
        if serial not in self._grounding:
            found = self._kept("defect", _GROUNDING, serial)
            self._grounding[serial] = [row | {"until": self._closed(row)} for row in found]
        return self._grounding[serial]

    def _states_of(self, serial: str) -> list[PackState]:
        if serial not in self._states:
            self._states |= pack_states(self.book, [self._pack(serial)])
        return self._states[serial]

    def _closed(self, defect: Row) -> str | None:
        entries = Records(self.book, "maintenance").select(
            "struck = 0 AND (closes_defect = ? OR id = ?)", (defect["defect_id"], defect["closed_by_entry"])
        )
        return min((row["completed"] for _, row in entries), default=None)

    def _kept(self, table: str, condition: str, name: str, order: str = "") -> list[Row]:
        """Rows of one aeroplane, pack or pack type, read when they are first wanted: a save reads two packs of five hundred."""
        key = (table, condition, name)
        if key not in self._rows:
            value: str | int | None = name
            column = condition.split(maxsplit=1)[0]
            if column in TABLES[table].refs:
                value = self.book.keys.find(TABLES[table].refs[column], name)
            self._rows[key] = [row for _, row in Records(self.book, table).select(condition, (value,), order)]
        return self._rows[key]

    def read_ahead(self, flights: Iterable[Row]) -> None:
        """Reads what will be asked about the packs of some flights: one question a table, instead of one for each pack."""
        wanted = {reading["serial_no"] for flight in flights for reading in flight["readings"]} - {None}
        for table, condition, order in (
            ("pack", _PACK, ""),
            ("defect", _GROUNDING, ""),
            ("observation", _BREAKS, "at"),
        ):
            serials = [serial for serial in wanted if (table, condition, serial) not in self._rows]
            if not serials:
                continue
            values = serials if table == "pack" else [self.book.keys.find("pack", one) for one in serials]
            among = condition.replace("= ?", f"IN ({','.join('?' * len(serials))})", 1)
            self._rows |= {(table, condition, serial): [] for serial in serials}
            for _, row in Records(self.book, table).select(among, values, order):
                self._rows[table, condition, row["serial_no"]].append(row)
        unknown = [serial for serial in wanted if serial not in self._states]
        if unknown:
            self._states |= pack_states(self.book, filter(None, map(self._pack, unknown)))

    def limits(self, aircraft: str, serial_no: str) -> Limits:
        """What holds for a pack in an aeroplane: the pack's own figures, its type's, the aeroplane's."""
        key = (aircraft, serial_no)
        if key not in self._limits:
            pack = self._pack(serial_no)
            sources = (pack, self._type(pack.get("part_no") or ""), self._aircraft(aircraft))
            self._limits[key] = Limits(*(_first(sources, name) for name in Limits._fields))
        return self._limits[key]

    def limits_together(self, aircraft: str, fitted: Sequence[str]) -> Limits:
        """What holds for the one gauge of an aeroplane with these packs fitted."""
        each = [self.limits(aircraft, serial) for serial in fitted]
        positions = len(self._aircraft(aircraft).get("positions") or ())
        return limits_together(each, positions, self.limits(aircraft, ""))

    def position(self, aircraft: str, serial_no: str, at: str) -> str | None:
        """Where a pack was fitted in an aeroplane at a moment; None if it was not."""
        for row in self._fittings(aircraft).get(serial_no, ()):
            if row["fitted"] <= at and (row["removed"] is None or at < row["removed"]):
                return str(row["position"])
        return None

    def fitted(self, aircraft: str, at: str) -> tuple[str, ...]:
        """Serial numbers fitted in an aeroplane at a moment, by position."""
        found = [(self.position(aircraft, serial, at), serial) for serial in self._fittings(aircraft)]
        return tuple(serial for position, serial in sorted((p, s) for p, s in found if p is not None))

    def build(self, n: int, flight: Row, *, around: bool = True) -> FlightCase:
        """The case of one flight, given its row number and its columns with readings.

        Without `around`, what lies before and after is left out: enough for the flight's own figures.
        """
        return self.assemble(flight, self._look_around(n, flight, whole=around))

    def assemble(self, flight: Row, around: Around) -> FlightCase:
        """The case of a flight whose surroundings are known already."""
        aircraft = self._aircraft(flight["aircraft"])
        off_blocks = flight["off_blocks"]
        pairs = zip(flight["readings"], around.packs, strict=True)
        fitted = () if off_blocks is None else self.fitted(flight["aircraft"], off_blocks)
        packs = tuple(
            self._together(flight, reading, fitted)
            if reading["serial_no"] is None
            else self._pack_case(flight, reading, *events)
            for reading, events in pairs
        )
        reserve = final_reserve(flight, aircraft)
        whole_known = not unread_of(packs, fitted)
        return FlightCase(
            flight=flight,
            aircraft=aircraft,
            packs=packs,
            block_min=between(off_blocks, flight["on_blocks"]),
            air_min=between(flight["takeoff"], flight["landing"]),
            minutes_left=minutes_left_after(packs, reserve.power_kw) if whole_known else None,
            reserve=reserve,
            fitted=fitted,
            previous=around.previous,
            following=around.following,
            recordings=self._recordings.cases(flight["flight_id"]),
        )

    def _look_around(self, n: int, flight: Row, *, whole: bool) -> Around:
        packs = tuple(self._events_of(n, flight, reading, whole=whole) for reading in flight["readings"])
        off_blocks = flight["off_blocks"]
        if not whole or off_blocks is None:
            return Around(packs)
        before, after = flights_beside(self.book, flight["aircraft"], off_blocks, flight["flight_id"])
        return Around(
            packs,
            None if before is None else Neighbour(*before),
            None if after is None else Neighbour(*after),
        )

    def _events_of(self, n: int, flight: Row, reading: Row, *, whole: bool) -> PackEventsAround:
        serial, off_blocks = reading["serial_no"], flight["off_blocks"]
        if serial is None or off_blocks is None or not (whole or reading["soh_pct"] is None):
            return (), None
        number = self.book.keys.number("pack", serial, "serial_no")
        before, following = self._events.around(number, off_blocks, n)
        return tuple(Event(*row) for row in before), None if following is None else Event(*following)

    def _together(self, flight: Row, reading: Row, fitted: Sequence[str]) -> PackCase:
        """One figure for the whole aeroplane. Beside figures of single packs, which go first, its energy is not counted."""
        limits = in_force(self.limits_together(flight["aircraft"], fitted), flight)
        usable = None
        if len(flight["readings"]) == 1:
            scale = limits.soh_zero_fraction, limits.soh_full_fraction
            usable = _usable_from_soh(limits.nominal_kwh, reading["soh_pct"], *scale)
        return PackCase(None, reading, limits, usable, _energy(reading, usable, limits))

    def _pack_case(
        self, flight: Row, reading: Row, before: tuple[Event, ...], after: Event | None
    ) -> PackCase:
        serial, off_blocks = reading["serial_no"], flight["off_blocks"]
        limits = in_force(self.limits(flight["aircraft"], serial), flight)
        soh = reading["soh_pct"]
        if soh is None:
            earlier = [event.soh_pct for event in before if event.soh_pct is not None]
            soh = earlier[-1] if earlier else None
        usable = _usable_from_soh(limits.nominal_kwh, soh, limits.soh_zero_fraction, limits.soh_full_fraction)
        since = before[0].at if before else ""
        return PackCase(
            serial_no=serial,
            reading=reading,
            limits=limits,
            usable_kwh=usable,
            energy_kwh=_energy(reading, usable, limits),
            position=None if off_blocks is None else self.position(flight["aircraft"], serial, off_blocks),
            grounded="" if off_blocks is None else self.grounded(serial, off_blocks),
            before=before,
            after=after,
            break_since=any(since < row["at"] <= (off_blocks or "") for row in self._breaks(serial)),
        )

    def grounded(self, serial: str, at: str) -> str:
        """Why a pack may not fly at a moment; empty if it may, as far as the book knows."""
        held = state_at(self._states_of(serial), at)
        if held.state in GROUNDING:
            since = f" since {shown_instant(held.since)}" if held.since else ""
            return f"it is {in_state(held.state)}{since}"
        for defect in self._inspections(serial):
            until = defect["until"] or ("9" if defect["state"] == "open" else "")
            if defect["found"] <= at < until:
                return f"it needs inspection before next use (defect of {defect['found'][:10]})"
        return ""


_usable_from_soh = lru_cache(maxsize=10_000)(usable_from_soh)
"""A pack shows the same state of health for months."""


def _first(sources: tuple[Row, ...], name: str) -> Any:
    for source in sources:
        value = source.get(name)
        if value is not None:
            return value
    return None


def _energy(reading: Row, usable: Estimate | None, limits: Limits) -> Estimate | None:
    before, after = reading["soc_departure_pct"], reading["soc_landing_pct"]
    if usable is None or before is None or after is None:
        return None
    return energy_of_drop(usable, before, after, worths=limits.worths)


def minutes_left_after(packs: tuple[PackCase, ...], power_kw: float | None) -> Estimate | None:
    """Minutes left on the weakest pack after landing, the load shared evenly; None where a figure is missing."""
    if not packs or power_kw is None:
        return None
    now = []
    for pack in packs:
        soc = pack.reading.get("soc_landing_pct")
        if soc is None or pack.usable_kwh is None:
            return None
        unusable = pack.limits.unusable_soc_pct or 0.0
        now.append(PackNow(soc, pack.usable_kwh, unusable, 1 / len(packs), pack.limits.worths))
    return minutes_left(now, power_kw)
