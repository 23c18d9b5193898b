"""Writing many records at once: the same rows as one by one, with the work that can wait done once at the end.

Inside the transaction of a large import the triggers of new rows are set aside: what they guard is guarded by the unique
keys as well, and what they note for the derived tables is built anew afterwards. They are back, word for word, before the
transaction ends, or it never happened.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from operator import itemgetter
from typing import Any, Final

from logbook.domain.flight import Flight
from logbook.domain.record import Part, Record
from logbook.store.catalogue import KEYS, PARTS, TABLES
from logbook.store.database import Book
from logbook.store.kept_people import PeopleTotals
from logbook.store.kept_totals import PackTotals
from logbook.store.pack_events import PackEvents
from logbook.store.records import Records, Row, Version

_SET_ASIDE: Final = ("flight", "reading", "crew", "phase", "charge", "pack_event")


class Taken(Exception):
    """A row with this id, or this place in the record, is there already."""


class Loader:
    """Inserts records by prepared statements.

    A record that is in the way of another raises `Taken`; nothing of it was written then.
    """

    def __init__(self, book: Book) -> None:
        self._book = book
        self._plans: dict[str, _Plan] = {}
        self._run = sqlite3.Connection.cursor(book.connection).execute

    def insert(self, table: str, record: Record, filled: Row) -> None:
        """Writes one record, of a flight also its parts; all names are looked up before anything is written.

        Args:
            table: its table.
            record: what to write.
            filled: values by SQL column, for where the record is silent.

        Raises:
            DataRefused: it names something the book does not know.
            Taken: its id, or its place in the record, is there already.
        """
        plan = self._plan(table, type(record))
        row = plan.row(record, filled)
        parts = self._parts(record) if isinstance(record, Flight) else ()
        try:
            n = self._run(plan.sql, row).lastrowid
        except sqlite3.IntegrityError:
            raise Taken from None
        for sql, values in parts:
            self._run(sql, (*values, n))
        if table in KEYS:
            self._book.keys.forget()

    def _parts(self, flight: Flight) -> list[tuple[str, list[Any]]]:
        rows = []
        for name, many in (("reading", flight.readings), ("crew", flight.crew), ("phase", flight.phases)):
            if many:
                plan = self._plan(name, type(many[0]))
                rows += [(plan.sql, plan.row(one)) for one in many]
        return rows

    def _plan(self, table: str, model: type[Part]) -> _Plan:
        if table not in self._plans:
            self._plans[table] = _Plan(self._book, table, model)
        return self._plans[table]


class _Plan:
    """How the fields of one kind of record become a row."""

    def __init__(self, book: Book, name: str, model: type[Part]) -> None:
        table = TABLES[name]
        columns = [column for column in Records(book, name).columns if column != "n"]
        if name in PARTS:
            columns.remove("flight")
        fields = {field.alias or attribute: attribute for attribute, field in model.model_fields.items()}
        self._pick = itemgetter(*(fields[table.file_id if column == "id" else column] for column in columns))
        self._place = {column: at for at, column in enumerate(columns)}
        self._refs = [(at, table.refs[name], name) for name, at in self._place.items() if name in table.refs]
        self._lists = [at for name, at in self._place.items() if name in table.lists]
        self._keys = book.keys
        into = [*columns, "flight"] if name in PARTS else columns
        quoted = ", ".join(f'"{column}"' for column in into)
        self.sql = f"INSERT INTO {name} ({quoted}) VALUES ({', '.join('?' * len(into))})"

    def row(self, record: Part, filled: Row | None = None) -> list[Any]:
        row = list(self._pick(record.__dict__))
        for at, table, field in self._refs:
            if row[at] is not None:
                row[at] = self._keys.number(table, row[at], field)
        for at in self._lists:
            if row[at] is not None:
                row[at] = json.dumps(list(row[at]), ensure_ascii=False)
        for column, value in (filled or {}).items():
            if row[self._place[column]] is None:
                row[self._place[column]] = value
        return row


@contextmanager
def triggers_aside(book: Book) -> Iterator[None]:
    """Sets the triggers of new flights, their parts and charges aside, inside a transaction; see the module."""
    run = book.connection.execute
    marks = ", ".join("?" * len(_SET_ASIDE))
    kept = run(
        f"""SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name IN ({marks})
        AND (tbl_name = 'pack_event' OR sql LIKE '%INSERT ON%')""",
        _SET_ASIDE,
    ).fetchall()
    for name, _ in kept:
        run(f'DROP TRIGGER "{name}"')
    yield
    PackEvents(book).rebuild()
    PackTotals(book).clear()
    PeopleTotals(book).clear()
    for _, sql in kept:
        run(sql)


@contextmanager
def attempt(book: Book) -> Iterator[None]:
    """Part of a transaction that is undone by itself where it fails, and leaves the rest standing."""
    run = book.connection.execute
    run("SAVEPOINT attempt")
    try:
        yield
    except BaseException:
        if book.connection.in_transaction:
            run("ROLLBACK TO attempt")
            run("RELEASE attempt")
        book.keys.forget()
        raise
    run("RELEASE attempt")


class Histories:
    """Takes in earlier states of records that have just been entered."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._tables: dict[str, Records] = {}
        run = book.connection.execute
        self._last = int(run("SELECT coalesce(max(seq), 0) FROM version").fetchone()[0])
        self._fresh = self._last == 0
        self._before: dict[str, int] = {}

    def note_before(self) -> None:
        """Remembers which rows were there before the import; only the histories of others are taken in."""
        for name in TABLES:
            self._before[name] = int(
                self._book.connection.execute(f"SELECT coalesce(max(n), 0) FROM {name}").fetchone()[0]
            )

    def state_of(self, record: str, record_id: str) -> str:
        """`new` for a record this import entered, `old` for one that was there, empty for an unknown one."""
        table = "flight" if record in PARTS else record
        rows = self._book.connection.execute(f"SELECT n FROM {table} WHERE id = ?", (record_id,)).fetchall()
        if not rows:
            return ""
        return "new" if all(n > self._before[table] for (n,) in rows) else "old"

    def holds(self, record: str, record_id: str, at: str, was: Row | None) -> bool:
        """Whether this earlier state is in the book already."""
        rows = self._book.connection.execute(
            "SELECT was FROM version WHERE record = ? AND record_id = ? AND at = ?", (record, record_id, at)
        ).fetchall()
        wanted = None if was is None else self.inward(record, was)
        return any(
            (None if text is None else _plain(json.loads(text)))
            == (None if wanted is None else _plain(wanted))
            for (text,) in rows
        )

    def inward(self, record: str, was: Row) -> Row:
        """An earlier state as the triggers write it: SQL columns, numbers instead of names."""
        if record not in self._tables:
            self._tables[record] = Records(self._book, record)
        records = self._tables[record]
        given = records.inward(was)
        return {column: given.get(column) for column in records.columns if column not in ("n", "flight")}

    def insert(self, version: Version) -> None:
        """Writes one earlier state: under its own number in a book without history, else under the next."""
        seq, was = version["seq"], version["was"]
        if seq is None or not self._fresh or seq <= self._last:
            seq = self._last + 1
        text = None
        if was is not None:
            text = json.dumps(self.inward(version["record"], was), ensure_ascii=False, separators=(",", ":"))
        named = [version[name] for name in ("at", "by_whom", "why")]
        self._book.connection.execute(
            "INSERT INTO version VALUES (?, ?, ?, ?, ?, ?, ?)",
            (seq, version["record"], version["record_id"], text, *named),
        )
        if version["record"] == "pack":  # flights are judged by the state the pack had then
            self._book.connection.execute(
                """INSERT OR IGNORE INTO stale SELECT e.n FROM pack p JOIN pack_event e ON e.pack = p.n
                WHERE p.id = ? AND e.what = 'flight'""",
                (version["record_id"],),
            )
        self._last = seq


def _plain(state: Row) -> Row:
    return {name: value for name, value in state.items() if value is not None and name != "flight"}
