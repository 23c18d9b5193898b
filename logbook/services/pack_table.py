"""Keeps the rows of the fleet between two looks of one program, for as long as neither the book nor the day changes."""

from __future__ import annotations

from typing import Any

from logbook.services.freshness import freshen
from logbook.services.pack_status import pack_rows
from logbook.store.database import Book
from logbook.store.marks import change_mark, newest_answer, newest_entry

Row = dict[str, Any]


class PackTable:
    """The rows of `pack_rows`, worked out once."""

    def __init__(self) -> None:
        self._kept: tuple[tuple[object, ...], tuple[tuple[str, ...], list[Row]]] | None = None

    def __call__(self, book: Book, today: str) -> tuple[tuple[str, ...], list[Row]]:
        """Columns and rows of every pack, everything on record counted.

        Args:
            book: the open book.
            today: the date now; another day is another answer.
        """
        freshen(book)
        mark = (today, *change_mark(book), newest_answer(book), newest_entry(book))
        if self._kept is None or self._kept[0] != mark:
            self._kept = (mark, pack_rows(book))
        return self._kept[1]
