"""From the rows of a foreign CSV file to the values of records, by a mapping."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import IO, Any, Final
from zoneinfo import ZoneInfo

from logbook.domain.cells import column_types
from logbook.domain.flight import Reading
from logbook.domain.record import Part
from logbook.errors import DataRefused, FileTrouble, UsageError
from logbook.exchange import conversions
from logbook.exchange.mapping import Cell, Mapping

Values = dict[str, Any]
FITTED: Final = "fitted:"
"""Marks a serial number that is still to be looked up: the pack that was fitted in this position."""

_CHAIN: Final = ("off_blocks", "takeoff", "landing", "on_blocks", "started", "ended")
_MOST_CELL: Final = 2**20


class ForeignFile:
    """An open foreign file: header and rows of cells.

    Attributes:
        preface: the lines before the header, as they are.
        header: the names of its columns.
        line: the line that was read last.
    """

    def __init__(self, file: IO[str], mapping: Mapping, name: str) -> None:
        self.name = name
        self.preface = [file.readline(_MOST_CELL) for _ in range(mapping.skip_lines)]
        csv.field_size_limit(max(csv.field_size_limit(), _MOST_CELL))
        self._reader = csv.reader(file, strict=True, delimiter=mapping.separator)
        self.header = [column.strip() for column in self._row() or []]
        missing = sorted(mapping.sources() - set(self.header))
        if missing:
            raise UsageError(
                f"The mapping names the column '{missing[0]}', which {name} does not have.",
                next_step="Correct the mapping; mind 'separator', 'encoding' and 'skip_lines'.",
            )
        twice = [column for column in mapping.sources() if self.header.count(column) > 1]
        if twice:
            raise UsageError(
                f"{name} has the column '{twice[0]}' twice.", next_step="Rename one of them in the file."
            )

    @property
    def line(self) -> int:
        """The line of the file that was read last, the first being 1."""
        return self._reader.line_num + len(self.preface)

    def __iter__(self) -> Iterator[list[str]]:
        while (row := self._row()) is not None:
            if any(cell.strip() for cell in row):
                yield row

    def _row(self) -> list[str] | None:
        try:
            return next(self._reader, None)
        except csv.Error as error:
            raise DataRefused(
                f"{self.name}, line {self.line}: {error}.", next_step="Correct the quoting there."
            ) from None
        except UnicodeError:
            raise DataRefused(
                f"{self.name} is not in the stated encoding.", next_step="Correct 'encoding' in the mapping."
            ) from None


def open_foreign(path: Path, mapping: Mapping) -> IO[str]:
    """The text of a foreign file, line ends as they are.

    Raises:
        FileTrouble: it cannot be opened.
    """
    encoding = "utf-8-sig" if mapping.encoding == "utf-8" else mapping.encoding
    try:
        return path.open(encoding=encoding, newline="")
    except OSError as error:
        raise FileTrouble(
            f"{path} cannot be read: {error.strerror}.", next_step="Check its name and permissions."
        ) from error


class RowReader:
    """Makes values of rows.

    Args of the constructor: the mapping, the header of the file, and what a row must become.
    """

    def __init__(self, mapping: Mapping, header: Sequence[str], model: type[Part]) -> None:
        self._mapping = mapping
        self._place = {name: at for at, name in enumerate(header)}
        self._zone = ZoneInfo(mapping.zone) if mapping.zone else None
        self._model = model
        part = Reading if mapping.kind == "flight" else model
        for cells, whose in ((mapping.columns, model), *((group, part) for group in mapping.groups)):
            for name, cell in cells.items():
                if name not in column_types(whose) or column_types(whose)[name] is dict:
                    raise UsageError(
                        f"The mapping names a field '{name[:60]}' that a {whose.kind} does not have.",
                        next_step="See docs/interface.md.",
                    )
                if cell.after and cell.after not in (*mapping.columns, *cells):
                    raise UsageError(
                        f"'{name}' counts from '{cell.after[:60]}', which the mapping does not name.",
                        next_step="Name it too.",
                    )

    def records(self, row: Sequence[str]) -> list[Values]:
        """The records of one row: one, or for a charge one for each of its packs.

        Raises:
            DataRefused: a cell cannot be read as the mapping says.
        """
        whole = self._values(row, self._mapping.columns, self._model, {})
        if self._mapping.kind == "flight" and self._mapping.groups:
            parts = [self._values(row, group, Reading, whole) for group in self._mapping.groups]
            whole["readings"] = [part for part in parts if set(part) - {"serial_no", "source"}]
            return [whole]
        if not self._mapping.groups:
            return [whole]
        return [whole | self._values(row, group, self._model, whole) for group in self._mapping.groups]

    def name_of(self, row: Sequence[str], fields: Sequence[str]) -> str:
        """What a row calls itself, by the first of some fields that the mapping takes from a column."""
        for field in fields:
            cell = self._mapping.columns.get(field)
            if cell is not None and cell.columns:
                return cell.joint.join(self._text(row, cell.columns))
        return ""

    def _values(self, row: Sequence[str], cells: dict[str, Cell], model: type[Part], known: Values) -> Values:
        found: Values = {}
        for name in sorted(
            cells, key=lambda name: (_CHAIN.index(name) + 1 if name in _CHAIN else 0, bool(cells[name].after))
        ):
            try:
                value = self._value(row, cells[name], column_types(model)[name], known | found)
            except ValueError as error:
                raise DataRefused(
                    f"Field '{name}': {error}.", next_step="Correct the cell.", field=name
                ) from None
            if value is not None:
                found[name] = value
        return found

    def _text(self, row: Sequence[str], columns: Sequence[str]) -> list[str]:
        places = [self._place[column] for column in columns]
        return [row[at] for at in places if at < len(row) and row[at].strip()]

    def _value(self, row: Sequence[str], cell: Cell, kind: type, known: Values) -> Any:
        if cell.fitted:
            return FITTED + cell.fitted
        if cell.value is not None:
            return cell.value
        texts = self._text(row, cell.columns)
        if not texts:
            return None
        text = cell.joint.join(texts)
        if cell.words:
            if text.strip() not in cell.words:
                raise ValueError(f"'{text[:40]}' is not among the words of the mapping")
            return cell.words[text.strip()] or None
        return self._read(text, cell, kind, known, row)

    def _read(self, text: str, cell: Cell, kind: type, known: Values, row: Sequence[str]) -> Any:
        mapping = self._mapping
        if cell.how == "duration":
            length = conversions.minutes(text, cell.form, mapping.decimal, mapping.thousands)
            return self._end(cell, length, known) if cell.after else length
        if cell.how == "date":
            return self._day(text).isoformat()
        if cell.how == "instant":
            return self._moment(*self._split(text))
        if cell.how == "time":
            days = self._text(row, [cell.date])
            if not days:
                raise ValueError("the day of this time is empty")
            return self._after(self._day(days[0]), text, cell, known)
        if cell.how == "number" or (not cell.how and kind in (int, float)):
            value = conversions.number(text, mapping.decimal, mapping.thousands)
            return conversions.converted(value, cell.unit)
        return text

    def _end(self, cell: Cell, length: float, known: Values) -> str | None:
        start = known.get(cell.after)
        return None if start is None else conversions.later(start, length)

    def _day(self, text: str) -> date:
        return conversions.day(text, self._mapping.order, self._mapping.century)

    def _split(self, text: str) -> tuple[date, str]:
        day, _, clock = text.strip().replace("T", " ").rpartition(" ")
        return self._day(day), clock

    def _moment(self, on: date, text: str) -> str:
        if self._zone is None:
            raise ValueError("the mapping states no zone")
        return conversions.stored(
            conversions.instant(on, *conversions.clock(text), self._zone, self._mapping.twice)
        )

    def _after(self, on: date, text: str, cell: Cell, known: Values) -> str:
        """A time of day on its day, or on the next where it would come before the field it follows."""
        moment = self._moment(on, text)
        before = known.get(cell.after) if cell.after else None
        if before is not None and moment < before:
            following = date.fromordinal(on.toordinal() + 1)
            moment = self._moment(following, text)
            if (datetime.fromisoformat(moment) - datetime.fromisoformat(before)).total_seconds() > 86400:
                raise ValueError(f"'{text[:40]}' is more than a day after {cell.after}")
        return moment
