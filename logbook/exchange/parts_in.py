"""Readings, crew rows and phases wait here for their flight, whatever the order of the files."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from logbook.errors import DataRefused
from logbook.exchange.rows_in import Sheet

_MARK = "\x1f"


class _Waiting(NamedTuple):
    """One row, packed into one text where no cell holds the mark: a quarter of the memory of a list."""

    name: str
    line: int
    cells: str | list[str]

    @property
    def row(self) -> list[str]:
        return self.cells.split(_MARK) if isinstance(self.cells, str) else self.cells


class PartRows:
    """Rows of the parts of flights, by flight.

    Attributes:
        sheets: the sheets they came from, by base name, for their headers and columns.
    """

    def __init__(self) -> None:
        self.sheets: dict[str, Sheet] = {}
        self._waiting: dict[str, list[_Waiting]] = {}

    def collect(self, sheet: Sheet) -> None:
        """Reads a whole file.

        Raises:
            DataRefused: it does not say which flight its rows belong to.
        """
        name = sheet.layout.name
        self.sheets[name] = sheet
        if "flight_id" not in sheet.header:
            raise DataRefused("The column 'flight_id' is missing.", next_step="Add it.", field="flight_id")
        at = sheet.header.index("flight_id")
        bare = sheet.text_of("flight_id")
        waiting = self._waiting
        for row in sheet:
            packed: str | list[str] = _MARK.join(row)
            if packed.count(_MARK) != len(row) - 1:
                packed = row
            flight_id = bare(row[at]) if at < len(row) else ""
            waiting.setdefault(flight_id, []).append(_Waiting(name, sheet.line, packed))

    def values_of(self, flight_id: str) -> dict[str, list[dict[str, Any]]]:
        """The parts of one flight as `add flight` takes them.

        Raises:
            DataRefused: a cell is no such value; says in which file and line.
        """
        found: dict[str, list[dict[str, Any]]] = {}
        for waiting in self._waiting.get(flight_id, ()) if flight_id else ():
            try:
                values = self.sheets[waiting.name].values(waiting.row)
            except DataRefused as error:
                raise DataRefused(
                    f"{waiting.name}.csv, line {waiting.line}: {error.problem}",
                    next_step=error.next_step,
                    field=error.field,
                ) from None
            del values["flight_id"]
            found.setdefault(waiting.name, []).append(values)
        return found

    def forget(self, flight_id: str) -> None:
        """The flight has entered with its parts."""
        self._waiting.pop(flight_id, None)

    def take(self, flight_id: str) -> Iterator[tuple[str, int, list[str]]]:
        """The rows of a flight as they came (base name, line, cells), which then wait no more."""
        for waiting in self._waiting.pop(flight_id, ()) if flight_id else ():
            yield waiting.name, waiting.line, waiting.row

    def left(self) -> Iterator[tuple[str, str, int, list[str]]]:
        """What no flight has asked for: base name, flight id, line, cells."""
        for flight_id, rows in self._waiting.items():
            for waiting in rows:
                yield waiting.name, flight_id, waiting.line, waiting.row
