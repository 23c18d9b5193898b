"""A book that was left in the middle of a change: SQLite undoes the change at the next opening, from the journal beside the file.

That journal is believed whatever it holds. One that belongs to another state of the file (an old copy was put in its place by
hand) destroys the book. So both are kept until the book has proved whole.
"""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path
from typing import Final

_MAGIC: Final = bytes.fromhex("d9d505f920a163d7")
"""How a journal begins that is to be undone; "Database File Format", https://www.sqlite.org/fileformat2.html, section 3."""

Kept = tuple[Path, Path]


def keep_interrupted(path: Path) -> Kept | None:
    """Copies a book and its journal aside, if there is one to be undone; None where there is none, or no room for it."""
    journal = Path(f"{path}-journal")
    with suppress(OSError):
        if not journal.is_file() or journal.stat().st_size < len(_MAGIC):
            return None
        with journal.open("rb") as file:
            if file.read(len(_MAGIC)) != _MAGIC:
                return None
        kept = path.with_name(f"{path.name}.interrupted-{os.getpid()}")
        pair = kept, Path(f"{kept}-journal")
        try:
            for source, target in zip((path, journal), pair, strict=True):
                os.close(os.open(target, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600))
                shutil.copyfile(source, target)
        except OSError:
            let_go(pair)
            raise
        return pair
    return None


def let_go(kept: Kept) -> None:
    """Takes the copies away."""
    for path in kept:
        with suppress(OSError):
            path.unlink(missing_ok=True)
