"""Moves of packs that flights on record speak against: said, and where a person can still answer, asked about before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from logbook.errors import DataRefused
from logbook.services.refresh import refresh
from logbook.store.database import Book
from logbook.store.unfitted import Unfitted, present_fitting, unfitted_flights


class Contradicted(DataRefused):
    """Flights on record speak against a move of packs; it may be right all the same."""


@contextmanager
def moving(
    book: Book, serials: Sequence[str], *, by: str | None, why: str | None, sure: bool = True
) -> Iterator[list[str]]:
    """A transaction in which packs move. Gives the list of notes, to which what flights say is added at its end.

    Args:
        book: the open book.
        serials: the packs that move.
        by: who did it.
        why: the reason.
        sure: write it also where flights speak against it.

    Raises:
        Contradicted: flights speak against it, and nobody said that it is sure; nothing was written.
    """
    with book.writing(by=by, why=why):
        before = {serial: set(unfitted_flights(book, serial)) for serial in serials}
        notes: list[str] = []
        yield notes
        refresh(book)
        found = [words for serial in before for words in _against(book, serial, before[serial])]
        if found and not sure:
            raise Contradicted(
                " ".join(found), next_step="Correct the time, or save once more to keep it.", field="at"
            )
        notes += found


def _against(book: Book, serial: str, before: set[Unfitted]) -> Iterator[str]:
    """What flights say of where a pack was: those that lose it by the move, and those just before a fitting."""
    now = unfitted_flights(book, serial)
    lost = [flight for flight in now if flight not in before]
    if lost:
        yield f"By the record {serial} was in {_planes(lost)} on {_flights(lost)}; they do not count for it then."
    row = present_fitting(book, serial)
    if row is None:
        return
    fitted, aircraft, free_since = row
    early = [
        one
        for one in now
        if one.aircraft == aircraft and free_since <= one.off_blocks < fitted and one not in lost
    ]
    if early:
        yield f"By the record {serial} was in {aircraft} on {_flights(early)}, before it was fitted ({fitted}); they do not count for it."


def _flights(found: Sequence[Unfitted]) -> str:
    first, last = found[0].off_blocks[:10], found[-1].off_blocks[:10]
    if len(found) == 1:
        return f"1 flight ({first})"
    return f"{len(found)} flights ({first} to {last})"


def _planes(found: Sequence[Unfitted]) -> str:
    return " and ".join(dict.fromkeys(one.aircraft for one in found))
