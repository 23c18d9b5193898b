"""Backups and restoring, as a person asks for them."""

from __future__ import annotations

from pathlib import Path

from logbook.errors import NoBook
from logbook.store import backup


def back_up(book: Path, to: Path | None = None, *, reason: str = "by-hand") -> Path:
    """Makes a verified copy of a book; returns where it is. Raises FileTrouble where it cannot."""
    return backup.back_up(book, to, reason=reason)


def restore(source: Path | None, book: Path) -> tuple[Path, Path | None]:
    """Puts a backup (absent: the newest) in the place of a book; returns the backup and where the old book is kept.

    Raises:
        NoBook: there is no backup.
        FileTrouble: the backup is not whole; nothing was changed.
    """
    chosen = source
    if chosen is None:
        known = backup.backups_of(book)
        if not known:
            raise NoBook(f"There is no backup of {book}.", next_step="Name one: logbook restore FILE.")
        chosen = known[0]
    return chosen, backup.restore(chosen, book)
