"""From the cells of a package to values, row by row, within bounded memory whatever the file holds."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import IO, Any, Final

from logbook.domain.cells import from_cell
from logbook.errors import DataRefused
from logbook.exchange.layout import FileLayout

MOST_CHARACTERS: Final = 4 * 2**20
"""The longest cell: an earlier state of a record with the longest texts, every character escaped."""

_MOST_ROW: Final = MOST_CHARACTERS + 2**20
_NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?")
_YES: Final = frozenset({"struck", "handled", "needs_inspection"})

Convert = Callable[[str], Any]
Values = dict[str, Any]


class Sheet:
    """One CSV file of a package: its header, and what its cells stand for.

    Attributes:
        layout: the file it is.
        header: its columns, in its own order.
    """

    def __init__(
        self, layout: FileLayout, file: IO[str], *, bare: Convert | None, delimiter: str = ","
    ) -> None:
        """Reads the header.

        Args:
            layout: the file it is.
            file: its text, line ends kept.
            bare: what undoes the guard of text cells; None: they are taken as they are.
            delimiter: the separator.

        Raises:
            DataRefused: the header names something unknown, or one column twice.
        """
        self.layout = layout
        self._lines = _Lines(file, layout.name)
        csv.field_size_limit(max(csv.field_size_limit(), MOST_CHARACTERS))
        self._reader = csv.reader(self._lines, strict=True, delimiter=delimiter)
        self.header = tuple(self._next() or ())
        self._refuse_header()
        self._plan = [(name, _converter(layout, name, bare)) for name in self.header]

    @property
    def line(self) -> int:
        """The line of the file that was read last."""
        return self._reader.line_num

    def __iter__(self) -> Iterator[list[str]]:
        """Rows of cells; empty lines are passed over."""
        lines = self._lines
        try:
            for row in self._reader:
                lines.taken = 0
                if row:
                    yield row
        except csv.Error as error:
            raise self._broken(error) from None

    def values(self, row: Sequence[str]) -> Values:
        """What a row says, by column; empty cells are unknown and left out.

        Raises:
            DataRefused: a cell is no such value, or there are too many or too few cells.
        """
        if len(row) != len(self._plan):
            raise DataRefused(
                f"The row has {len(row)} cells, the header {len(self._plan)}.", next_step="Correct the row."
            )
        return {name: convert(cell) for (name, convert), cell in zip(self._plan, row, strict=True) if cell}

    def text_of(self, column: str) -> Convert:
        """What makes a text of the cells of a column."""
        return next(convert for name, convert in self._plan if name == column)

    def id_of(self, row: Sequence[str]) -> str:
        """The id a row gives, or the name it is known by; empty where it gives none."""
        for column in (self.layout.record_id, *self.layout.key):
            if (
                column in self.header
                and self.header.index(column) < len(row)
                and row[self.header.index(column)]
            ):
                return row[self.header.index(column)]
        return ""

    def _next(self) -> list[str] | None:
        try:
            return next(self._reader, None)
        except csv.Error as error:
            raise self._broken(error) from None

    def _broken(self, error: csv.Error) -> DataRefused:
        return DataRefused(
            f"{self.layout.name}.csv, line {self.line}: {error}.",
            next_step="Correct the quoting there (RFC 4180).",
        )

    def _refuse_header(self) -> None:
        name = f"{self.layout.name}.csv"
        if not self.header:
            raise DataRefused(f"{name} has no header.", next_step="Name its columns in the first line.")
        for column in self.header:
            if column not in self.layout.types:
                shown = column[:60] if column else "(no name)"
                raise DataRefused(
                    f"{name} has an unknown column '{shown}'.",
                    next_step="Correct its name or remove it.",
                    field=shown,
                )
        if len(set(self.header)) < len(self.header):
            raise DataRefused(f"{name} names a column twice.", next_step="Remove one of the two.")


class _Lines:
    """Lines of a file, none of them endless; counts the characters since the last row."""

    def __init__(self, file: IO[str], name: str) -> None:
        self._file = file
        self._name = name
        self.taken = 0

    def __iter__(self) -> Iterator[str]:
        read = self._file.readline
        while line := read(_MOST_ROW):
            self.taken += len(line)
            if self.taken >= _MOST_ROW:
                raise DataRefused(
                    f"{self._name}.csv holds a row without an end.", next_step="Correct the quoting."
                )
            yield line


def _converter(layout: FileLayout, column: str, bare: Convert | None) -> Convert:
    kind = layout.types[column]
    if kind in (int, float):
        return _yes if column in _YES else _number(layout, column)
    if layout.kind == "version" and column == "was":
        return _state(bare)
    if kind is list:
        return _listed(layout, column, bare)
    return bare if bare is not None else str


def _number(layout: FileLayout, column: str) -> Convert:
    def convert(cell: str) -> float:
        try:
            return _plain_number(cell)
        except ValueError:
            raise DataRefused(
                f"Field '{column}' of the {layout.kind}: '{cell[:40]}' is not a number: write it as 7.4.",
                next_step="Correct it.",
                field=column,
            ) from None

    return convert


@lru_cache(maxsize=20_000)
def _cached_number(cell: str) -> float:
    if not _NUMBER.fullmatch(cell.strip()):
        raise ValueError
    number = float(cell)
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _plain_number(cell: str) -> float:
    if len(cell) > 40:
        raise ValueError
    return _cached_number(cell)


def _yes(cell: str) -> Any:
    """0 or 1; some programs write the words."""
    return {"0": 0, "1": 1, "false": 0, "true": 1}.get(cell.lower(), cell)


def _listed(layout: FileLayout, column: str, bare: Convert | None) -> Convert:
    model = layout.model
    if model is None:
        raise ValueError(column)
    return lambda cell: from_cell(model, column, cell if bare is None else bare(cell))


def _state(bare: Convert | None) -> Convert:
    def convert(cell: str) -> Any:
        try:
            found = json.loads(cell if bare is None else bare(cell))
            cell.encode()
        except (ValueError, RecursionError):
            found = None
        if not isinstance(found, dict):
            raise DataRefused(
                "Field 'was' of the version is not a JSON object.", next_step="Correct it.", field="was"
            )
        return found

    return convert
