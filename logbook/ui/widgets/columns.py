"""Columns of a table, and which of them a given width has room for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, NamedTuple, TypeVar

Row = TypeVar("Row")
GAP = 2


@dataclass(frozen=True)
class Column(Generic[Row]):
    """One column: what it says of a row, and how much room it wants."""

    key: str
    title: str
    text: Callable[[Row], str]
    width: int
    """The least useful width [cells]."""
    right: bool = False
    """Figures stand on the right; a figure that does not fit is never cut."""
    most: int = 0
    """How wide it may grow where there is room [cells]; 0: it does not."""
    priority: int = 0
    """0 stays always; of the others the highest number leaves first."""
    tone: Callable[[Row], str] | None = None
    """One of grey, accent, success, warning, error; or empty. Never the only sign of a state."""


class Placed(NamedTuple, Generic[Row]):
    """A column with its place on the line [cells]."""

    column: Column[Row]
    start: int
    width: int


def place(columns: Sequence[Column[Row]], room: int) -> list[Placed[Row]]:
    """Which columns are shown, and how wide.

    Columns leave whole, the least important first; what is left of the room goes to those that can grow. Only when the
    columns that always stay are too wide together do the last of them become narrower.

    Args:
        columns: in the order in which they stand.
        room: width of the line [cells].
    """
    kept = list(columns)
    while _least(kept) > room:
        leaver = max(range(len(kept)), key=lambda index: (kept[index].priority, index))
        if kept[leaver].priority == 0:
            break
        del kept[leaver]
    widths = _grow(kept, [column.width for column in kept], room - _least(kept))
    placed, start = [], 0
    for column, wanted in zip(kept, widths, strict=True):
        width = min(wanted, room - start)
        if width <= 0:
            break
        placed.append(Placed(column, start, width))
        start += width + GAP
    return placed


def _least(columns: Sequence[Column[Row]]) -> int:
    return sum(column.width for column in columns) + GAP * max(0, len(columns) - 1)


def _grow(columns: Sequence[Column[Row]], widths: list[int], spare: int) -> list[int]:
    """Gives the spare cells away one round after the other, so that all that can grow do so evenly."""
    grown = list(widths)
    while spare > 0:
        hungry = [index for index, column in enumerate(columns) if grown[index] < column.most]
        if not hungry:
            break
        share = max(1, spare // len(hungry))
        for index in hungry:
            more = min(share, columns[index].most - grown[index], spare)
            grown[index] += more
            spare -= more
    return grown
