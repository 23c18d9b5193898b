"""Backups that nobody has to think of: one on each day on which something was entered, and one before a large import.

They are made after the entry was confirmed, and never in its way: one that fails stops nothing, and is said once a day.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import AbstractContextManager
from datetime import UTC, date, datetime
from itertools import islice
from pathlib import Path
from typing import IO, Final

from logbook.errors import LogbookError
from logbook.paths import state_folder
from logbook.store import backup

LARGE_ROWS: Final = 100
"""An import of more rows than this is preceded by a backup."""


def today() -> date:
    """The day by which backups are dated (UTC)."""
    return datetime.now(UTC).date()


def daily(book: Path, day: date | None = None) -> str:
    """Makes the backup of the day unless there is one.

    A clock that was set back costs nothing: what counts is whether there is a backup of this very day.

    Returns: what to tell if it could not be made, the first time that day; else nothing.
    """
    day = day or today()
    try:
        if not backup.made_on(book, day):
            backup.back_up(book, reason="daily")
    except (LogbookError, OSError) as error:
        return _once(book, day, error)
    return ""


def set_earlier_aside(book: Path) -> str:
    """Keeps the backups of a book that stood here before apart from those of the one just begun, which would thin them out.

    Returns: what to tell; nothing where there were none.
    """
    try:
        found = backup.set_earlier_aside(book)
    except OSError as error:
        return f"note: the backups of an earlier book could not be set aside: {_words(error)}"
    if found is None:
        return ""
    return (
        f"note: there was no logbook at {book}, only backups of one: a new book was begun. The newest backup is now {found}: "
        f"'logbook restore {found}' puts it back in place of the new book, 'logbook merge {found}' takes it into it."
    )


Opened = Callable[[], AbstractContextManager[IO[str]]]
"""Opens one file of rows."""


def before_import(book: Path, holds_something: bool, files: Iterable[Opened]) -> list[str]:
    """Makes a backup before many rows enter a book that holds something.

    Args:
        book: the file.
        holds_something: whether it does.
        files: what is to be taken in.

    Returns: what to tell if it could not be made.
    """
    if not holds_something or not is_large(files):
        return []
    try:
        backup.back_up(book, reason="before-import")
    except (LogbookError, OSError) as error:
        return [_words(error)]
    return []


def is_large(files: Iterable[Opened]) -> bool:
    """Whether files of one row a line hold more than `LARGE_ROWS` rows; no more of them is read than that takes."""
    left = LARGE_ROWS
    for opened in files:
        with opened() as file:
            left -= max(0, sum(1 for _ in islice(_lines(file), left + 2)) - 1)
        if left < 0:
            return True
    return False


def _lines(file: IO[str]) -> Iterable[str]:
    """Lines, cut where they have no end."""
    while line := file.readline(2**16):
        yield line


def _words(error: Exception) -> str:
    problem = error.problem if isinstance(error, LogbookError) else str(error)
    return f"The automatic backup could not be made: {problem} Your entries are in the book; make one with 'logbook backup --to FILE'."


def _once(book: Path, day: date, error: Exception) -> str:
    """The words, unless they were said today; where that cannot be noted, they are said again."""
    from hashlib import sha256

    digest = sha256(str(book.absolute()).encode("utf-8", "surrogatepass")).hexdigest()[:16]
    try:
        note = state_folder() / f"no-backup-{digest}"
        if note.exists() and note.read_text(encoding="ascii") == day.isoformat():
            return ""
        note.write_text(day.isoformat(), encoding="ascii")
        note.chmod(0o600)
    except (OSError, ValueError):
        pass
    return _words(error)
