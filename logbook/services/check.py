"""Checking a book from end to end: the file, its guards, its references, its histories, its derived figures."""

from __future__ import annotations

from typing import NamedTuple

from logbook.services.refresh import refresh
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.integrity import findings_of_file
from logbook.store.pack_events import PackEvents
from logbook.store.records import Records


class Finding(NamedTuple):
    """One thing that is not as it should be, and what to do."""

    what: str
    next_step: str


def check(book: Book) -> list[Finding]:
    """Everything that is wrong with a book; an empty list means that nothing was found."""
    findings = [Finding(*found) for found in findings_of_file(book)]
    if findings:
        return findings  # derived figures of a damaged file would only repeat the damage
    return _derived(book) + [Finding(*found) for found in _of_signatures(book)]


def _of_signatures(book: Book) -> list[tuple[str, str]]:
    """Countersignatures that no longer hold; nothing is loaded where nobody has signed."""
    if not any(Records(book, "signature").select("struck = 0", limit=1)):
        return []
    from logbook.services.verify import signature_findings

    return signature_findings(book)


def _derived(book: Book) -> list[Finding]:
    """Compares what is kept for speed with a fresh computation, without changing the book."""
    kept = Derived(book).everything(), sorted(PackEvents(book).all_rows())
    fresh: tuple[object, object] = ((), ())
    try:
        with book.writing():
            PackEvents(book).rebuild()
            Derived(book).mark_all()
            refresh(book)
            fresh = Derived(book).everything(), sorted(PackEvents(book).all_rows())
            raise _Undo  # noqa: TRY301 - leaving the transaction this way is the point
    except _Undo:
        if kept == fresh:
            return []
    return [
        Finding(
            "Derived figures differ from a fresh computation.",
            "Run 'logbook check --mend' to compute them again.",
        )
    ]


class _Undo(Exception):
    """Rolls the comparison back."""


def mend(book: Book) -> int:
    """Throws derived figures away and computes them again. Returns the number of flights."""
    with book.writing():
        PackEvents(book).rebuild()
        Derived(book).mark_all()
        return refresh(book)
