"""Whole tables in one order, from a copy that no writer disturbs: what an export and a merge read."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from logbook.store.catalogue import KEYS, PARTS, TABLES, Table
from logbook.store.database import Book, troubles
from logbook.store.records import Records, Row
from logbook.store.trouble import Connection

_AT_ONCE = 1000


@contextmanager
def snapshot(book: Book) -> Iterator[Book]:
    """A copy of the book as it is now, in a private temporary folder, gone afterwards.

    A long read of the book itself would hold up whoever wants to write.
    """
    with TemporaryDirectory(prefix="logbook-") as folder:
        path = Path(folder) / "copy.logbook"
        connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False, factory=Connection)
        connection.path = path
        connection.execute("PRAGMA synchronous=OFF")
        try:
            with troubles(path):
                book.connection.backup(connection)
            yield Book(path, connection)
        finally:
            connection.close()


def table_rows(book: Book, name: str, columns: Sequence[str]) -> Iterator[tuple[Any, ...]]:
    """Every row of a table by the given file columns, names in the place of numbers, ordered by id.

    Parts of a flight have the column `flight_id` in front.
    """
    table = TABLES[name]
    picked = ", ".join(_source(table, column) for column in columns)
    cursor = book.connection.execute(f"SELECT {picked} FROM {name} t{_joins(table)} ORDER BY {_order(table)}")
    lists = [at for at, column in enumerate(columns) if column in table.lists]
    while rows := cursor.fetchmany(_AT_ONCE):
        if not lists:
            yield from rows
            continue
        for row in rows:
            yield tuple(
                json.loads(value) if at in lists and value is not None else value
                for at, value in enumerate(row)
            )


def _source(table: Table, column: str) -> str:
    if table.parent and column == "flight_id":
        return "f.id"
    if column in table.refs:
        return f'"{column}_"."{KEYS[table.refs[column]]}"'
    return 't."id"' if column == table.file_id else f't."{column}"'


def _joins(table: Table) -> str:
    joins = [
        f' LEFT JOIN {to} "{column}_" ON "{column}_".n = t."{column}"' for column, to in table.refs.items()
    ]
    return "".join([" JOIN flight f ON f.n = t.flight" if table.parent else "", *joins])


def _order(table: Table) -> str:
    keys = [_source(table, column.strip()) for column in table.sort.split(",") if column.strip() != "id"]
    return ", ".join(["f.id" if table.parent else "t.id", *keys])


def version_rows(book: Book) -> Iterator[tuple[int, str, str, Row | None, str, str | None, str | None]]:
    """Every earlier state in the order in which they arose: seq, record, record_id, was, at, by_whom, why."""
    tables: dict[str, Records] = {}
    cursor = book.connection.execute(
        "SELECT seq, record, record_id, was, at, by_whom, why FROM version ORDER BY seq"
    )
    while rows := cursor.fetchmany(_AT_ONCE):
        for seq, record, record_id, was, at, by_whom, why in rows:
            if record not in tables:
                tables[record] = Records(book, record)
            state = None if was is None else tables[record].outward(json.loads(was))
            if state is not None and record in PARTS:
                state.pop("flight", None)
            yield seq, record, record_id, state, at, by_whom, why
