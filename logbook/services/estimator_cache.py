"""Keeps the estimates of an aeroplane between two questions of one program, for as long as the book does not change."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.services.estimates import estimator_of
from logbook.store.database import Book
from logbook.store.marks import change_mark

if TYPE_CHECKING:
    from logbook.energy.estimator import Estimator


class EstimatorCache:
    """One estimator for each aeroplane that was asked about."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[tuple[int, ...], Estimator]] = {}

    def __call__(self, book: Book, aircraft: str) -> Estimator:
        """The estimator of an aeroplane; made anew after any change of the book."""
        mark = change_mark(book)
        kept = self._kept.get(aircraft)
        if kept is None or kept[0] != mark:
            kept = self._kept[aircraft] = (mark, estimator_of(book, aircraft))
        return kept[1]
