"""Opening the book: one connection, its guards, its one way to write, and SQLite's troubles in words.

Rollback journal and `synchronous=FULL`: the file is copied and carried on sticks by its owners, and a saved
flight must be on the disk. Writes go through `Book.writing`, which takes the write lock at once: a transaction
that begins as a read and turns into a write can be refused without the waiting time being honoured.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Final, Self
from urllib.parse import quote

from logbook.errors import FileTrouble, NoBook
from logbook.paths import backup_folder
from logbook.store.keys import Keys
from logbook.store.trouble import Connection, foreign, has_backups, newest_backup, troubles, way_back
from logbook.store.trust import limit, refuse_untrusted

__all__ = ["Book", "troubles"]

APPLICATION_ID: Final = 0x454C4F47
"""Marks an SQLite file as one of ours."""

SCHEMA_VERSION: Final = 1
"""The schema this program writes; an older book is migrated, a newer one is refused untouched."""

_HEADER_BYTES: Final = 100

WAIT_S: Final = 8.0
"""How long one program waits for another that is writing [s]."""

_PRAGMAS: Final = (
    "foreign_keys=ON",
    "recursive_triggers=ON",
    "synchronous=FULL",
    "cell_size_check=ON",
    "cache_spill=50000",  # pages [4 KiB]: a long transaction that spills earlier shuts out those who only read
)


def _clock() -> str:
    return f"{datetime.now(UTC):%Y-%m-%dT%H:%MZ}"


class Book:
    """One open logbook file.

    Attributes:
        path: the file.
        connection: for the modules of the store only.
        keys: registrations, serial numbers and names, and the rows they stand for.
        after_commit: is called after each transaction that entered the book, outside of it.
        clock: what time it is (UTC, stored form), for everything that counts up to now; a desk brings its own.
    """

    def __init__(self, path: Path, connection: Connection) -> None:
        self.path = path
        self.connection = connection
        self.keys = Keys(connection)
        self.after_commit: Callable[[], None] | None = None
        self.clock: Callable[[], str] = _clock
        self._file = _identity(path)
        self._made: int | None = None
        """Where this opening made the file: what others had written by then."""

    @classmethod
    def open(cls, path: Path, *, create: bool = False, readonly: bool = False, anew: bool = False) -> Self:
        """Opens the book at a path; makes it where wanted and missing.

        Args:
            path: the file.
            create: a missing book is made.
            readonly: nothing will be written.
            anew: also where there are backups of one that stood here before; who asks for it says so and keeps them.

        Raises:
            NoBook: there is none, and none is to be made.
            FileTrouble: it is not a logbook, is newer than this program, damaged, locked or not readable; or one is to be
                made where backups show that one is missing.
        """
        with troubles(path):
            if path.exists() and not path.is_file():
                raise foreign(path)  # a folder, a device
            exists = path.exists() and path.stat().st_size > 0
            if not exists and not (create and anew) and has_backups(path):
                raise _gone(path, create=create)
            if not exists and not create:
                raise NoBook(
                    f"There is no logbook at {path}.",
                    next_step="Record something first, or name another file with --file.",
                )
            if not exists:
                path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                _make_private(path)
            if 0 < path.stat().st_size < _HEADER_BYTES:
                raise foreign(path)  # SQLite would take so short a file for an empty one, and write over it
            book = cls(path, _opened(path, readonly=readonly))
            book._made = None if exists else book._written_by_others()
            return book

    def take_back(self) -> None:
        """Removes the file where this opening made it and nobody else has written to it since.

        For whoever made a book and then has nothing to put into it. What this connection wrote goes with it.
        """
        with suppress(sqlite3.OperationalError):  # somebody else is writing: it stays
            self.connection.execute("BEGIN EXCLUSIVE")
            if self._made == self._written_by_others() and _identity(self.path) == self._file:
                self.path.unlink()
            self.connection.execute("ROLLBACK")

    def _written_by_others(self) -> int:
        """A number that changes once another connection has written."""
        return int(self.connection.execute("PRAGMA data_version").fetchone()[0])

    def close(self) -> None:
        """Lets go of the file."""
        self.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @contextmanager
    def writing(
        self, *, by: str | None = None, why: str | None = None, adding: bool = False
    ) -> Iterator[None]:
        """One transaction: everything inside enters the book, or nothing does.

        Args:
            by: who makes the change, for the versions it leaves.
            why: the reason given.
            adding: a new record is written with its parts, which are then no change of an older one.
        """
        with troubles(self.path):
            self.connection.execute("BEGIN IMMEDIATE")
            try:
                self._refuse_replaced()
                self.keys.hold()
                self.connection.execute(
                    "UPDATE change_note SET by_whom = ?, why = ?, adding = ?", (by, why, int(adding))
                )
                yield
                self.connection.execute("UPDATE change_note SET by_whom = NULL, why = NULL, adding = 0")
                self.connection.execute("COMMIT")
            except BaseException:
                if self.connection.in_transaction:
                    self.connection.execute("ROLLBACK")
                self.keys.forget()
                raise
            finally:
                self.keys.release()
        if self.after_commit is not None:
            self.after_commit()

    @contextmanager
    def reading(self) -> Iterator[None]:
        """Several questions about one moment: nobody else can write between them, and the file is locked once, not for each."""
        if self.connection.in_transaction:
            yield
            return
        self.connection.execute("BEGIN")
        try:
            self.keys.hold()
            yield
        finally:
            self.keys.release()
            self.connection.execute("COMMIT")

    def _refuse_replaced(self) -> None:
        """What is written to a file that no longer has its name would be confirmed, and lost."""
        if _identity(self.path) != self._file:
            raise FileTrouble(
                f"The file {self.path} was replaced or moved while it was open.",
                next_step="Open the book again and enter it once more; nothing was changed.",
            )


def _identity(path: Path) -> tuple[int, int] | None:
    """Which file a path stands for; None where there is none."""
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino


def _make_private(path: Path) -> None:
    """Creates the file readable by its owner only, whatever the umask says."""
    os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))
    path.chmod(0o600)


def _opened(path: Path, *, readonly: bool) -> Connection:
    """A connection to a file that is ours and of today's format."""
    kept = None
    if Path(f"{path}-journal").exists():  # rare, and not loaded for a book that was closed well
        from logbook.store.interrupted import keep_interrupted

        kept = keep_interrupted(path)
    connection = _connect(path, readonly=readonly)
    try:
        _prepare(path, connection)
        if kept is not None:
            _refuse_badly_undone(path, connection)
    except FileTrouble as error:
        connection.close()
        if kept is None:
            raise
        raise FileTrouble(
            f"{error.problem} It had been left in the middle of a change.",
            next_step=f"{error.next_step} As it was found, it is kept in {kept[0]}.",
        ) from error
    except BaseException:
        connection.close()
        raise
    if kept is not None:
        from logbook.store.interrupted import let_go

        let_go(kept)
    return connection


def _refuse_badly_undone(path: Path, connection: Connection) -> None:
    answer = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if answer != "ok":
        raise FileTrouble(f"The file {path} is damaged.", next_step=way_back(path))


def _gone(path: Path, *, create: bool) -> FileTrouble | NoBook:
    empty = path.exists()
    what = "is empty" if empty else "is not there any more"
    folder = backup_folder(path)
    kind = FileTrouble if empty or create else NoBook
    back = way_back(path) if empty else newest_backup(path)
    return kind(
        f"The logbook {path} {what}, and there are backups of it.",
        next_step=f"{back} To begin a new book in its place, move the folder {folder} away first.",
    )


def _connect(path: Path, *, readonly: bool) -> Connection:
    mode = "ro" if readonly else "rw"
    uri = f"file:{quote(str(path.absolute()))}?mode={mode}"
    connection = sqlite3.connect(
        uri, uri=True, isolation_level=None, timeout=WAIT_S, check_same_thread=False, factory=Connection
    )
    connection.path = path
    limit(connection)
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")
    return connection


def _prepare(path: Path, connection: Connection) -> None:
    application, version, empty = _state(connection)
    if not empty and application != APPLICATION_ID:
        raise foreign(path)
    if version > SCHEMA_VERSION:
        raise FileTrouble(
            f"The file {path} was written by a newer version of this program (format {version}; this one knows {SCHEMA_VERSION}).",
            next_step="Install the newer version; nothing was changed.",
        )
    if not empty:
        refuse_untrusted(path, connection, version)
    if version < SCHEMA_VERSION:
        from logbook.store.migrations import migrate

        migrate(path, connection, keep_copy=not empty)
    if connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal":
        # Another tool set this; a book is one file, which can be copied. Where it is still in use, next time.
        with suppress(FileTrouble):
            connection.execute("PRAGMA journal_mode=DELETE")


def _state(connection: Connection) -> tuple[int, int, bool]:
    """Whose file it is, of which format, and whether it is empty; seen at one moment, as it may be in the making."""
    connection.execute("BEGIN")
    try:
        application = connection.execute("PRAGMA application_id").fetchone()[0]
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        something = connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
    finally:
        connection.execute("COMMIT")
    return application, version, application == 0 and version == 0 and not something
