"""Bringing a book to the schema of this program, one recorded step after the other.

Each step and the note that it ran are committed together; a book that holds anything is backed up, and the
backup verified, before the first step. Two programs that open an old book at once take turns under SQLite's
write lock, and the second finds nothing left to do.
"""

from __future__ import annotations

import sqlite3
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.store.triggers import trigger_statements

if TYPE_CHECKING:
    from sqlite_utils import Database, Migrations


def migrate(path: Path, connection: sqlite3.Connection, *, keep_copy: bool) -> None:
    """Runs the steps that a book has not seen yet.

    Args:
        path: the file, for the backup beside it.
        connection: an open connection to it, outside any transaction.
        keep_copy: the book held something when it was opened.

    Raises:
        FileTrouble: the backup could not be made or verified; nothing was changed then.
    """
    from sqlite_utils import Database

    from logbook.store.database import APPLICATION_ID, SCHEMA_VERSION

    if keep_copy:
        from logbook.store.backup import back_up

        back_up(path, reason="before-migration")
    connection.execute("PRAGMA journal_mode=DELETE")
    connection.execute("BEGIN EXCLUSIVE")
    try:
        if connection.execute("PRAGMA user_version").fetchone()[0] < SCHEMA_VERSION:
            steps().apply(Database(connection, execute_plugins=False))
            connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version={SCHEMA_VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def steps() -> Migrations:
    """All steps, oldest first."""
    from sqlite_utils import Migrations

    migrations = Migrations("logbook")

    @migrations(name="0001 the record")
    def _the_record(db: Database) -> None:
        for statement in statements((files("logbook.store") / "schema.sql").read_text(encoding="utf-8")):
            db.conn.execute(statement)
        for statement in list(trigger_statements(db.conn)):
            db.conn.execute(statement)

    return migrations


def statements(script: str) -> list[str]:
    """The single statements of an SQL text; `executescript` would commit behind our back."""
    found: list[str] = []
    pending = ""
    for line in script.splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            found.append(pending.strip())
            pending = ""
    return found
