"""Correcting and striking out: the earlier state stays, with who changed it, when and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple

from logbook.domain.cells import from_cell
from logbook.domain.record import Part, Record, read_record
from logbook.errors import DataRefused, UsageError
from logbook.services.add import comparable
from logbook.services.kinds import Kind, kind_of
from logbook.services.questions import show
from logbook.services.refresh import refresh
from logbook.services.unknown_state import unknown_state
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.records import Records, Row, expect

_OUTSIDE: Final = ("versions", "token", "flags", "answers", "derived")


class Corrected(NamedTuple):
    """What a correction changed: column, old and new value; the record as it is now; and what is to be said of it."""

    changes: list[tuple[str, Any, Any]]
    record: Row
    notes: tuple[str, ...] = ()


def correct(
    book: Book,
    word: str,
    record_id: str,
    changes: Mapping[str, Any],
    *,
    by: str | None = None,
    why: str | None = None,
    seen: int | None = None,
) -> Corrected:
    """Changes some fields of a record.

    Args:
        book: the open book.
        word: the kind.
        record_id: its id, or the name people know it by.
        changes: field to value; text is read by the type of the field. A field of one pack's reading is named
            `SERIAL.field`, one of a person's part in the flight `PERSON.field`.
        by: who corrects.
        why: the reason.
        seen: the token under which the record was read, if it must not have changed since.

    Raises:
        DataRefused: the record would contradict itself, or was changed meanwhile; nothing is written then.
    """
    kind = kind_of(word)
    if kind.name == "charge":
        return _correct_charge(book, record_id, changes, by=by, why=why, seen=seen)
    with book.writing(by=by, why=why):
        before = _recorded(kind, show(book, kind.name, record_id))
        filed = str(before[TABLES[kind.table].file_id])
        if seen is not None:
            expect(book, filed, seen)
        after = _apply(kind, before, changes)
        record = read_record(kind.load(), after)
        changed = write_changes(book, kind, filed, before, record.columns())
        if kind.name == "maintenance":
            from logbook.services.maintenance_entry import follow_entry

            follow_entry(book, filed, record)
        refresh(book)
        said = (
            unknown_state(getattr(record, "state", None))
            if kind.name == "pack" and "state" in changes
            else ""
        )
        return Corrected(changed, show(book, kind.name, filed), (said,) if said else ())


def strike(book: Book, word: str, record_id: str, *, by: str | None = None, why: str) -> Row:
    """Strikes a record out: it stays readable, counts nowhere, and can be restored by correcting `struck` to 0.

    Raises:
        UsageError: no reason is given.
    """
    if not why.strip():
        raise UsageError("Striking out needs a reason.", next_step="Say why with --why.")
    return correct(book, word, record_id, {"struck": 1}, by=by, why=why).record


def _recorded(kind: Kind, shown: Row) -> Row:
    """The recorded columns only, without what was derived or said about them."""
    row = {name: value for name, value in shown.items() if name not in _OUTSIDE}
    if kind.name == "flight":
        row["readings"] = [
            {k: v for k, v in reading.items() if k != "derived"} for reading in row["readings"]
        ]
    return row


def _value(model: type[Part], column: str, value: Any) -> Any:
    return from_cell(model, column, value) if isinstance(value, str) else value


def _apply(kind: Kind, before: Row, changes: Mapping[str, Any]) -> Row:
    model = kind.load()
    after = {
        name: list(map(dict, value)) if name in ("readings", "crew", "phases") else value
        for name, value in before.items()
    }
    for name, value in changes.items():
        if kind.name == "flight" and name not in after:
            _apply_to_part(after, name, value)
        else:
            after[name] = _value(model, name, value)
            source = f"{name}_source"
            if source in after and source not in changes and after[name] != before[name]:
                after[source] = None  # a time that somebody corrects is no longer that of a file
    return after


def _owner_and_column(name: str) -> tuple[str | None, str]:
    """`SERIAL.field` or `SERIAL:field`; a serial number or a name may itself hold either sign. No sign: no owner."""
    at = max(name.rfind("."), name.rfind(":"))
    return (None, name) if at < 0 else (name[:at], name[at + 1 :])


def _apply_to_part(after: Row, name: str, value: Any) -> None:
    """`SERIAL.soc_landing_pct`: a field of one reading or crew row, which is added where it is not there yet.

    Nothing before the point, or the registration, means the one figure for the whole aeroplane.
    """
    from logbook.domain.flight import Crew, Reading

    owner, column = _owner_and_column(name)
    for model, part, key in ((Reading, "readings", "serial_no"), (Crew, "crew", "person")):
        if owner is not None and column in model.model_fields:
            rows: list[Row] = after[part]
            whole = None if owner in ("", after["aircraft"]) else owner
            row = next((row for row in rows if row[key] in (owner, whole)), None)
            if row is None:
                row = {key: whole}
                rows.append(row)
            row[column] = _value(model, column, value)
            return
    raise DataRefused(
        f"A flight has no field '{name}'.",
        next_step="Name a field of the flight, or SERIAL.field for a reading (.field alone for one charge of the whole aeroplane), or PERSON.field for the crew.",
        field=name,
    )


def _differences(old: Row, new: Row, prefix: str = "") -> list[tuple[str, Any, Any]]:
    return [(prefix + name, old.get(name), value) for name, value in new.items() if old.get(name) != value]


def write_changes(
    book: Book, kind: Kind, record_id: str, before: Row, after: Row
) -> list[tuple[str, Any, Any]]:
    """Writes what differs between two states of a record, inside a transaction. Returns column, old and new value.

    Raises:
        DataRefused: there is no such record, its id would change, or a part of it would disappear.
    """
    records = Records(book, kind.table)
    found = records.find(record_id)
    if found is None:
        raise DataRefused(f"There is no {kind.name} '{record_id}'.", next_step="Look at the list again.")
    n = found[0]
    old, new = comparable(before), comparable(after)
    parts = ("readings", "crew", "phases")
    plain = {name: value for name, value in new.items() if name not in parts}
    changed = _differences(old, plain)
    if any(name == TABLES[kind.table].file_id for name, _, _ in changed):
        raise DataRefused("The id of a record never changes.", next_step="Strike it out and enter it anew.")
    records.update(n, {name: value for name, _, value in changed})
    if kind.name == "flight":
        for part, table, key in _PARTS:
            changed += _write_parts(book, n, (table, key), before[part], after[part])
    return changed


_PARTS: Final = (
    ("readings", "reading", "serial_no"),
    ("crew", "crew", "person"),
    ("phases", "phase", "sequence"),
)


def _paired(old: Sequence[Row], new: Sequence[Row], key: str) -> list[tuple[Row | None, Row]]:
    """Each row with the one it corrects: that of the same pack or person, else the one it took the place of.

    Raises:
        DataRefused: a row has disappeared; values can become unknown, but a row stays.
    """
    known, wanted = {row[key]: row for row in old}, {row[key] for row in new}
    pairs: list[tuple[Row | None, Row]] = []
    for place, row in enumerate(new):
        earlier = known.get(row[key])
        if earlier is None and place < len(old) and old[place][key] not in wanted:
            earlier = old[place]  # the pack or the person itself is corrected
        pairs.append((earlier, row))
    if len([earlier for earlier, _ in pairs if earlier is not None]) < len(old):
        raise DataRefused(
            "A part of a flight is never removed.",
            next_step="Set its values to unknown: SERIAL.field= with nothing.",
        )
    return pairs


def _write_parts(
    book: Book, flight: int, names: tuple[str, str], old: Sequence[Row], new: Sequence[Row]
) -> list[tuple[str, Any, Any]]:
    table, key = names
    flights, changed = Flights(book), []
    numbers = {row[key]: n for n, row in flights.parts[table].select("flight = ?", (flight,))}
    for earlier, row in _paired(old, new, key):
        if earlier is None:
            flights.insert_part(table, flight, row)
            differing = [
                (name, None, value) for name, value in row.items() if value is not None and name != key
            ]
        else:
            differing = _differences(earlier, row)
            flights.parts[table].update(numbers[earlier[key]], {name: value for name, _, value in differing})
        owner = row[key] if earlier is None else earlier[key]
        shown = "aeroplane" if owner is None else owner
        changed += [(f"{shown}.{name}", was, value) for name, was, value in differing]
    return changed


def _correct_charge(
    book: Book,
    charge_id: str,
    changes: Mapping[str, Any],
    *,
    by: str | None,
    why: str | None,
    seen: int | None,
) -> Corrected:
    """A charge has a row for each pack: plain fields change in all of them, `SERIAL.field` in one."""
    kind = kind_of("charge")
    model: type[Record] = kind.load()
    records = Records(book, "charge")
    with book.writing(by=by, why=why):
        rows = records.find_all(charge_id)
        if not rows:
            raise DataRefused(
                f"There is no charge '{charge_id}' in the book.", next_step="See 'logbook list charges'."
            )
        if seen is not None:
            expect(book, charge_id, seen)
        changed: list[tuple[str, Any, Any]] = []
        wanted = [(*_owner_and_column(name), value) for name, value in changes.items()]
        for stranger in {owner for owner, _, _ in wanted} - {None, *(row["serial_no"] for _, row in rows)}:
            raise DataRefused(
                f"Pack '{stranger}' has no part in charge '{charge_id}'.",
                next_step="Correct the serial number, or add a charge for it with the same charge_id.",
                field="serial_no",
            )
        for n, row in rows:
            after = dict(row)
            for owner, column, value in wanted:
                if owner in (None, row["serial_no"]):
                    after[column] = _value(model, column, value)
            fresh = comparable(read_record(model, after).columns())
            differing = _differences(comparable(row), fresh)
            records.update(n, {name: value for name, _, value in differing})
            changed += [(f"{row['serial_no']}.{name}", was, value) for name, was, value in differing]
        refresh(book)
        return Corrected(changed, show(book, "charge", charge_id))
