"""Entering a flight: what it will cost and what will be flagged while it is typed, and saving it in one or two steps."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from logbook.errors import DataRefused
from logbook.measures import USUAL, Measures
from logbook.services.flight_fields import TIMES
from logbook.services.flight_form import Form, Values, meanings, taken
from logbook.services.flight_typed import record_of
from logbook.services.liked_units import typed_in
from logbook.services.typed import Meaning
from logbook.services.typed_time import both_clocks, clock_text
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.records import expect
from logbook.units import minutes_of, to_cell

Row = dict[str, Any]
_CLOCKS_APART_MIN: Final = 5
"""How far the clock on the wall may be ahead of this one [min]."""


class Preview(NamedTuple):
    """What follows from what was typed so far.

    Attributes:
        meanings: what each filled field means; those with a problem cannot be saved.
        derived: the figures of the flight as `services.questions.describe` gives them; empty while it cannot be.
        flags: what would be flagged: (severity, words), the serious first.
        problem: why it cannot be saved as it stands, or empty.
        field: the field the problem is in, or empty.
    """

    meanings: dict[str, Meaning]
    derived: Row
    flags: list[tuple[str, str]]
    problem: str = ""
    field: str = ""


class Saved(NamedTuple):
    """A saved flight as `services.questions.describe` gives it, and the flags it raised."""

    flight_id: str
    flags: list[dict[str, Any]]
    flight: Row


def preview(book: Book, form: Form, values: Values, flight_id: str, now: str | None = None) -> Preview:
    """What the flight would be if it were saved now, as far as it can be said; nothing is written.

    Args:
        book: the open book.
        form: the form it is typed in.
        values: what was typed.
        flight_id: the id it gets, or has.
        now: the present moment (UTC); None: when the form was made.
    """
    from logbook.domain.flight import Flight
    from logbook.domain.record import read_record

    read = meanings(form, values)
    problem, field = _first_problem(form, read)
    record = record_of(form, values, flight_id=flight_id, open_only=not may_close(form, values))
    warned = [
        *_grounded(form),
        *(("check", words) for words in form.unfitted),
        *_still_to_come(form, read, now or form.now),
        *_person(book, record),
    ]
    try:
        flight = read_record(Flight, record)
    except DataRefused as error:
        return Preview(read, {}, warned, problem or error.problem, field or error.field)
    said = {slot.serial_no for slot in form.packs if slot.grounded}
    derived, flags = _look(book, flight.columns(), flight_id, said)
    return Preview(read, derived, warned + flags, problem, field)


def _person(book: Book, record: Row) -> list[tuple[str, str]]:
    """What the pilot's items say: expired ones, and on a solo flight the limits of the authorisation."""
    from logbook.rules.flag import SERIOUS
    from logbook.services.authority import Outing, person_concerns
    from logbook.units import between

    pilot = record.get("pilot")
    if pilot is None:
        return []
    charges = [reading for reading in record["readings"] if reading.get("serial_no")]

    def least(column: str) -> float | None:
        return min((row[column] for row in charges if row.get(column) is not None), default=None)

    outing = Outing(
        day=record["date"],
        alone=record.get("function") == "solo",
        aircraft=record["aircraft"],
        place=record.get("place_from"),
        wind_kt=record.get("wind_kt"),
        departure_pct=least("soc_departure_pct"),
        landing_pct=least("soc_landing_pct"),
        minutes=between(record.get("off_blocks"), record.get("on_blocks")),
    )
    return [(SERIOUS, words) for words in person_concerns(book, pilot, outing)]


def may_close(form: Form, values: Values) -> bool:
    """Whether the flight has what a closed one needs: both block times, unless it never flew."""
    return form.choice.outcome != "flown" or all(taken(values, name) for name in ("off_blocks", "on_blocks"))


def _first_problem(form: Form, read: dict[str, Meaning]) -> tuple[str, str]:
    for field in form.fields:
        meaning = read.get(field.name)
        if meaning is not None and meaning.problem:
            return f"{field.label}: {meaning.problem}", field.name
    return "", ""


def _grounded(form: Form) -> list[tuple[str, str]]:
    """Packs that may not fly, said before start."""
    return [
        ("serious", f"Pack {slot.serial_no} may not fly: {slot.grounded}.")
        for slot in form.packs
        if slot.grounded and form.choice.outcome == "flown"
    ]


def _still_to_come(form: Form, read: dict[str, Meaning], now: str) -> list[tuple[str, str]]:
    """The first time of the flight that nobody can have read yet: most likely it was typed on the other clock."""
    for field in form.fields:
        meaning = read.get(field.name)
        if field.name not in TIMES or meaning is None or not meaning.value:
            continue
        if minutes_of(meaning.value) > minutes_of(now) + _CLOCKS_APART_MIN:
            told = both_clocks(now, form.clock)
            words = f"{field.label} {meaning.echo} is still to come; it is {told}. F4: the other clock."
            return [("check", words)]
    return []


def _look(book: Book, columns: Row, flight_id: str, said: set[str]) -> tuple[Row, list[tuple[str, str]]]:
    """Figures and flags of a flight that is not in the book as it stands; of packs in `said` it is said they may not fly."""
    from logbook.rules.catalogue import flags_of
    from logbook.services.cases import Cases
    from logbook.services.questions import describe
    from logbook.services.refresh import thresholds

    whole = columns | {"readings": [dict(part) for part in columns["readings"]]}
    case = Cases(book).build(Flights(book).number(flight_id) or 0, whole)
    found = flags_of(case, thresholds(book))
    new = [flag for flag in found if flag.rule != "pack_quarantined" or flag.serial_no not in said]
    return describe(case), [(flag.severity, flag.words) for flag in new]


def save(
    book: Book,
    form: Form,
    values: Values,
    flight_id: str,
    *,
    open_only: bool,
    at: str,
    by: str | None = None,
    seen: int | None = None,
) -> Saved:
    """Saves the flight: new, or the flight that was opened before start and is closed now.

    A defect that was noticed enters the book with it.

    Args:
        book: the open book.
        form: the form it was typed in.
        values: what was typed.
        flight_id: the id it gets, or has.
        open_only: only the readings before start; it is closed after landing.
        at: what time it is (UTC, stored form).
        by: who enters it.
        seen: the token under which a flight that is in the book was read, if it must not have changed since.

    Raises:
        DataRefused: it contradicts itself; `field` names where.
        ChangedMeanwhile: somebody else changed the flight since it was read; nothing was written.
    """
    from logbook.services.questions import show_flight

    problem, field = _first_problem(form, meanings(form, values))
    if problem:
        raise DataRefused(f"{problem}.", next_step="Correct the field.", field=field)
    if not open_only and not may_close(form, values):
        missing = next(name for name in ("off_blocks", "on_blocks") if not taken(values, name))
        raise DataRefused(
            "A flown flight needs off blocks and on blocks.",
            next_step="Type them, or save it open.",
            field=missing,
        )
    record = record_of(form, values, flight_id=flight_id, open_only=open_only)
    if Flights(book).number(flight_id) is None:
        _new(book, record, _defect(form, values, record), {"entered_by": by, "entered_at": at})
    else:
        _go_on(book, form, record, _defect(form, values, record), by=by, seen=seen)
    shown = show_flight(book, flight_id)
    return Saved(flight_id, shown["flags"], shown)


def _defect(form: Form, values: Values, record: Row) -> Row | None:
    """The defect that was noticed, as a record; found when the flight ended."""
    text = taken(values, "defect").strip()
    if not text or "defect" not in form.names:
        return None
    found = record.get("on_blocks") or record.get("off_blocks") or form.now
    return {
        "aircraft": record["aircraft"],
        "found": found,
        "text": text,
        "found_by": record.get("pilot"),
        "flight_id": record["flight_id"],
    }


def _new(book: Book, record: Row, defect: Row | None, stamp: Row) -> None:
    """Flight and defect enter the book in one transaction."""
    from logbook.domain.record import read_record
    from logbook.services.add import put
    from logbook.services.kinds import kind_of
    from logbook.services.refresh import refresh

    entries = [("flight", record)] if defect is None else [("flight", record), ("defect", defect)]
    kinds = [(kind_of(word), read_record(kind_of(word).load(), data)) for word, data in entries]
    with book.writing(by=stamp["entered_by"], adding=True):
        for kind, entry in kinds:
            put(book, kind, entry, stamp)
        refresh(book)


def _go_on(
    book: Book, form: Form, record: Row, defect: Row | None, *, by: str | None, seen: int | None
) -> None:
    """Writes what is new, different or taken back into a flight that is in the book already."""
    from logbook.services.add import add
    from logbook.services.correct import correct
    from logbook.services.questions import show_flight

    before = show_flight(book, record["flight_id"])
    if seen is not None:
        expect(book, record["flight_id"], seen)
    if before["state"] == "closed" and record["state"] == "open":
        raise DataRefused("This flight is closed already.", next_step="Save it with F2.")
    said, was = dict.fromkeys(f"{name}_source" for name in TIMES) | _flat(record), _flat(before)
    changes = said | {name: None for name in form.names if was.get(name) is not None and name not in said}
    if defect is not None:  # first: told again it is the same one, while a closed flight is not offered again
        add(book, "defect", defect, by=by)
    why = "closed after landing" if record["state"] == "closed" else "readings before start"
    correct(book, "flight", record["flight_id"], changes, by=by, why=why, seen=seen)


def _flat(flight: Row) -> Row:
    """A flight's columns with those of its readings as `SERIAL.column`, as corrections name them."""
    flat = {name: value for name, value in flight.items() if name not in ("flight_id", "readings")}
    for reading in flight["readings"]:
        owner = reading["serial_no"] or ""
        flat |= {f"{owner}.{name}": value for name, value in reading.items() if name != "serial_no"}
    return flat


def values_of(flight: Row, zone: str, measures: Measures = USUAL) -> dict[str, tuple[str, str]]:
    """The fields of a flight that is in the book, as they would have been typed, to go on with it."""
    values: dict[str, tuple[str, str]] = {}
    for name, value in flight.items():
        if isinstance(value, (str, int, float)) and name not in _NOT_TYPED:
            timed = name in (*TIMES, "expected_back")
            values[name] = (
                clock_text(str(value), zone) if timed else typed_in(to_cell(value), name, measures),
                flight.get(f"{name}_source") or "read",
            )
    for reading in flight["readings"]:
        owner = reading["serial_no"] or ""
        for name, value in reading.items():
            if isinstance(value, (int, float)):
                source = reading["source"] if reading["source"] in ("confirmed", "recorder") else "read"
                values[f"{owner}.{name}"] = (typed_in(to_cell(value), name, measures), source)
    return values


_NOT_TYPED = (
    "flight_id",
    "aircraft",
    "date",
    "state",
    "outcome",
    "struck",
    "entered_by",
    "entered_at",
    "token",
    *(f"{name}_source" for name in TIMES),
)
