"""What a plot shows, as data: the screen and the printed page draw the same one.

    Plot(title, x axis, y axis, series, bands, limits, marks)

A series never bridges a gap: where a value is unknown (NaN), the line is interrupted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Final, Literal, NamedTuple

from logbook.reports.ticks import Tick, date_ticks, date_words, number_ticks
from logbook.units import plain_number

Kind = Literal["line", "points"]
Shape = Literal["dot", "ring", "cross", "square", "diamond", "triangle"]
Tone = Literal["text", "grey", "accent", "success", "warning", "error"]
SHAPES: Final[tuple[Shape, ...]] = ("dot", "ring", "cross", "square", "diamond", "triangle")


@dataclass(frozen=True)
class Axis:
    """One axis: what it measures, in which unit."""

    label: str
    unit: str = ""
    dated: bool = False
    """The values are day numbers: `date.toordinal`, with a fraction for the time of day."""
    low: float | None = None
    """Where it begins; from the data unless given."""
    high: float | None = None
    decimals: int | None = None
    """How values are said: rounded to so many decimals (an estimate), or exactly as they are (a reading)."""

    @property
    def words(self) -> str:
        """Label and unit: 'usable capacity [kWh]'."""
        return f"{self.label} [{self.unit}]" if self.unit else self.label

    def value_words(self, value: float) -> str:
        """A value in full, with its unit."""
        if self.dated:
            return date_words(value)
        figure = (
            plain_number(float(f"{value:.12g}")) if self.decimals is None else f"{value:.{self.decimals}f}"
        )
        return f"{figure} {self.unit}" if self.unit else figure

    def ticks(self, low: float, high: float, most: int) -> list[Tick]:
        """Marks for a stretch of this axis."""
        return date_ticks(low, high, most) if self.dated else number_ticks(low, high, most)


@dataclass(frozen=True)
class Series:
    """Values joined by a line, or points of one shape."""

    label: str
    x: Sequence[float]
    y: Sequence[float]
    """NaN where unknown."""
    kind: Kind = "line"
    shape: Shape = "dot"
    tone: Tone = "accent"

    def __post_init__(self) -> None:
        _same_length(self.label, self.x, self.y)
        _finite(self.label, self.x)


@dataclass(frozen=True)
class Band:
    """The room between a low and a high value at each x: an interval, drawn lightly behind the series."""

    label: str
    x: Sequence[float]
    low: Sequence[float]
    high: Sequence[float]
    tone: Tone = "accent"

    def __post_init__(self) -> None:
        _same_length(self.label, self.x, self.low, self.high)
        _finite(self.label, self.x)
        if any(low > high for low, high in zip(self.low, self.high, strict=True)):
            raise ValueError(f"band '{self.label}': a low value stands above its high value")


@dataclass(frozen=True)
class Limit:
    """A horizontal line that something must not cross."""

    label: str
    y: float
    tone: Tone = "warning"


@dataclass(frozen=True)
class Mark:
    """A vertical line at a moment or a place: firmware changed, pack fitted, today."""

    label: str
    x: float
    tone: Tone = "grey"


class Reading(NamedTuple):
    """What one series says at one x."""

    label: str
    words: str


@dataclass(frozen=True)
class Plot:
    """One picture, complete with its words and units."""

    title: str
    x: Axis
    y: Axis
    series: Sequence[Series] = ()
    bands: Sequence[Band] = ()
    limits: Sequence[Limit] = ()
    marks: Sequence[Mark] = ()
    empty: str = "Nothing to draw yet."
    """What to say where there is no value."""
    _stops: list[float] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        known = {x for one in self.series for x, y in zip(one.x, one.y, strict=True) if not math.isnan(y)}
        known |= {x for band in self.bands for x in band.x} if not known else set()
        object.__setattr__(self, "_stops", sorted(known))

    @property
    def stops(self) -> list[float]:
        """Every x at which a series has a value, rising: where a reading cursor can stand."""
        return self._stops

    def x_range(self) -> tuple[float, float]:
        """First and last x to show; never of zero width. Marks widen it, limits cannot."""
        values = [*self._stops, *(x for band in self.bands for x in band.x)]
        if values:
            values += [mark.x for mark in self.marks]
        return _range(values, self.x, margin=0.0)

    def y_range(self) -> tuple[float, float]:
        """Least and greatest y to show, limits included, with a little air."""
        values = [y for one in self.series for y in one.y if not math.isnan(y)]
        for band in self.bands:
            values += [y for y in (*band.low, *band.high) if not math.isnan(y)]
        values += [limit.y for limit in self.limits]
        return _range(values, self.y, margin=0.05)

    def readings_at(self, x: float) -> list[Reading]:
        """What each series and band says at exactly this x, with units."""
        said = []
        for one in self.series:
            said += [
                Reading(one.label, self.y.value_words(y))
                for at, y in zip(one.x, one.y, strict=True)
                if at == x and not math.isnan(y)
            ]
        for band in self.bands:
            said += [
                Reading(band.label, f"{self.y.value_words(low)} to {self.y.value_words(high)}")
                for at, low, high in zip(band.x, band.low, band.high, strict=True)
                if at == x and not math.isnan(low)
            ]
        return said


def day_number(stored: str) -> float:
    """The day number of a stored date or instant ('2031-05-09' or '2031-05-09T08:30Z'), the time as its fraction [days]."""
    day = date.fromisoformat(stored[:10]).toordinal()
    if len(stored) <= 10:
        return float(day)
    return day + (int(stored[11:13]) * 60 + int(stored[14:16])) / 1440


def _range(values: Iterable[float], axis: Axis, *, margin: float) -> tuple[float, float]:
    known = list(values)
    low = min(known, default=0.0) if axis.low is None else axis.low
    high = max(known, default=1.0) if axis.high is None else axis.high
    if high <= low:  # one value, or none: show some room around it
        half = max(abs(low) * 0.05, 0.5)
        return low - half, low + half
    air = (high - low) * margin
    return low - (air if axis.low is None else 0.0), high + (air if axis.high is None else 0.0)


def _same_length(label: str, *columns: Sequence[float]) -> None:
    if len({len(column) for column in columns}) > 1:
        raise ValueError(f"'{label}': every x needs exactly one value")


def _finite(label: str, xs: Sequence[float]) -> None:
    if not all(math.isfinite(x) for x in xs):
        raise ValueError(f"'{label}': an x must be a number")
