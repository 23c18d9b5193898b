"""What SQLite and the system say when a file cannot be used, in words with what to do.

The connection of the book speaks so by itself: a read can fail as well as a write (another program holds the file,
a page is damaged), and it can fail at any row that is fetched.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from pathlib import Path
from typing import Any, Final, TypeVar

from logbook.errors import FileTrouble

T = TypeVar("T")


@contextmanager
def troubles(path: Path) -> Iterator[None]:
    """Turns what SQLite and the system say into a sentence with what to do.

    Raises:
        FileTrouble: for everything that is wrong with the file rather than with the data.
    """
    try:
        with _of_sqlite(path):
            yield
    except OSError as error:
        raise FileTrouble(
            f"The file {path} cannot be used: {error.strerror or error}.",
            next_step="Check the folder and its permissions; nothing was changed.",
        ) from error


@contextmanager
def _of_sqlite(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.IntegrityError:
        raise  # a guard of the schema: the service that wrote knows what it means
    except sqlite3.Error as error:
        raise _file_trouble(path, error) from error


_WORDS: Final = {
    "SQLITE_BUSY": (
        "Another program has been writing to {path} for some time.",
        "Close it there or try again; nothing was changed.",
    ),
    "SQLITE_LOCKED": (
        "Another program has been writing to {path} for some time.",
        "Close it there or try again; nothing was changed.",
    ),
    "SQLITE_FULL": (
        "The disk is full; the entry is not in {path}.",
        "Make room and enter it again; earlier entries are safe.",
    ),
    "SQLITE_READONLY": (
        "The file {path} cannot be written.",
        "Check its permissions and those of its folder; nothing was changed.",
    ),
    "SQLITE_CANTOPEN": ("The file {path} cannot be opened.", "Check the folder and its permissions."),
    "SQLITE_CORRUPT": (
        "The file {path} is damaged.",
        "",  # the way back
    ),
    "SQLITE_INTERRUPT": (
        "The file {path} makes more work than an honest file could.",
        "It is damaged or made to do harm: get it again from somebody you trust; nothing was changed.",
    ),
    "SQLITE_IOERR": (
        "The disk did not read or write {path}.",
        "Check the disk and try again; earlier entries are safe.",
    ),
}


def way_back(path: Path) -> str:
    """What to do about a damaged book: the last good backup by name, else what can be saved of it."""
    back = newest_backup(path) or "There is no backup beside it;"
    return f"{back} 'logbook salvage {path} --to NEW' takes over what can still be read."


def newest_backup(path: Path) -> str:
    """The last good backup of a book by name, and what puts it back, in a sentence; empty where there is none."""
    from logbook.store.backup import backups_of

    try:
        newest = next(iter(backups_of(path)), None)
    except OSError:
        newest = None
    if newest is None:
        return ""
    return f"Its last good backup is {newest}: 'logbook restore {newest}' puts it back."


def foreign(path: Path) -> FileTrouble:
    """What to say of a file that is no logbook, or is none any more: then there are backups of it."""
    if has_backups(path):
        return FileTrouble(
            f"The file {path} is damaged: its beginning is not that of a logbook.", next_step=way_back(path)
        )
    return FileTrouble(
        f"The file {path} is not a logbook.", next_step="Name another file with --file; nothing was changed."
    )


def has_backups(path: Path) -> bool:
    """Whether there are dated backups of a book, as far as it can be seen."""
    from logbook.store.backup import backups_of

    try:
        return bool(backups_of(path))
    except OSError:
        return False


def _file_trouble(path: Path, error: sqlite3.Error) -> FileTrouble:
    name = getattr(error, "sqlite_errorname", "") or ""
    if not name and "decode to UTF-8" in str(error):
        name = "SQLITE_CORRUPT"  # the module's own words, for a text whose bytes were changed
    if name == "SQLITE_NOTADB":
        return foreign(path)
    for start, (problem, step) in _WORDS.items():
        if name.startswith(start):
            return FileTrouble(problem.format(path=path), next_step=step or way_back(path))
    if not name:  # a mistake of ours, such as a misspelt column: a defect, not the user's file
        raise error
    return FileTrouble(
        f"The file {path} cannot be used ({name}).", next_step="Run 'logbook check'; nothing was changed."
    )


def _in_words(method: Callable[..., T]) -> Callable[..., T]:
    """The same method of a cursor, whose troubles are sentences; the path of success costs next to nothing."""

    @wraps(method)
    def spoken(self: Cursor, *arguments: Any) -> T:
        try:
            return method(self, *arguments)
        except sqlite3.IntegrityError:
            raise
        except sqlite3.Error as error:
            raise _file_trouble(self.connection.path, error) from error
        except UnicodeDecodeError as error:  # SQLite quotes a damaged schema in its own message
            path = self.connection.path
            raise FileTrouble(f"The file {path} is damaged.", next_step=way_back(path)) from error

    return spoken


class Cursor(sqlite3.Cursor):
    """A cursor that fails in words, at whichever row that is."""

    connection: Connection

    execute = _in_words(sqlite3.Cursor.execute)
    executemany = _in_words(sqlite3.Cursor.executemany)
    fetchone = _in_words(sqlite3.Cursor.fetchone)
    fetchmany = _in_words(sqlite3.Cursor.fetchmany)
    fetchall = _in_words(sqlite3.Cursor.fetchall)
    __next__ = _in_words(sqlite3.Cursor.__next__)


class Connection(sqlite3.Connection):
    """A connection to one file.

    Attributes:
        path: the file.
    """

    path: Path

    def execute(self, *arguments: Any) -> sqlite3.Cursor:
        """As in `sqlite3`."""
        cursor = self.cursor(Cursor)
        cursor.execute(*arguments)
        return cursor

    def executemany(self, *arguments: Any) -> sqlite3.Cursor:
        """As in `sqlite3`."""
        cursor = self.cursor(Cursor)
        cursor.executemany(*arguments)
        return cursor
