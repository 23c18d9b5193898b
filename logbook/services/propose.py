"""Which file proposes what: the one door for everything that can be shown beside the flight form."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from logbook.errors import DataRefused
from logbook.services.proposal import Proposal
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book

ENDINGS: Final = (".gpx",)
"""Of files that can be read here, in small letters."""


def proposals(book: Book, path: Path, offset_s: int = 0) -> list[Proposal]:
    """A proposal for each flight in a file, in order.

    Args:
        book: the open book; its places give names.
        path: the file.
        offset_s: added to the clock of the file [s].

    Raises:
        FileTrouble: it cannot be read.
        DataRefused: it is of no kind that is known here, or holds no flight.
    """
    from logbook.services.propose_track import propose_track

    if path.suffix.lower() != ".gpx":
        raise DataRefused(f"{path.name} is not a track.", next_step="Name a GPX file: its name ends in .gpx.")
    return propose_track(BookFacts(book), path, offset_s)
