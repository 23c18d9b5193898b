"""Unfinished entries: every keystroke is kept in a file of its own, outside the book, readable by its owner only.

A draft carries the id its record will have, so that a saved record is never offered again. Writing beside and
renaming means that a draft is whole or the one before it; the operating system keeps it when the program is killed.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

from logbook.paths import state_folder


class Draft(NamedTuple):
    """An unfinished entry.

    Attributes:
        record_id: the id the record will have, or already has where it is being closed.
        kind: what it is: `flight`, `charge` …
        values: field to (text as typed, source).
        about: one line that says what it is, for the offer.
        changed: when the last key was pressed (UTC).
    """

    record_id: str
    kind: str
    values: dict[str, tuple[str, str]]
    about: str = ""
    changed: str = ""


class Drafts:
    """The drafts that belong to one book."""

    def __init__(self, book: Path, folder: Path | None = None) -> None:
        digest = sha256(str(book.absolute()).encode("utf-8", "surrogatepass")).hexdigest()[:16]
        self._folder = (folder or state_folder()) / "drafts" / digest

    def keep(self, draft: Draft) -> None:
        """Writes a draft; a full disk or a lost folder must not stop the typing, so trouble is told to the caller as OSError."""
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        target = self._path(draft)
        beside = target.with_suffix(".part")
        text = json.dumps(draft._asdict(), ensure_ascii=True)
        handle = os.open(beside, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(text)
        beside.replace(target)

    def drop(self, draft: Draft) -> None:
        """Forgets a draft: its record was saved, or its owner said so."""
        self._path(draft).unlink(missing_ok=True)

    def offered(self, saved: Callable[[Draft], bool] = lambda _: False) -> list[Draft]:
        """The drafts worth offering, newest first; those whose record is in the book already are dropped.

        Args:
            saved: whether what a draft would become is in the book.
        """
        found = []
        for path in sorted(self._folder.glob("*.json")) if self._folder.is_dir() else ():
            draft = _read(path)
            if draft is None:
                _set_aside(path)
            elif draft.values and saved(draft):
                path.unlink(missing_ok=True)
            elif draft.values:
                found.append(draft)
        return sorted(found, key=lambda draft: draft.changed, reverse=True)

    def _path(self, draft: Draft) -> Path:
        name = sha256(f"{draft.kind}/{draft.record_id}".encode("utf-8", "surrogatepass")).hexdigest()[:24]
        return self._folder / f"{name}.json"


def _read(path: Path) -> Draft | None:
    try:
        data: Any = json.loads(path.read_text(encoding="ascii"))
        values = {str(name): (str(text), str(source)) for name, (text, source) in data["values"].items()}
        return Draft(
            str(data["record_id"]), str(data["kind"]), values, str(data["about"]), str(data["changed"])
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def _set_aside(path: Path) -> None:
    """What cannot be read is never offered again and never lost. A folder that cannot be written must not stop the start."""
    with suppress(OSError):
        path.rename(path.with_suffix(".unreadable"))
