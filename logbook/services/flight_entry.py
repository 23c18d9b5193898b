"""Entering a flight: what it will cost and what will be flagged while it is typed, and saving it in one or two steps."""

from __future__ import annotations

from typing import Any, NamedTuple

from logbook.errors import DataRefused
from logbook.services.flight_form import Form, Values, meanings, record_of
from logbook.services.typed import Meaning
from logbook.store.database import Book
from logbook.store.flights import Flights

Row = dict[str, Any]


class Preview(NamedTuple):
    """What follows from what was typed so far.

    Attributes:
        meanings: what each filled field means; those with a problem cannot be saved.
        derived: the figures of the flight as `services.questions.describe` gives them; empty while it cannot be.
        flags: what would be flagged, in words: (severity, words).
        problem: why it cannot be saved as it stands, or empty.
        field: the field the problem is in, or empty.
    """

    meanings: dict[str, Meaning]
    derived: Row
    flags: list[tuple[str, str]]
    problem: str = ""
    field: str = ""


class Saved(NamedTuple):
    """A saved flight: its id and the flags it raised."""

    flight_id: str
    flags: list[dict[str, Any]]


def preview(book: Book, form: Form, values: Values, flight_id: str) -> Preview:
    """What the flight would be if it were saved now; nothing is written."""
    from logbook.domain.flight import Flight
    from logbook.domain.record import read_record
    from logbook.rules.catalogue import flags_of
    from logbook.services.cases import Cases
    from logbook.services.questions import describe
    from logbook.services.refresh import thresholds

    read = meanings(form, values)
    for name, meaning in read.items():
        if meaning.problem:
            return Preview(read, {}, [], meaning.problem, name)
    record = record_of(form, values, flight_id=flight_id, open_only=False)
    whole = (
        bool(record.get("off_blocks") and record.get("on_blocks"))
        or record.get("outcome", "flown") != "flown"
    )
    try:
        flight = read_record(Flight, record | {"state": "closed" if whole else "open"})
    except DataRefused as error:
        return Preview(read, {}, [], error.problem, error.field)
    columns = flight.columns() | {"readings": [dict(part) for part in flight.columns()["readings"]]}
    case = Cases(book).build(Flights(book).number(flight_id) or 0, columns)
    found = flags_of(case, thresholds(book)) if whole else []
    return Preview(read, describe(case), [(flag.severity, flag.words) for flag in found])


def save(
    book: Book, form: Form, values: Values, flight_id: str, *, open_only: bool, by: str | None = None
) -> Saved:
    """Saves the flight: new, or the flight that was opened before start and is closed now.

    Raises:
        DataRefused: it contradicts itself; `field` names where.
    """
    from logbook.services.add import add

    for name, meaning in meanings(form, values).items():
        if meaning.problem:
            raise DataRefused(f"{name}: {meaning.problem}.", next_step="Correct the field.", field=name)
    record = record_of(form, values, flight_id=flight_id, open_only=open_only)
    if Flights(book).number(flight_id) is None:
        added = add(book, "flight", record, by=by)[0]
        return Saved(added.record_id, added.flags)
    return _go_on(book, record, flight_id, by=by)


def _go_on(book: Book, record: Row, flight_id: str, *, by: str | None) -> Saved:
    """Writes what is new or different into a flight that is in the book already."""
    from logbook.services.correct import correct

    changes: Row = {name: value for name, value in record.items() if name not in ("flight_id", "readings")}
    for reading in record["readings"]:
        serial = reading["serial_no"]
        if serial is None:
            raise DataRefused(
                "One figure for the whole aeroplane cannot be added later.",
                next_step="Enter it with the flight.",
            )
        changes |= {f"{serial}.{name}": value for name, value in reading.items() if name != "serial_no"}
    done = correct(book, "flight", flight_id, changes, by=by, why="closed after landing")
    return Saved(flight_id, done.record["flags"])


def values_of(flight: Row) -> dict[str, tuple[str, str]]:
    """The fields of a flight that is in the book, as they would have been typed, to go on with it."""
    from logbook.units import to_cell

    skipped = (
        "flight_id",
        "aircraft",
        "date",
        "state",
        "readings",
        "crew",
        "phases",
        "derived",
        "flags",
        "answers",
        "versions",
        "token",
        "struck",
        "entered_by",
        "entered_at",
    )
    values = {}
    for name, value in flight.items():
        if name not in skipped and value is not None:
            values[name] = (_as_typed(name, value), "read")
    for reading in flight["readings"]:
        serial = reading["serial_no"] or ""
        for name, value in reading.items():
            if name not in ("serial_no", "source", "derived") and value is not None:
                values[f"{serial}.{name}"] = (
                    to_cell(value),
                    "confirmed" if reading["source"] == "confirmed" else "read",
                )
    return values


def _as_typed(name: str, value: Any) -> str:
    from logbook.services.flight_form import TIMES
    from logbook.units import to_cell

    return str(value)[11:16] if name in TIMES else to_cell(value)
