"""Rows as CSV, JSON or plain text, whatever they are rows of."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Sequence
from typing import Any, TextIO

from logbook.reports.guard import guarded
from logbook.reports.text_table import Column, write_table
from logbook.units import to_cell

Row = dict[str, Any]


def write_csv(stream: TextIO, columns: Sequence[str], rows: Iterable[Row]) -> None:
    """CSV by RFC 4180: commas, double quotes, CR LF; text guarded against spreadsheets that would run it."""
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([csv_cell(row.get(column)) for column in columns])


def csv_cell(value: Any) -> str:
    """The cell of a value: numbers plain, anything that can hold text guarded, objects as JSON."""
    if value is None or isinstance(value, (bool, int, float)):
        return to_cell(value)
    if isinstance(value, dict) or (
        isinstance(value, (list, tuple)) and any(isinstance(item, dict) for item in value)
    ):
        return guarded(json.dumps(value, ensure_ascii=False))
    return guarded(to_cell(value))


def write_json(stream: TextIO, rows: Iterable[Any]) -> None:
    """A bare list, written as the rows come, so that a long one needs no large memory."""
    separator = "\n"
    stream.write("[")
    for row in rows:
        stream.write(separator + json.dumps(row, ensure_ascii=False, allow_nan=False))
        separator = ",\n"
    stream.write("\n]\n")


def write_plain(stream: TextIO, columns: Sequence[str], rows: Iterable[Row], *, empty: str) -> None:
    """A table of plain text, columns under their names, figures to the right; control characters shown."""
    kept = list(rows)
    heads = [Column(name, name, right=_figures(kept, name)) for name in columns]
    write_table(stream, heads, kept, empty=empty)


def _figures(rows: Sequence[Row], name: str) -> bool:
    return all(isinstance(row.get(name), (int, float, type(None))) for row in rows)
