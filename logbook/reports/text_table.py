"""Tables as plain text: aligned, no boxes, readable in a pipe and by a screen reader."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple, TextIO

from logbook.measures import Measures, quantity_of, stem_of
from logbook.reports.visible import visible
from logbook.units import to_cell


class Column(NamedTuple):
    """One column: the key in the row, its heading with the unit, and whether figures align to the right."""

    key: str
    title: str
    right: bool = False


def write_table(
    stream: TextIO, columns: Sequence[Column], rows: Iterable[dict[str, Any]], *, empty: str
) -> None:
    """Writes rows under headings; says `empty` where there are none."""
    lines = [[visible(to_cell(row.get(column.key))) for column in columns] for row in rows]
    if not lines:
        stream.write(empty + "\n")
        return
    titles = [column.title for column in columns]
    widths = [max(width_of(line[i]) for line in [titles, *lines]) for i in range(len(columns))]
    for line in [titles, *lines]:
        cells = [
            _padded(text, width, right=column.right)
            for text, width, column in zip(line, widths, columns, strict=True)
        ]
        stream.write("  ".join(cells).rstrip() + "\n")


def write_facts(stream: TextIO, facts: Iterable[tuple[str, Any]]) -> None:
    """Writes label and value, one a line, values aligned; what is unknown is left out."""
    known = [
        (visible(label), visible(to_cell(value), keep_newlines=False))
        for label, value in facts
        if value not in (None, "", [])
    ]
    width = max((width_of(label) for label, _ in known), default=0)
    stream.writelines(f"{_padded(label, width, right=False)}  {value}\n" for label, value in known)


def liked_columns(columns: Sequence[Column], measures: Measures) -> list[Column]:
    """Columns with the chosen unit in their headings: `highest °C` becomes `highest °F`."""
    return [_liked(column, measures) for column in columns]


def _liked(column: Column, measures: Measures) -> Column:
    quantity = quantity_of(column.key)
    unit = measures.unit(quantity)
    if unit in (quantity, "h:mm"):
        return column
    if column.title == column.key:
        return column._replace(title=f"{stem_of(column.key)} [{unit}]")
    return column._replace(title=column.title.replace(quantity, unit))


def liked_row(row: Mapping[str, Any], measures: Measures) -> dict[str, Any]:
    """A row with its figures in the chosen units, for such columns."""
    found = dict(row)
    for name, value in row.items():
        quantity = quantity_of(name)
        if isinstance(value, (int, float)) and measures.unit(quantity) not in (quantity, "h:mm"):
            found[name] = measures.figure(value, quantity)
    return found


def width_of(text: str) -> int:
    """Columns on a terminal: wide characters take two, combining marks none."""
    if text.isascii():
        return len(text)
    import unicodedata

    return sum(
        0 if unicodedata.combining(char) else 2 if unicodedata.east_asian_width(char) in "WF" else 1
        for char in text
    )


def _padded(text: str, width: int, *, right: bool) -> str:
    space = " " * (width - width_of(text))
    return space + text if right else text + space
