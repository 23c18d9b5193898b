"""Copies of the book that are known to be good, and the way back from them."""

from __future__ import annotations

import os
import re
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final
from urllib.parse import quote

from logbook.errors import FileTrouble, NoBook, UsageError
from logbook.paths import backup_folder

KEEP_RECENT: Final = 10
"""So many newest backups are kept whatever their age; older ones thin out to one a month."""

WAIT_S: Final = 8.0
"""How long to wait for a program that is writing [s]."""

_ABANDONED_S: Final = 3600.0
_NAME: Final = re.compile(r"(\d{8}T\d{6})(?:-\d+)?-[a-z-]+\.logbook")


def back_up(book: Path, to: Path | None = None, *, reason: str = "by-hand") -> Path:
    """Makes a verified copy of a book through SQLite's own backup, so that no half-written page is copied.

    Args:
        book: the file to copy; it may be open and in use.
        to: the copy; absent: a dated name in the backup folder beside the book.
        reason: a word for the dated name.

    Returns: where the copy is.

    Raises:
        UsageError: the copy would stand in the book's own place.
        FileTrouble: the copy could not be written, or is not whole; no half copy stays behind.
    """
    from logbook.store.database import troubles

    if not book.exists():
        raise NoBook(f"There is no logbook at {book}.", next_step="Name another file with --file.")
    target = to or _dated(book, reason)
    if target.exists() and target.samefile(book):
        raise UsageError("A book is no backup of itself.", next_step="Name another file.")
    with troubles(target):
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        draft = target.with_name(f"{target.name}.{os.getpid()}.part")
        os.close(os.open(draft, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
        try:
            _copy(book, draft)
            verify(draft)
            draft.replace(target)
        finally:
            draft.unlink(missing_ok=True)
        _sync_folder(target.parent)
    if to is None:
        _thin_out(target.parent, keep=target)
    return target


def verify(copy: Path) -> None:
    """Reads every page of a copy.

    Raises:
        FileTrouble: it is not a whole, consistent SQLite file.
    """
    # Where a file can only be read, SQLite does not check its values; a backup on such a disk is checked again as a draft.
    mode = "rw" if os.access(copy, os.W_OK) and os.access(copy.parent, os.W_OK) else "ro"
    connection = sqlite3.connect(f"file:{quote(str(copy.absolute()))}?mode={mode}", uri=True)
    try:
        answers = [row[0] for row in connection.execute("PRAGMA integrity_check")]
        if connection.execute("PRAGMA foreign_key_check").fetchone():
            answers = ["a row names another that is not there"]
    except sqlite3.DatabaseError as error:
        answers = [str(error)]
    finally:
        connection.close()
    if answers != ["ok"]:
        raise FileTrouble(
            f"The copy {copy} is not whole ({answers[0]}).", next_step="Run 'logbook check' on the book."
        )


def restore(backup: Path, book: Path) -> Path | None:
    """Puts a verified backup in the place of the book; the book that was there is kept beside it.

    Returns: where the replaced book is now, if there was one.

    Raises:
        FileTrouble: the backup is not whole; nothing was changed then.
    """
    from logbook.store.database import troubles

    if not backup.exists():
        raise NoBook(
            f"There is no backup at {backup}.", next_step="See the folder of backups beside the book."
        )
    with troubles(book):
        verify(backup)
        _refuse_foreign(backup)
        draft = book.with_name(f"{book.name}.{os.getpid()}.part")
        draft.unlink(missing_ok=True)
        os.close(os.open(draft, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
        try:
            _copy(backup, draft)
            verify(draft)
            with _held(book):
                kept = _set_aside(book) if book.exists() else None
                draft.replace(book)
        finally:
            draft.unlink(missing_ok=True)
        _sync_folder(book.parent)
        _sweep(book.parent, f"{book.name}.*.part")
    return kept


@contextmanager
def _held(book: Path) -> Iterator[None]:
    """Keeps others from writing to the book while it is replaced; a book too damaged for that is not in use."""
    if not book.exists():
        yield
        return
    connection = sqlite3.connect(
        f"file:{quote(str(book.absolute()))}?mode=rw", uri=True, isolation_level=None, timeout=WAIT_S
    )
    try:
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError:
            raise  # somebody is writing
        except sqlite3.DatabaseError:
            yield
        else:
            yield
    finally:
        connection.close()


def _set_aside(book: Path) -> Path:
    """Gives the book a second name, with the journal an interrupted program may have left: neither is whole alone."""
    stamp = f"{datetime.now(UTC):%Y%m%dT%H%M%S}"
    kept = book.with_name(f"{book.name}.replaced-{stamp}")
    number = 2
    while kept.exists():
        kept = book.with_name(f"{book.name}.replaced-{stamp}-{number}")
        number += 1
    os.link(book, kept)
    journal = Path(f"{book}-journal")
    if journal.exists():
        journal.replace(f"{kept}-journal")
    return kept


def _refuse_foreign(backup: Path) -> None:
    from logbook.store.database import APPLICATION_ID, SCHEMA_VERSION
    from logbook.store.trust import refuse_untrusted

    connection = sqlite3.connect(f"file:{quote(str(backup.absolute()))}?mode=ro", uri=True)
    try:
        application = connection.execute("PRAGMA application_id").fetchone()[0]
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        if application == APPLICATION_ID and 0 < version <= SCHEMA_VERSION:
            refuse_untrusted(backup, connection, version)
    finally:
        connection.close()
    if application != APPLICATION_ID or not 0 < version <= SCHEMA_VERSION:
        whose = "not a logbook" if application != APPLICATION_ID else "of a newer version of this program"
        raise FileTrouble(f"{backup} is {whose}.", next_step="Name another backup; nothing was changed.")


def backups_of(book: Path) -> list[Path]:
    """The dated backups of a book, newest first."""
    folder = backup_folder(book)
    if not folder.is_dir():
        return []
    return sorted((path for path in folder.iterdir() if _NAME.fullmatch(path.name)), reverse=True)


def set_earlier_aside(book: Path) -> Path | None:
    """Moves the backups of a book that is gone to a folder of their own. Returns the newest, where it is now.

    Raises:
        OSError: the folder cannot be moved; everything is as it was.
    """
    if not backups_of(book):
        return None
    folder = backup_folder(book)
    target = folder.with_name(f"{book.name}.earlier-{datetime.now(UTC):%Y%m%dT%H%M%S}.backups")
    number = 2
    while target.exists():
        target = target.with_name(f"{book.name}.earlier-{datetime.now(UTC):%Y%m%dT%H%M%S}-{number}.backups")
        number += 1
    folder.rename(target)
    _sync_folder(target.parent)
    return target / max(path.name for path in target.iterdir() if _NAME.fullmatch(path.name))


def _copy(source: Path, target: Path) -> None:
    # Not read-only: an interrupted write may have to be rolled back first, which SQLite does by itself.
    reader = sqlite3.connect(f"file:{quote(str(source.absolute()))}?mode=rw", uri=True, timeout=WAIT_S)
    writer = sqlite3.connect(target)
    try:
        reader.backup(writer, pages=4096)
        writer.execute("PRAGMA journal_mode=DELETE")
    finally:
        writer.close()
        reader.close()
    with target.open("rb+") as file:
        os.fsync(file.fileno())


def _dated(book: Path, reason: str) -> Path:
    stamp = f"{datetime.now(UTC):%Y%m%dT%H%M%S}"
    folder = backup_folder(book)
    candidate = folder / f"{stamp}-{reason}.logbook"
    number = 2
    while candidate.exists():
        candidate = folder / f"{stamp}-{number}-{reason}.logbook"
        number += 1
    return candidate


def conflict_copies(book: Path) -> list[Path]:
    """Files beside a book whose names say that they are other versions of it: 'book (conflict …)', 'book (1)', 'book 2'."""
    pattern = re.compile(
        rf"{re.escape(book.stem)}(?:.*conflict.*| \(\d+\)| \d+| copy.*){re.escape(book.suffix)}(?:.*conflict.*)?|"
        rf"{re.escape(book.name)}.*conflict.*",
        re.IGNORECASE,
    )
    return sorted(path for path in book.parent.iterdir() if pattern.fullmatch(path.name) and path.is_file())


def made_on(book: Path, day: date) -> bool:
    """Whether there is a dated backup of a day (UTC)."""
    return any(path.name.startswith(f"{day:%Y%m%d}T") for path in backups_of(book))


def _sweep(folder: Path, pattern: str) -> None:
    """Takes away what programs that were killed have left half made; nobody works for an hour on one copy."""
    for path in folder.glob(pattern):
        with suppress(OSError):
            if time.time() - path.stat().st_mtime > _ABANDONED_S:
                path.unlink()


def _thin_out(folder: Path, *, keep: Path) -> None:
    """Keeps the newest backups and the first of each month, and the one just made: a clock can have been set back."""
    _sweep(folder, "*.part")
    dated = sorted((path for path in folder.iterdir() if _NAME.fullmatch(path.name)), reverse=True)
    months: dict[str, Path] = {}
    for path in reversed(dated):
        months.setdefault(path.name[:6], path)
    for path in dated[KEEP_RECENT:]:
        if months[path.name[:6]] != path and path != keep:
            path.unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    """Makes the new name in the folder as durable as the file."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
