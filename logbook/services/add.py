"""Recording: one object or a list enters the book whole, or not at all."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import partial
from typing import Any, Final, NamedTuple

from logbook.domain.pack import Pack
from logbook.domain.record import Keyed, Record, read_record
from logbook.errors import DataRefused, OtherContent
from logbook.services.kinds import Kind, kind_of
from logbook.services.refresh import refresh
from logbook.services.unknown_state import unknown_state
from logbook.services.upkeep_words import DIRECTIVE
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import Flights
from logbook.store.records import Records, Row
from logbook.store.settings import Settings

_NATURAL: Final = {
    "installation": ("serial_no", "aircraft", "position", "fitted"),
    "person-item": ("person", "item", "valid_from", "valid_until", "aircraft"),
    "observation": ("serial_no", "at"),
    "capacity-check": ("serial_no", "at"),
    "defect": ("aircraft", "serial_no", "found", "text"),
    "maintenance": ("aircraft", "serial_no", "completed", "text"),
    "component": ("aircraft", "name", "serial_no", "fitted"),
    "answer": ("flight_id", "charge_id", "observation_id", "entry_id", "serial_no", "rule", "figures"),
    "recording": ("flight_id", "digest"),
    "paper": ("line", "format", "file_name"),
}
"""Fields that tell two records of a kind apart where no id is given; the same record then gets the same id."""

_ONE_METER: Final = ("shared_energy_kwh", "started", "ended", "place", "charger")
"""What the rows of one charging session have in common where one meter counted for all; else a row is its own session."""

_NAMESPACE: Final = uuid.UUID("6f0c8a52-3f63-5e0e-9d5b-8f1f3d6b6a11")
_IGNORED: Final = ("entered_by", "entered_at")


class Added(NamedTuple):
    """What became of one record: its id, `new` or `same`, and the flags found in it, if its kind is judged."""

    record_id: str
    fate: str
    flags: list[dict[str, Any]]


def now() -> str:
    """The present instant in stored form (UTC)."""
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%MZ}"


def add(
    book: Book,
    word: str,
    data: object,
    *,
    by: str | None = None,
    clock: Callable[[], str] = now,
) -> list[Added]:
    """Records one object or a list of one kind.

    Args:
        book: the open book.
        word: the kind, as in commands.
        data: an object or a list of objects, with the fields of `docs/interface.md`.
        by: who enters it.
        clock: what time it is, for tests.

    Raises:
        DataRefused: one of them cannot be; says which; nothing was written then.
    """
    kind = kind_of(word)
    items = data if isinstance(data, list) else [data]
    places = range(1, len(items) + 1) if isinstance(data, list) else [None]
    records = []
    for place, item in zip(places, items, strict=True):
        with _placed(place):
            records.append(read_record(kind.load(), item))
    with book.writing(by=by, adding=True):
        stamp = {"entered_by": by or Settings(book).value("operator"), "entered_at": clock()}
        outcome, noticed = [], {}
        for place, record in zip(places, records, strict=True):
            ended = _ended(book, record) if kind.name == "maintenance" else []
            with _placed(place):
                outcome.append(put(book, kind, record, stamp))
            if kind.name == "maintenance":
                noticed[outcome[-1][0]] = [*ended, *_closed(book, outcome[-1][0], record, clock)]
            if isinstance(record, Pack) and unknown_state(record.state):
                noticed[outcome[-1][0]] = [_noticed("state_unknown", unknown_state(record.state))]
        refresh(book)
        if kind.name == "flight":
            return _of_flights(book, outcome)
    with book.reading():
        return _with_flags(book, kind, outcome, records, noticed)


def _closed(book: Book, entry_id: str, entry: Record, clock: Callable[[], str]) -> list[Row]:
    """Closes the defect that a maintenance entry names; one that cannot be closed is flagged, and the entry stands."""
    from logbook.services.maintenance_entry import close_defect

    try:
        close_defect(book, entry_id, entry, clock)
    except DataRefused as error:
        return [_noticed("defect_not_closed", f"{error.problem} {error.next_step}")]
    return []


def _ended(book: Book, entry: Record) -> list[Row]:
    """What falls due no more once a maintenance entry is in the book, because it names no next time."""
    from logbook.services.due_again import no_longer_due

    return [_noticed("no_longer_due", words) for words in no_longer_due(book, entry.model_dump())]


def _noticed(rule: str, words: str) -> Row:
    none: Row = {"severity": "check", "figures": {}, "serial_no": "", "answered": False}
    return {"rule": rule, "words": words} | none


@contextmanager
def _placed(place: int | None) -> Iterator[None]:
    """Says which record of a list was refused."""
    try:
        yield
    except DataRefused as error:
        if place is None:
            raise
        raise DataRefused(
            f"Record {place} of the list: {error.problem}", next_step=error.next_step, field=error.field
        ) from None


def put(book: Book, kind: Kind, record: Record, stamp: Row) -> tuple[str, str]:
    """Writes one record inside an open transaction. Returns its id and `new` or `same`.

    Raises:
        DataRefused: its id, or its place in the record, is taken by another content.
    """
    table = TABLES[kind.table]
    columns = record.columns()
    given = columns[table.file_id] is not None
    columns[table.file_id] = columns[table.file_id] or make_id(kind, record, columns)
    existing = _existing(book, kind, columns, given=given)
    if existing is not None:
        _refuse_other_content(kind, existing, columns)
        return str(existing[table.file_id]), "same"
    for name, value in stamp.items():
        if columns.get(name) is None:
            columns[name] = value
    if kind.name == "flight":
        Flights(book).insert(columns)
    else:
        Records(book, kind.table).insert(columns)
    return str(columns[table.file_id]), "new"


def make_id(kind: Kind, record: Record, columns: Row) -> str:
    """The name for what has one; the same id for the same content where it can be told; else a random one."""
    if isinstance(record, Keyed):
        return str(columns[TABLES[kind.table].key])
    fields = _NATURAL.get(kind.name)
    if kind.name == "charge":
        fields = _ONE_METER if columns["shared_energy_kwh"] is not None else tuple(sorted(columns))
    if fields is None:
        return str(uuid.uuid4())
    if kind.name == "maintenance" and str(columns["work"] or "").startswith(f"{DIRECTIVE} "):
        fields = (*fields, "work")  # two may be complied with at one time, in the same words
    text = "\x1f".join(
        [kind.name, *(str("" if columns[field] is None else columns[field]) for field in fields)]
    )
    return str(uuid.uuid5(_NAMESPACE, text))


def _existing(book: Book, kind: Kind, columns: Row, *, given: bool) -> Row | None:
    table = TABLES[kind.table]
    record_id = columns[table.file_id]
    if kind.name == "charge":
        rows = [
            row
            for _, row in Records(book, "charge").find_all(record_id)
            if row["serial_no"] == columns["serial_no"]
        ]
        return rows[0] if rows else None
    if kind.name == "flight":
        return _existing_flight(book, columns, given=given)
    found = Records(book, kind.table).find(str(record_id))
    if found is None and table.key:
        found = Records(book, kind.table).find(str(columns[table.key]))
    return None if found is None else found[1]


def _existing_flight(book: Book, columns: Row, *, given: bool) -> Row | None:
    flights = Flights(book)
    number = flights.number(columns["flight_id"]) if given else None
    if number is None and columns["off_blocks"] is not None and not columns["struck"]:
        other = flights.same_start(columns["aircraft"], columns["off_blocks"])
        if other is not None and given:
            raise OtherContent(
                f"{columns['aircraft']} has another flight with off blocks {columns['off_blocks']} (id {other}).",
                next_step="Correct the time, or correct that flight instead of adding one.",
                field="off_blocks",
            )
        number = None if other is None else flights.number(other)
    return None if number is None else flights.read([number])[0]


_PARTS: Final = {"readings": "serial_no", "crew": "person", "phases": "sequence"}


def _by(key: str, part: Row) -> str:
    return str(part[key])


def comparable(columns: Row) -> Row:
    """The content of a record without who entered it and when, parts in one order."""
    plain = {name: value for name, value in columns.items() if name not in _IGNORED}
    for name, key in _PARTS.items():
        if name in plain:
            plain[name] = sorted(map(dict, plain[name]), key=partial(_by, key))
    return plain


def _refuse_other_content(kind: Kind, existing: Row, columns: Row) -> None:
    table = TABLES[kind.table]
    old, new = comparable(existing), comparable(columns)
    if old[table.file_id] != new[table.file_id]:
        new = new | {table.file_id: old[table.file_id]}  # found by what it says, not by its id
    differing = [name for name in new if old.get(name) != new[name]]
    if differing:
        raise OtherContent(
            f"The book holds the {kind.name} '{existing[table.file_id]}' with other content (differs in {', '.join(differing)}).",
            next_step="Use 'logbook correct' to change it, or give the new record another id.",
            field=differing[0],
        )


def _with_flags(
    book: Book,
    kind: Kind,
    outcome: Sequence[tuple[str, str]],
    records: Sequence[Record],
    noticed: Mapping[str, list[Row]],
) -> list[Added]:
    if kind.name in ("charge", "observation", "maintenance"):
        from logbook.services.record_flags import flags_of

        named = [
            (record_id, getattr(record, "serial_no", None))
            for (record_id, _), record in zip(outcome, records, strict=True)
        ]
        found = flags_of(book, kind.name, named)
        if kind.name == "charge":
            started = [
                (record_id, getattr(one, "started", ""))
                for (record_id, _), one in zip(outcome, records, strict=True)
            ]
            beside = Derived(book).flags_for_charges(started)
            found = [
                [*flags, *beside[record_id]] for flags, (record_id, _) in zip(found, outcome, strict=True)
            ]
        return [
            Added(record_id, fate, noticed.get(record_id, []) + flags)
            for (record_id, fate), flags in zip(outcome, found, strict=True)
        ]
    return [Added(record_id, fate, noticed.get(record_id, [])) for record_id, fate in outcome]


def _of_flights(book: Book, outcome: Sequence[tuple[str, str]]) -> list[Added]:
    """Flights with their flags, which are in the book already."""
    flags = Derived(book).flags_by_id([record_id for record_id, _ in outcome])
    return [Added(record_id, fate, flags[record_id]) for record_id, fate in outcome]


def add_many(
    book: Book, groups: Iterable[tuple[Kind, Sequence[Record]]], *, by: str | None = None
) -> dict[str, int]:
    """Writes whole groups of records in one transaction, as an import does. Returns how many were new, by kind."""
    counts: dict[str, int] = {}
    stamp = {"entered_by": by, "entered_at": now()}
    with book.writing(by=by, adding=True):
        for kind, records in groups:
            for record in records:
                _, fate = put(book, kind, record, stamp)
                counts[kind.name] = counts.get(kind.name, 0) + (fate == "new")
        refresh(book)
    return counts
