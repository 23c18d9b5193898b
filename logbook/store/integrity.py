"""Is the file whole, and is its schema the one this program made?"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Final

from logbook.errors import FileTrouble
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.migrations import statements
from logbook.store.triggers import trigger_statements

_ADDED: Final = ("CREATE VIEW", "CREATE INDEX", "CREATE UNIQUE INDEX")
"""What its owner may add to a book: it answers questions and changes nothing."""


def findings_of_file(book: Book) -> Iterator[tuple[str, str]]:
    """What is wrong with the pages, references, guards and histories: (what, what to do)."""
    run = book.connection.execute
    for row in run("PRAGMA integrity_check").fetchall():
        if row[0] != "ok":
            yield (
                f"The file is damaged: {row[0]}.",
                "Restore the last good backup beside it with 'logbook restore', or see 'logbook salvage --help'.",
            )
    for table in TABLES:
        yield from _unreadable_texts(book.connection, table)
    for table, n, parent, _ in run("PRAGMA foreign_key_check").fetchall():
        yield (
            f"Row {n} of {table} names a {parent} that is not there.",
            "Restore the last good backup, or ask for help.",
        )
    expected, found = fresh_schema(), schema_of(book.connection)
    for name in sorted(expected.keys() | found.keys()):
        added = name not in expected and found[name].startswith(_ADDED)
        if expected.get(name) != found.get(name) and "sqlite_" not in name and not added:
            yield (
                f"'{name}' of the schema is not as this program makes it.",
                "Another tool changed the file; restore a backup or export and import.",
            )
    for (seq,) in run(
        "SELECT v.seq - 1 FROM version v WHERE v.seq > 1 AND NOT EXISTS (SELECT 1 FROM version w WHERE w.seq = v.seq - 1)"
    ).fetchall():
        yield f"Version {seq} is missing from the history.", "Another tool removed it; restore a backup."


def _unreadable_texts(connection: sqlite3.Connection, table: str) -> Iterator[tuple[str, str]]:
    """SQLite does not look at the bytes of a text; one that was damaged stops whoever reads it."""
    cursor = connection.execute(f"SELECT * FROM {table}")
    try:
        while cursor.fetchmany(1000):
            pass
    except FileTrouble:
        yield (
            f"The file is damaged: a text in {table} cannot be read.",
            "Restore the last good backup beside it with 'logbook restore', or see 'logbook salvage --help'.",
        )


def schema_of(connection: sqlite3.Connection) -> dict[str, str]:
    """Name to SQL text of every table, trigger, index and view, spaces folded."""
    rows = connection.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    return {name: " ".join(sql.split()) for name, sql in rows}


def fresh_schema() -> dict[str, str]:
    """The schema as a new book has it."""
    from importlib.resources import files

    connection = sqlite3.connect(":memory:")
    try:
        for statement in statements((files("logbook.store") / "schema.sql").read_text(encoding="utf-8")):
            connection.execute(statement)
        for statement in list(trigger_statements(connection)):
            connection.execute(statement)
        return schema_of(connection)
    finally:
        connection.close()
