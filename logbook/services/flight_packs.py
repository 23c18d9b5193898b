"""Packs that a flight form does not ask for, because the book has them fitted only later."""

from __future__ import annotations

from logbook.store.database import Book
from logbook.store.unfitted import fitted_only_later


def not_fitted_yet(book: Book, aircraft: str, at: str) -> tuple[str, ...]:
    """Why packs are missing on the form of a flight, one sentence for each.

    Where the position was never filled before, the fitting was most likely entered with the day of entering it.

    Args:
        book: the open book.
        aircraft: registration.
        at: a moment of the day of the flight (UTC).
    """
    return tuple(
        f"{serial} ({position}) is fitted only since {fitted[:10]}: its charge is not asked for. "
        "If it was in before, correct the day in Setup, Fittings."
        for position, serial, fitted in fitted_only_later(book, aircraft, at)
    )
