"""What runs out by hours or cycles before long, for Today: worked out in a thread, and again only after a change."""

from __future__ import annotations

from typing import Any, Final

from logbook.services.freshness import freshen
from logbook.store.attention import Attention
from logbook.store.database import Book
from logbook.store.marks import change_mark, newest_upkeep

Row = dict[str, Any]
_KEPT: Final = "due soon by use"


def known_soon(book: Book, today: str, learned: dict[str, Any]) -> list[Row] | None:
    """What was found last, if neither the book nor the day has changed since; else None."""
    kept = learned.get(_KEPT)
    return kept[1] if kept is not None and kept[0] == _mark(book, today) else None


def learn_soon(book: Book, today: str, days: int, learned: dict[str, Any]) -> list[Row]:
    """What is past its hours or cycles or has few left; kept in `learned` for the next look.

    Args:
        book: the open book.
        today: the day now.
        days: what is expected to run out within so many days is soon.
        learned: what screens share.
    """
    from logbook.services.due_by_use import soon_by_use
    from logbook.services.pack_lines import pack_table

    freshen(book)
    found = known_soon(book, today, learned)
    if found is None:
        mark = _mark(book, today)
        rows = pack_table(learned)(book, today)[1]
        found = soon_by_use(book, Attention(book).day_after(today, days), rows)
        learned[_KEPT] = (mark, found)
    return found


def _mark(book: Book, today: str) -> tuple[object, ...]:
    return (today, *change_mark(book), *newest_upkeep(book))
