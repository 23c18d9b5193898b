"""One record as `logbook show` gives it: of a pack or an aeroplane also what follows from its record, and what is open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from logbook.services.kinds import kind_of
from logbook.services.questions import list_flights, show
from logbook.store.database import Book
from logbook.store.flights import FlightFilter

Row = dict[str, Any]
_FLIGHTS: Final = 50
"""The newest flights with an open flag are looked through, no more."""
_RECORDED: Final = ("serial_no", "part_no")


def shown(book: Book, word: str, record_id: str) -> Row:
    """A record of any kind, with what is derived from it, its flags and its versions.

    A pack has the figures of `export packs`, an aeroplane its total time, landings and fitted packs; the flags of both are
    those without an answer on their newest flights, each with its `flight_id`.

    Raises:
        DataRefused: there is none with that id or name.
    """
    record = show(book, word, record_id)
    kind = kind_of(word).name
    if kind == "pack":
        serial = record["serial_no"]
        flights = FlightFilter(pack=serial, flag="any", limit=_FLIGHTS)
        return record | {"derived": _of_pack(book, serial), "flags": list(_open(book, flights, serial))}
    if kind == "aircraft":
        registration = record["registration"]
        flights = FlightFilter(aircraft=registration, flag="any", limit=_FLIGHTS)
        return record | {"derived": _of_aircraft(book, registration), "flags": list(_open(book, flights))}
    return record


def _open(book: Book, wanted: FlightFilter, serial: str = "") -> Iterator[Row]:
    """Flags of flights without an answer, newest first; with a serial number no other pack's."""
    for flight in list_flights(book, wanted):
        for flag in flight["flags"]:
            if not flag["answered"] and (not serial or flag["serial_no"] in ("", serial)):
                yield flag | {"flight_id": flight["flight_id"]}


def _of_pack(book: Book, serial: str) -> Row:
    from logbook.services.pack_status import pack_rows

    rows = pack_rows(book, None, [serial])[1]
    return {name: value for row in rows for name, value in row.items() if name not in _RECORDED}


def _of_aircraft(book: Book, registration: str) -> Row:
    from logbook.services.maintenance import aircraft_totals
    from logbook.store.book_facts import BookFacts

    total = aircraft_totals(book).get(registration)
    fitted = [
        {"serial_no": serial, "position": position}
        for serial, position in BookFacts(book).fitted_now(registration)
    ]
    if total is None:  # struck out
        return {"fitted": fitted}
    return {
        "total_time_hours": total["hours"],
        "landings": total["landings"],
        "flights": total["flights"],
        "counted": total["words"],
        "fitted": fitted,
    }
