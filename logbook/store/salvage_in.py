"""Putting what was salvaged into a new book: the same rows under the same numbers, past the same guards."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from typing import Any, Final, NamedTuple

from logbook.store.catalogue import KEYS, TABLES
from logbook.store.database import Book
from logbook.store.salvage import WANTED, Remains, Row

_STAND_IN: Final[dict[str, Row]] = {"aircraft": {"positions": "[]"}, "pack": {}, "person": {}}

Judge = Callable[[str, dict[str, Any]], str]
"""Table and row by file column to why it cannot be such a record; empty where it can."""


class Refusal(NamedTuple):
    """A row that was read and could not enter.

    Attributes:
        table: where it was.
        number: its number there.
        why: in words.
        row: its values.
    """

    table: str
    number: int
    why: str
    row: Row


class Entered:
    """What became of the rows.

    Attributes:
        counts: how many entered, by table.
        refused: those that did not.
        stand_ins: names given to what other rows speak of and what itself is lost.
    """

    def __init__(self) -> None:
        self.counts: dict[str, int] = dict.fromkeys(WANTED, 0)
        self.refused: list[Refusal] = []
        self.stand_ins: list[str] = []


def enter(book: Book, remains: Remains, judge: Judge) -> Entered:
    """Writes all rows that can be, in one transaction."""
    run = _Run(book, remains, judge)
    with book.writing(adding=True):
        for name in WANTED:
            run.table(name)
    return run.entered


class _Run:
    """One run over all tables."""

    def __init__(self, book: Book, remains: Remains, judge: Judge) -> None:
        self.entered = Entered()
        self._run = book.connection.execute
        self._remains = remains
        self._judge = judge
        self._there: dict[str, set[int]] = {name: set() for name in WANTED}
        self._names: dict[str, dict[int, str]] = {name: {} for name in KEYS}

    def table(self, name: str) -> None:
        """Writes one table; what it refers to was written before."""
        if name in KEYS:
            self._stand_in(name)
        for number, row in sorted(self._remains.rows[name].items()):
            why = self._objection(name, row) or self._insert(name, row)
            if why:
                self.entered.refused.append(Refusal(name, number, why, row))
                if name in KEYS:
                    self._one_stand_in(name, number)
                continue
            self.entered.counts[name] += 1
            self._there[name].add(number)
            if name in KEYS:
                self._names[name][number] = str(row[KEYS[name]])

    def _insert(self, name: str, row: Row) -> str:
        columns = ", ".join(f'"{column}"' for column in row)
        try:
            self._run(
                f"INSERT INTO {name} ({columns}) VALUES ({', '.join('?' * len(row))})", tuple(row.values())
            )
        except sqlite3.IntegrityError as error:
            return f"The book does not take it: {error}."
        return ""

    def _objection(self, name: str, row: Row) -> str:
        if name not in TABLES:
            return ""
        table = TABLES[name]
        if table.parent and row["flight"] not in self._there["flight"]:
            return "Its flight is lost."
        plain: dict[str, Any] = {}
        for column, value in row.items():
            if column == "n" or (column == "flight" and table.parent):
                continue
            if column in table.refs and value is not None:
                known = self._names[table.refs[column]].get(value) if isinstance(value, int) else None
                if known is None:
                    return f"Its {column} names row {value!r}, which cannot be."
                plain[column] = known
            else:
                plain[table.file_id if column == "id" else column] = value
        return self._judge(name, plain)

    def _stand_in(self, name: str) -> None:
        """A record for each aeroplane, pack and person that others speak of and that is lost: their rows need not be."""
        for number in self._remains.lost(name):
            spoken_of = any(
                row[column] == number
                for other in TABLES.values()
                for column, to in other.refs.items()
                if to == name
                for row in self._remains.rows[other.name].values()
            )
            if spoken_of:
                self._one_stand_in(name, number)

    def _one_stand_in(self, name: str, number: int) -> None:
        word = f"lost-{name}-{number}"
        row: Row = {"n": number, "id": word, KEYS[name]: word, **_STAND_IN[name]}
        if self._insert(name, row):
            return
        self._there[name].add(number)
        self._names[name][number] = word
        self.entered.stand_ins.append(word)
