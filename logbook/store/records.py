"""Rows of any table of records, by the column names of the files."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any

from logbook.errors import ChangedMeanwhile, DataRefused
from logbook.store.catalogue import KEYS, PARTS, TABLES, Table
from logbook.store.database import Book

Row = dict[str, Any]


class Records:
    """One table of records: the only place that turns its rows into file columns and back."""

    def __init__(self, book: Book, name: str) -> None:
        self.book = book
        self.table: Table = TABLES[name]

    @cached_property
    def columns(self) -> Mapping[str, str]:
        """The columns of the table in its order, as SQL calls them; each with what the files call it."""
        known = self.book.keys.columns
        if self.table.name not in known:
            rows = self.book.connection.execute(f'PRAGMA table_info("{self.table.name}")').fetchall()
            known[self.table.name] = {
                row[1]: self.table.file_id if row[1] == "id" else row[1] for row in rows
            }
        return known[self.table.name]

    def insert(self, values: Mapping[str, Any]) -> int:
        """Writes a new row; values by file column, names instead of numbers. Returns its number (n).

        Raises:
            DataRefused: it names something unknown, or is in the book already.
        """
        row = self.inward(values)
        names = ", ".join(f'"{name}"' for name in row)
        marks = ", ".join("?" * len(row))
        sql = f"INSERT INTO {self.table.name} ({names}) VALUES ({marks})"
        cursor = self.run(sql, tuple(row.values()))
        if self.table.name in KEYS:
            self.book.keys.forget()
        return int(cursor.lastrowid or 0)

    def update(self, n: int, values: Mapping[str, Any]) -> None:
        """Writes some columns of one row.

        Raises:
            DataRefused: a value names something unknown or clashes with another record.
        """
        row = self.inward(values)
        if not row:
            return
        sets = ", ".join(f'"{name}" = ?' for name in row)
        self.run(f"UPDATE {self.table.name} SET {sets} WHERE n = ?", (*row.values(), n))
        if self.table.name in KEYS:
            self.book.keys.forget()

    def run(self, sql: str, parameters: Sequence[object]) -> sqlite3.Cursor:
        """Writes to the table.

        Raises:
            DataRefused: a guard of the schema does not let the row in.
        """
        try:
            return self.book.connection.execute(sql, parameters)
        except sqlite3.IntegrityError as error:
            raise self._refusal(error) from None

    def find(self, record_id: str) -> tuple[int, Row] | None:
        """The row with an id, or with the name people know it by; None if there is none."""
        for column in ("id", self.table.key):
            if column:
                for n, row in self.select(f'"{column}" = ?', (record_id,)):
                    return n, row
        return None

    def find_all(self, record_id: str) -> list[tuple[int, Row]]:
        """All rows with an id: the packs of one charging session."""
        return list(self.select("id = ?", (record_id,)))

    def select(
        self, where: str = "1", parameters: Sequence[object] = (), order: str = "", limit: int | None = None
    ) -> Iterator[tuple[int, Row]]:
        """Rows as (number, file columns). The conditions are SQL of the store's own making, values are parameters."""
        sql = f"SELECT * FROM {self.table.name} WHERE {where}"
        if order:
            sql += f" ORDER BY {order}"
        if limit is not None:
            sql += f" LIMIT {int(limit)}"
        found = self.book.connection.execute(sql, tuple(parameters)).fetchall()
        self.book.keys.look()
        for raw in found:
            yield raw[0], self.plain(raw)

    def plain(self, raw: Sequence[Any]) -> Row:
        """File columns of a whole row as SQLite gives it: the same as `outward`, for the many."""
        row = dict(zip(self.columns.values(), raw, strict=True))
        del row["n"]
        if self.table.parent:
            del row["flight"]
        for column, table in self.table.refs.items():
            if row[column] is not None:
                row[column] = self.book.keys.name(table, row[column])
        for column in self.table.lists:
            if row[column] is not None:
                row[column] = json.loads(row[column])
        return row

    def inward(self, values: Mapping[str, Any]) -> Row:
        """From file columns to SQL columns; the parts of a flight have tables of their own and are left out."""
        columns = self.columns
        row = {name: value for name, value in values.items() if name in columns}
        if self.table.file_id in values:
            row["id"] = values[self.table.file_id]
        for name, table in self.table.refs.items():
            if row.get(name) is not None:
                row[name] = self.book.keys.number(table, row[name], name)
        for name in self.table.lists:
            if row.get(name) is not None:
                row[name] = json.dumps(list(row[name]), ensure_ascii=False)
        return row

    def outward(self, row: Mapping[str, Any]) -> Row:
        """From SQL columns to file columns; the row number and a part's flight stay inside."""
        out: Row = {}
        for column, value in row.items():
            if column == "n" or (column == "flight" and self.table.parent):
                continue
            name = self.table.file_id if column == "id" else column
            if value is not None and column in self.table.refs:
                out[name] = self.book.keys.name(self.table.refs[column], value)
            elif value is not None and column in self.table.lists:
                out[name] = json.loads(value)
            else:
                out[name] = value
        return out

    def _refusal(self, error: sqlite3.IntegrityError) -> DataRefused:
        text = str(error)
        if "FOREIGN KEY" in text:
            return DataRefused(
                f"The {self.table.name} names a record that is not in the book.",
                next_step="Add that record first.",
            )
        if "CHECK" in text or "NOT NULL" in text or "cannot store" in text:
            return DataRefused(
                f"The {self.table.name} holds a value that cannot be stored ({text}).",
                next_step="Correct it.",
            )
        if "UNIQUE" in text:
            text = f"another {self.table.name} stands in that place already"
        words = text[:1].upper() + text[1:]
        return DataRefused(f"{words}.", next_step="Correct the entry, or the one that is in its way.")


def token(book: Book, record_id: str) -> int:
    """The number of the newest version of a record and its parts; 0 if it was never changed.

    Whoever is about to change a record hands back the token under which it was read.
    """
    row = book.connection.execute("SELECT max(seq) FROM version WHERE record_id = ?", (record_id,)).fetchone()
    return int(row[0] or 0)


def expect(book: Book, record_id: str, seen: int) -> None:
    """Makes sure, inside the writing transaction, that a record is still what was read.

    Raises:
        ChangedMeanwhile: somebody changed it in between.
    """
    if token(book, record_id) != seen:
        raise ChangedMeanwhile(
            "This record was changed by somebody else in the meantime; your change was not written.",
            next_step="Look at the record as it is now and make your change again.",
        )


class Version(dict[str, Any]):
    """One earlier state: seq, record, record_id, was (file columns, or None for an added part), at, by_whom, why."""


def versions(book: Book, record_id: str) -> list[Version]:
    """Every earlier state of a record and its parts, oldest first."""
    rows = book.connection.execute(
        "SELECT seq, record, record_id, was, at, by_whom, why FROM version WHERE record_id = ? ORDER BY seq",
        (record_id,),
    ).fetchall()
    return [outward_version(book, row) for row in rows]


def outward_version(book: Book, row: Sequence[Any]) -> Version:
    """A row of the version table with the earlier state by file columns and names."""
    seq, record, record_id, was, at, by_whom, why = row
    state = None if was is None else Records(book, record).outward(json.loads(was))
    if state is not None and record in PARTS:
        state.pop("flight", None)
    return Version(seq=seq, record=record, record_id=record_id, was=state, at=at, by_whom=by_whom, why=why)
