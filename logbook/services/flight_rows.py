"""Rows for the list of flights on screen: ids first, rows only for the page that is looked at."""

from __future__ import annotations

from array import array
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from logbook.store.database import Book
from logbook.store.flight_lines import FlightLine, FlightLines
from logbook.store.flights import FlightFilter, Flights, Totals

__all__ = ["ORDERS", "FlightFilter", "FlightLine", "FlightRows", "Totals"]

ORDERS = ("date", "aircraft", "block_min", "energy_kwh", "landing_soc_pct", "minutes_left")


class FlightRows(NamedTuple):
    """The list of flights as the screen's table wants it."""

    book: Book

    def at_once(self, wanted: FlightFilter, order: str = "date") -> bool:
        """Whether the first rows are found by an index, however long the book is; else they are a question for a thread."""
        if wanted._replace(since=None, until=None, limit=None) == FlightFilter(flag=wanted.flag):
            return order == "date" or (order == "aircraft" and wanted.flag is None)
        read = (wanted.flag, wanted.text, wanted.kind, wanted.outcome)
        return order in ("date", "aircraft") and all(one is None for one in read)

    def ids(self, wanted: FlightFilter, order: str = "date", *, descending: bool = True) -> array[int]:
        """Row numbers of the flights that meet a filter, in an order."""
        return FlightLines(self.book).ids(wanted, order, descending=descending)

    def rows(self, ids: Sequence[int]) -> Mapping[int, FlightLine]:
        """The lines of some flights by row number."""
        return FlightLines(self.book).lines(ids)

    def totals(self, wanted: FlightFilter) -> Totals:
        """Sums over all flights that meet a filter."""
        return Flights(self.book).totals(wanted)
