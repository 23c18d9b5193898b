"""Forecast against what came, as a plot: on the line is right, above it more was left than forecast."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, Protocol

from logbook.reports.plot import Axis, Plot, Series, Shape

_SHAPES: Final[tuple[Shape, ...]] = ("ring", "square", "diamond", "triangle", "dot")


class Landed(Protocol):
    """One landing as the plot needs it."""

    @property
    def kind(self) -> str:
        """Of the flight."""
        ...

    @property
    def mid(self) -> float:
        """As forecast [%]."""
        ...

    @property
    def actual(self) -> float:
        """As it came [%]."""
        ...

    @property
    def inside(self) -> bool:
        """Whether it came inside the interval."""
        ...


def forecast_plot(rows: Iterable[Landed]) -> Plot:
    """Each landing of each pack; those outside their interval as crosses.

    Args:
        rows: in any order.
    """
    inside: dict[str, list[Landed]] = {}
    outside: list[Landed] = []
    for row in rows:
        if row.inside:
            inside.setdefault(row.kind or "kind not stated", []).append(row)
        else:
            outside.append(row)
    everything = [*outside, *(row for group in inside.values() for row in group)]
    line = Series("as forecast", *_diagonal(everything), tone="grey")
    groups = [
        _points(kind, group, _SHAPES[number % len(_SHAPES)])
        for number, (kind, group) in enumerate(sorted(inside.items()))
    ]
    crosses = [Series("outside", *_xy(outside), "points", "cross", "warning")] if outside else []
    return Plot(
        "Landing charge: forecast and what came",
        Axis("forecast", "%", decimals=0),
        Axis("came", "%", decimals=0),
        [line, *groups, *crosses] if everything else (),
        empty="No flight with both charges yet.",
    )


def _points(label: str, rows: Iterable[Landed], shape: Shape) -> Series:
    return Series(label, *_xy(rows), "points", shape)


def _xy(rows: Iterable[Landed]) -> tuple[list[float], list[float]]:
    ordered = sorted(rows, key=lambda row: row.mid)
    return [row.mid for row in ordered], [row.actual for row in ordered]


def _diagonal(rows: list[Landed]) -> tuple[list[float], list[float]]:
    values = [value for row in rows for value in (row.mid, row.actual)] or [0.0, 100.0]
    ends = [min(values), max(values)]
    return ends, list(ends)
