"""Opening somebody else's file runs nothing of it: its tables and triggers are ours, word for word, or it is not opened.

A trigger in a file runs when the program writes to it, so a file from a stranger could change, add or hide records. The
text of every table and trigger is therefore compared with what this program makes, at every opening: one sum over them,
kept here for each format (under 2 ms). Indexes and views may be added by their owner: they answer questions and change nothing.
"""

from __future__ import annotations

import sqlite3
from hashlib import sha256
from pathlib import Path
from typing import Final

from logbook.errors import FileTrouble

DIGESTS: Final = {1: "a7d53f3feddad8e9fe9fe2e5d4b6fb0e09d0abfca590a7c636b0df0375e3c787"}
"""Format to the sum over its tables and triggers; a test computes it anew."""

_LIMITS: Final = (
    (sqlite3.SQLITE_LIMIT_LENGTH, 256 * 2**20),  # the longest text or row [bytes]
    (sqlite3.SQLITE_LIMIT_SQL_LENGTH, 2**20),  # [bytes]; the longest of ours is a trigger of 5 KB
    (sqlite3.SQLITE_LIMIT_EXPR_DEPTH, 400),
    (sqlite3.SQLITE_LIMIT_COMPOUND_SELECT, 50),
    (sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH, 20),
    (sqlite3.SQLITE_LIMIT_ATTACHED, 0),
)
_STEPS_AT_ONCE: Final = 100_000
_STEPS: Final = 2_000_000_000
_STEPS_PER_BYTE: Final = 500


def limit(connection: sqlite3.Connection) -> None:
    """Bounds what a file can make SQLite do.

    `trusted_schema=OFF` is for books that are only read: SQLite 3.40 counts its own JSON functions, which our tables use,
    among those a schema must be trusted for. No function of ours is ever registered, so there is none to be called.
    """
    for what, most in _LIMITS:
        connection.setlimit(what, most)


def bound_work(connection: sqlite3.Connection, size: int) -> None:
    """Ends what a file makes SQLite do without end, such as pages that lead back to themselves.

    Args:
        connection: it gets an error that says so.
        size: of the file [bytes]; the bound grows with it and is far above what an honest file needs.
    """
    left = (_STEPS + _STEPS_PER_BYTE * size) // _STEPS_AT_ONCE

    def step() -> int:
        nonlocal left
        left -= 1
        return int(left < 0)

    connection.set_progress_handler(step, _STEPS_AT_ONCE)


def digest(connection: sqlite3.Connection) -> str:
    """The sum over all tables and triggers.

    The notes of `sqlite-utils` on which step ran are left out, as the library may come to write them in other words; so
    are the statistics of SQLite's own ANALYZE.
    """
    rows = connection.execute(
        """SELECT type, name, tbl_name, sql FROM sqlite_master WHERE type IN ('table', 'trigger')
        AND NOT (type = 'table' AND (name = '_sqlite_migrations' OR name LIKE 'sqlite^_stat%' ESCAPE '^')
            AND sql LIKE 'CREATE TABLE%')"""
    ).fetchall()
    return sha256("\0".join(sorted("\1".join(map(str, row)) for row in rows)).encode()).hexdigest()


def refuse_untrusted(path: Path, connection: sqlite3.Connection, version: int) -> None:
    """Makes sure that a book holds nothing that runs but what this program put there.

    Args:
        path: the file, for the message.
        connection: to it.
        version: its format; 0 and others that have no sum are taken for the oldest.

    Raises:
        FileTrouble: a table or trigger is another one; nothing was changed.
    """
    if digest(connection) == DIGESTS.get(version, DIGESTS[min(DIGESTS)]):
        return
    odd = odd_names(connection)
    if odd:
        raise FileTrouble(
            f"The file {path} was changed by another tool: '{odd[0]}' in it is not as this program makes it, and could do harm.",
            next_step=f"Nothing was changed. Restore a backup, or take over what it holds: logbook salvage {path} --to NEW.",
        )


def odd_names(connection: sqlite3.Connection) -> list[str]:
    """Tables and triggers that differ from those of a new book, or are missing."""
    from logbook.store.integrity import fresh_schema

    expected = {name: sql for name, sql in fresh_schema().items() if _runs(sql)}
    rows = connection.execute(
        "SELECT name, sql FROM sqlite_master WHERE type IN ('table', 'trigger') AND sql IS NOT NULL"
    ).fetchall()
    found = {name: " ".join(sql.split()) for name, sql in rows}
    return [
        name
        for name in sorted(expected.keys() | found.keys())
        if expected.get(name) != found.get(name)
        and not (
            (name == "_sqlite_migrations" or name.startswith("sqlite_"))
            and found.get(name, "").startswith("CREATE TABLE")
        )
    ]


def _runs(sql: str) -> bool:
    return sql.startswith(("CREATE TABLE", "CREATE TRIGGER", "CREATE VIRTUAL TABLE"))
