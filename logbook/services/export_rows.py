"""The rows of each export: columns in order, and one flat row for each thing, all from the record."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import Any, Final, NamedTuple

from logbook.errors import DataRefused
from logbook.exchange.layout import LAYOUTS
from logbook.services.cases import Cases
from logbook.services.due import due_items
from logbook.services.questions import describe
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import FlightFilter, Flights
from logbook.store.pack_events import LedgerRow, PackEvents
from logbook.store.records import Records

Row = dict[str, Any]

_BATCH: Final = 500
_DERIVED: Final = (
    *("block_min", "air_min", "meter_h", "energy_kwh", "energy_kwh_low", "energy_kwh_high"),
    *("energy_kwh_per_min", "landing_soc_pct", "minutes_left", "minutes_left_low", "minutes_left_high"),
    "minutes_left_at_kw",
)
_APPLIES: Final = "final_reserve_applies_min"
"""The minutes of the case that applies; `final_reserve_min` is what was recorded with the flight itself."""
FLIGHT_COLUMNS: Final = (*LAYOUTS["flights"].promised, *_DERIVED, _APPLIES, "flags")
_PERSON: Final = (
    *(
        "flight_id",
        "date",
        "aircraft",
        "type",
        "class",
        "place_from",
        "place_to",
        "off_blocks",
        "takeoff",
        "landing",
    ),
    *(
        "on_blocks",
        "kind",
        "function",
        "block_min",
        "night_min",
        "device_min",
        "handled",
        "takeoffs_day",
        "takeoffs_night",
    ),
    *("landings_day", "landings_night", "landings_night_full_stop", "circuits", "pilot", "second_person"),
    *(
        "landing_soc_pct",
        "pilot_estimate_soc_pct",
        "energy_kwh",
        "energy_kwh_per_min",
        "minutes_left",
        _APPLIES,
    ),
    *("flags", "exercise", "remarks", "debrief"),
)


class Table(NamedTuple):
    """Something to export.

    Attributes:
        title: a word for a sheet or a heading.
        columns: in order.
        rows: flat rows, as a spreadsheet wants them.
        objects: what JSON gets, where that says more; else the rows.
        empty: the words for a table without rows.
    """

    title: str
    columns: Sequence[str]
    rows: Iterable[Row]
    objects: Any = None
    empty: str = "Nothing is recorded."


def flights_table(book: Book, aircraft: str | None = None) -> Table:
    """Flights that are not struck out, oldest first, each with what was recorded and what is derived."""
    if aircraft is not None:
        book.keys.number("aircraft", aircraft, "aircraft")
    wanted = FlightFilter(aircraft=aircraft)
    return Table(
        "flights",
        FLIGHT_COLUMNS,
        map(flat_flight, _flights(book, wanted)),
        _flights(book, wanted),
        "No flights are recorded.",
    )


def _flights(book: Book, wanted: FlightFilter) -> Iterator[Row]:
    return _described(book, Flights(book).find(wanted, newest_first=False))


def _described(book: Book, numbers: Sequence[int]) -> Iterator[Row]:
    cases, derived = Cases(book), Derived(book)
    for start in range(0, len(numbers), _BATCH):
        batch = numbers[start : start + _BATCH]
        flags = derived.flags(batch)
        for n, flight in zip(batch, Flights(book).read(batch), strict=True):
            yield describe(cases.build(n, flight, around=False)) | {"flags": flags[n]}


def flat_flight(flight: Row) -> Row:
    """One flight without parts: derived figures beside the recorded, rules of unanswered flags in one cell."""
    flags = [flag["rule"] for flag in flight["flags"] if not flag["answered"]]
    derived = flight["derived"]
    figures = {name: derived[name] for name in _DERIVED} | {_APPLIES: derived["final_reserve_min"]}
    return flight | figures | {"flags": list(dict.fromkeys(flags))}


def packs_table(book: Book) -> Table:
    """Where every pack stands, a row a pack."""
    from logbook.services.pack_status import pack_rows

    columns, rows = pack_rows(book)
    return Table("packs", columns, rows, empty="No packs are recorded.")


def pack_table(book: Book, serial_no: str) -> Table:
    """The line of one pack: its flights and charges in order of time, with what was read before and after."""
    from logbook.services.pack_status import pack_rows

    status = pack_rows(book, serials=[serial_no])[1]
    rows = [event._asdict() for event in PackEvents(book).line(serial_no)]
    objects = {"status": status[0] if status else None, "events": rows}
    return Table(
        f"pack {serial_no}", LedgerRow._fields, rows, objects, "This pack has neither flown nor been charged."
    )


def person_table(book: Book, name: str) -> Table:
    """One person's flights, oldest first: times by function, landings, and how the charge was managed."""
    from logbook.services.people import person_row, totals_of, totals_row

    person_row(book, name)
    rows = list(_person_rows(book, name))
    objects = {"person": name, "totals": totals_row(totals_of(book, name)), "flights": rows}
    return Table(f"flights of {name}", _PERSON, rows, objects, "No flights of this person are recorded.")


def _person_rows(book: Book, name: str) -> Iterator[Row]:
    from logbook.services.people import aboard

    flights = Flights(book)
    mine = aboard(book, name)
    while some := [one for _, one in zip(range(_BATCH), mine, strict=False)]:
        numbers = [flights.number(one.flight["flight_id"]) or 0 for one in some]
        for one, flight in zip(some, _described(book, numbers), strict=True):
            part = one.part._asdict()
            given = one.experience
            row = flat_flight(flight) | {column: value for column, value in part.items() if column in _PERSON}
            row |= {"type": given.aircraft_type, "class": given.aircraft_class, "function": given.function}
            row |= {"block_min": given.minutes, "night_min": given.night_min, "device_min": given.device_min}
            yield {column: row.get(column) for column in _PERSON}


def due_table(book: Book, of: str | None = None) -> Table:
    """What falls due, the nearest first; of one person, pack or aeroplane only where that is wanted."""
    rows = [row for row in due_items(book) if of is None or row["of"] == of]
    return Table("due", ("due", "what", "of", "text", "id"), rows, empty="Nothing is due.")


def plan_table(book: Book, plan_id: str) -> Table:
    """One plan that was kept: its legs as rows; whole as JSON.

    Raises:
        DataRefused: there is no such plan.
    """
    found = Records(book, "plan").find(plan_id)
    if found is None:
        raise DataRefused(f"There is no plan '{plan_id}' in the book.", next_step="See 'logbook list plans'.")
    row = found[1]
    answer = json.loads(row["answer"]) if row["answer"] else {}
    legs = answer.get("legs") or []
    columns = list(dict.fromkeys(chain.from_iterable(legs)))
    objects = row | {"inputs": json.loads(row["inputs"]), "answer": answer}
    return Table(row["title"] or "plan", columns, legs, objects, "This plan has no legs.")
