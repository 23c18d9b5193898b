"""What a merge asks of two books, and how it opens the other one: read-only, unchanged, and trusting nothing in it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from logbook.errors import FileTrouble, NoBook
from logbook.store.catalogue import PARTS, TABLES
from logbook.store.database import APPLICATION_ID, SCHEMA_VERSION, Book
from logbook.store.records import Version
from logbook.store.streams import version_rows
from logbook.store.trouble import Connection, troubles
from logbook.store.trust import bound_work, limit, refuse_untrusted

_AT_ONCE: Final = 500


class OtherBook(Book):
    """Another book, open to read from."""

    def __init__(self, path: Path, connection: Connection) -> None:
        super().__init__(path, connection)
        self._stamp = _stamp(path)

    def refuse_changed(self) -> None:
        """Makes sure that it is still the file that was opened; SQLite was told not to look.

        Raises:
            FileTrouble: another program has written to it meanwhile.
        """
        if _stamp(self.path) != self._stamp:
            raise FileTrouble(
                f"The file {self.path} was changed while it was read.",
                next_step="Close it elsewhere and merge again; nothing was changed.",
            )


def _stamp(path: Path) -> tuple[int, int, int]:
    state = path.stat()
    return state.st_ino, state.st_size, state.st_mtime_ns


@contextmanager
def other_book(path: Path) -> Iterator[OtherBook]:
    """Opens another book to read from: nothing of it is changed, and none of its triggers, views or functions run.

    Raises:
        NoBook: there is none.
        FileTrouble: it is no logbook, of another version, changed by another tool, damaged, or was interrupted.
    """
    if not path.is_file():
        raise NoBook(f"There is no logbook at {path}.", next_step="Correct the path.")
    for ending in ("-journal", "-wal"):
        beside = path.with_name(path.name + ending)
        if beside.exists() and beside.stat().st_size:
            raise FileTrouble(
                f"The file {path} was left in the middle of a change.",
                next_step="Open it once with this program, then merge it.",
            )
    with troubles(path):
        uri = f"file:{quote(str(path.absolute()))}?mode=ro&immutable=1"
        connection = sqlite3.connect(
            uri, uri=True, isolation_level=None, check_same_thread=False, factory=Connection
        )
        connection.path = path
        try:
            limit(connection)
            bound_work(connection, path.stat().st_size)
            for pragma in ("trusted_schema=OFF", "cell_size_check=ON", "query_only=ON"):
                connection.execute(f"PRAGMA {pragma}")
            _refuse_foreign(path, connection)
            yield OtherBook(path, connection)
        finally:
            connection.close()


def _refuse_foreign(path: Path, connection: sqlite3.Connection) -> None:
    run = connection.execute
    if run("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise FileTrouble(
            f"The file {path} is not a logbook.", next_step="Name another file; nothing was changed."
        )
    version = run("PRAGMA user_version").fetchone()[0]
    if version != SCHEMA_VERSION:
        step = (
            "Install the newer program."
            if version > SCHEMA_VERSION
            else "Open it once with this program, which brings it up to date."
        )
        raise FileTrouble(
            f"The file {path} has format {version}; this program merges format {SCHEMA_VERSION}.",
            next_step=step,
        )
    refuse_untrusted(path, connection, version)
    answer = run("PRAGMA quick_check(1)").fetchone()[0]
    if answer != "ok":
        raise FileTrouble(f"The file {path} is damaged: {answer}.", next_step="Restore its last good backup.")


def set_adding(book: Book, *, adding: bool) -> None:
    """Whether parts that are written now belong to a new record, inside a transaction."""
    book.connection.execute("UPDATE change_note SET adding = ?", (int(adding),))


@contextmanager
def histories_aside(book: Book, tables: Sequence[str]) -> Iterator[None]:
    """Changes inside leave no earlier state, as they come with their own; inside a transaction."""
    run = book.connection.execute
    names = [f"{table}_version" for table in tables] + [
        f"{table}_added" for table in tables if table in PARTS
    ]
    marks = ", ".join("?" * len(names))
    kept = run(
        f"SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND name IN ({marks})", names
    ).fetchall()
    for name, _ in kept:
        run(f'DROP TRIGGER "{name}"')
    yield
    for _, sql in kept:
        run(sql)


def numbers_by_id(book: Book, table: str, ids: Sequence[str]) -> dict[str, int]:
    """Row numbers of some records of a table by id."""
    found: dict[str, int] = {}
    for start in range(0, len(ids), _AT_ONCE):
        some = ids[start : start + _AT_ONCE]
        marks = ", ".join("?" * len(some))
        found.update(
            book.connection.execute(f"SELECT id, n FROM {table} WHERE id IN ({marks})", some).fetchall()
        )
    return found


def flights_beside(book: Book, aircraft: str, start: str, end: str) -> list[tuple[int, str]]:
    """Number and id of flights of an aeroplane, not struck out, whose block time overlaps another."""
    a = book.keys.find("aircraft", aircraft)
    return book.connection.execute(
        """SELECT n, id FROM flight WHERE aircraft = ? AND struck = 0 AND off_blocks = ?
        UNION SELECT n, id FROM flight WHERE aircraft = ? AND struck = 0 AND off_blocks < ? AND on_blocks > ?
            AND off_blocks > strftime('%Y-%m-%dT%H:%MZ', ?, '-2 days')""",
        (a, start, a, end, start, start),
    ).fetchall()


def last_number(book: Book, table: str) -> int:
    """The highest row number of a table."""
    return int(book.connection.execute(f"SELECT coalesce(max(n), 0) FROM {table}").fetchone()[0])


def histories(book: Book) -> dict[tuple[str, str], list[Version]]:
    """Every earlier state of every record, oldest first, by table and id; parts are filed with their flight."""
    found: dict[tuple[str, str], list[Version]] = {}
    strange = book.connection.execute("SELECT DISTINCT record FROM version").fetchall()
    if {record for (record,) in strange} - set(TABLES):
        raise FileTrouble(
            f"The history of {book.path} names records that do not exist.",
            next_step="Another tool changed it; merge a backup.",
        )
    for seq, record, record_id, was, at, by_whom, why in version_rows(book):
        table = "flight" if record in PARTS else record
        version = Version(
            seq=seq, record=record, record_id=record_id, was=was, at=at, by_whom=by_whom, why=why
        )
        found.setdefault((table, record_id), []).append(version)
    return found


def history_of(book: Book, table: str, record_id: str) -> list[Version]:
    """Every earlier state of one record and its parts, oldest first."""
    from logbook.store.records import versions

    tables = ("flight", *PARTS) if table == "flight" else (table,)
    return [version for version in versions(book, record_id) if version["record"] in tables]


def charges_beside(book: Book, serial_no: str, started: str) -> list[tuple[int, dict[str, Any]]]:
    """Charges of a pack, not struck out, that began at the same minute."""
    from logbook.store.records import Records

    pack = book.keys.find("pack", serial_no)
    return list(
        Records(book, "charge").select("serial_no = ? AND started = ? AND struck = 0", (pack, started))
    )
