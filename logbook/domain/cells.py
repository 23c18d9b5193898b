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
        if column not in number_lists(model):
            return list_of(text)
        return [_number(model, column, item) for item in _bare(text)]
    return _number(model, column, text) if kind in (float, int) else text


def _number(model: type[Part], column: str, text: str) -> float:
    try:
        number = parse_number(text)
    except ValueError as error:
        raise DataRefused(
            f"Field '{column}' of the {model.kind}: {error}.", next_step="Correct it.", field=column
        ) from None
    return int(number) if number.is_integer() else number


def _bare(text: str) -> list[str]:
    """The numbers of a list as text: `1.07;1.05`, or as JSON `[1.07, 1.05]`."""
    inside = text.strip()
    if inside.startswith("[") and inside.endswith("]"):
        return [item.strip() for item in inside[1:-1].split(",")]
    return list_of(text)


@cache
def number_lists(model: type[Part]) -> frozenset[str]:
    """The columns that hold a list of numbers."""
    return frozenset(
        field.alias or name for name, field in model.model_fields.items() if float in _items(field.annotation)
    )


def _items(annotation: Any) -> set[Any]:
    """The plain types of the items of a list; empty where a value is no list."""
    origin, inner = typing.get_origin(annotation), typing.get_args(annotation)
    if origin in (typing.Union, types.UnionType):
        return set().union(*(_items(one) for one in inner))
    if origin is typing.Annotated:
        return _items(inner[0])
    return {_plain(one) for one in inner} if origin is list else set()
