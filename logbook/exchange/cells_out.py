"""From stored values to the cells of a package, column by column."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Any

from logbook.exchange.layout import FileLayout
from logbook.units import to_cell

Guard = Callable[[str], str]
Cell = Callable[[Any], str]

_number: Cell = lru_cache(maxsize=50_000)(to_cell)


def _text(guard: Guard) -> Cell:
    return lambda value: "" if value is None else guard(value)


def _listed(guard: Guard) -> Cell:
    return lambda value: guard(to_cell(value))


def _state(guard: Guard) -> Cell:
    """An earlier state, as JSON."""
    return lambda value: (
        "" if value is None else guard(json.dumps(value, ensure_ascii=False, separators=(",", ":")))
    )


def row_writer(layout: FileLayout, guard: Guard) -> Callable[[Iterable[Sequence[Any]]], Iterator[list[str]]]:
    """A function from rows of values, in the order of the file's columns, to rows of cells.

    Args:
        layout: the file.
        guard: what keeps a spreadsheet from running a text.
    """
    makers: list[Cell] = []
    for column in layout.columns:
        kind = layout.types[column]
        if layout.kind == "version" and column == "was":
            makers.append(_state(guard))
        elif kind is list:
            makers.append(_listed(guard))
        else:
            makers.append(_number if kind in (int, float) else _text(guard))

    def write(rows: Iterable[Sequence[Any]]) -> Iterator[list[str]]:
        for row in rows:
            yield ["" if value is None else make(value) for make, value in zip(makers, row, strict=True)]

    return write
