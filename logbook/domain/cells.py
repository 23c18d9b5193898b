"""Values from text cells: what a CSV file, a form or a command line holds, by the type of its column."""

from __future__ import annotations

import types
import typing
from functools import cache
from typing import Any

from logbook.domain.record import Part
from logbook.errors import DataRefused
from logbook.units import list_of, parse_number, to_cell

__all__ = ["column_types", "from_cell", "to_cell"]


@cache
def column_types(model: type[Part]) -> dict[str, type]:
    """The plain type of each column of a record: str, float, int or list; by the names of the files."""
    found = {}
    for name, field in model.model_fields.items():
        found[field.alias or name] = _plain(field.annotation)
    return found


def _plain(annotation: Any) -> type:
    origin = typing.get_origin(annotation)
    if origin in (typing.Union, types.UnionType):
        return _plain(next(a for a in typing.get_args(annotation) if a is not type(None)))
    if origin is typing.Annotated:
        return _plain(typing.get_args(annotation)[0])
    if origin is typing.Literal:
        return str
    if origin in (list, tuple):
        return list
    return annotation if isinstance(annotation, type) else str


def from_cell(model: type[Part], column: str, text: str) -> Any:
    """The value a cell stands for; an empty cell is unknown.

    Raises:
        DataRefused: the record has no such column, or the text is no such value.
    """
    try:
        kind = column_types(model)[column]
    except KeyError:
        raise DataRefused(
            f"A {model.kind} has no field '{column}'.", next_step="Correct its name.", field=column
        ) from None
    if text == "":
        return None
    if kind is list:
        return list_of(text)
    if kind in (float, int):
        try:
            number = parse_number(text)
        except ValueError as error:
            raise DataRefused(
                f"Field '{column}' of the {model.kind}: {error}.", next_step="Correct it.", field=column
            ) from None
        return int(number) if number.is_integer() else number
    return text
