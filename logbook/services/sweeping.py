"""Going over a long record in parts: memory for a part, not for the whole, and no search for cycles that rows cannot form."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

from logbook.store.database import Book
from logbook.store.records import Records

PACKS_AT_ONCE: Final = 8
"""So many packs are read together: a school's eight have flown some hundred thousand times."""


def batches(book: Book, serials: Sequence[str] | None) -> Iterator[list[str]]:
    """Packs in parts, those of one aeroplane beside each other, as their hours come from the same flights.

    Args:
        book: the open book.
        serials: the packs; None for every one that is not struck out.
    """
    if serials is None:
        serials = [row["serial_no"] for _, row in Records(book, "pack").select("struck = 0")]
    if len(serials) > PACKS_AT_ONCE:
        homes = {
            row["serial_no"]: row["aircraft"]
            for _, row in Records(book, "installation").select("struck = 0", order="fitted")
        }
        serials = sorted(serials, key=lambda serial: (homes.get(serial, ""), serial))
    for start in range(0, len(serials), PACKS_AT_ONCE):
        yield list(serials[start : start + PACKS_AT_ONCE])


@contextmanager
def many_rows() -> Iterator[None]:
    """While a million rows are made, the collector would look at all of them again and again, and find nothing to collect."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()
