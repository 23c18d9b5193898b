"""Where everything of a plot stands on a page: frame, ticks, legend and values, handed to a pen that knows one kind of file.

A page is black on white, told apart by dashes and shapes, so that a grey printer loses nothing. The SVG of a web page and
the drawing of a PDF come from here, so both show the same picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby
from typing import Final, Literal, Protocol

from logbook.reports.plot import Band, Limit, Mark, Plot, Series, Shape, Tone
from logbook.reports.ticks import spread
from logbook.reports.visible import visible

INKS: Final[dict[Tone, str]] = {
    "text": "#20262c",
    "grey": "#565f68",
    "accent": "#0b5c78",
    "success": "#24622a",
    "warning": "#744c00",
    "error": "#a0231a",
}
LIGHT: Final = "#e3e3e3"
"""Of the lines behind the values."""
FONT: Final = 11
_DASHES: Final = ("", "7 3", "2 3", "9 3 2 3")
_LETTER: Final = 6.2  # mean width of a letter at that size; labels are placed by it, not cut by it

Place = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


class Pen(Protocol):
    """Draws one element; places are in pixels from the upper left corner, `words` what stands there in full."""

    def words(self, at: Place, text: str, ink: str, anchor: Anchor = "start", *, bold: bool = False) -> None:
        """A line of text, its foot on the place."""

    def line(self, start: Place, end: Place, ink: str, dash: str = "", words: str = "") -> None:
        """A straight line."""

    def polyline(self, points: Sequence[Place], ink: str, dash: str = "") -> None:
        """A line through points."""

    def area(self, points: Sequence[Place], ink: str) -> None:
        """An area drawn lightly, with its edge."""

    def box(self, corner: Place, width: float, height: float, ink: str) -> None:
        """A light rectangle without an edge, by its upper left corner."""

    def shape(self, shape: Shape, at: Place, ink: str, words: str = "") -> None:
        """One point, as a shape around its place."""


def draw_plot(plot: Plot, pen: Pen, width: float, height: float) -> None:
    """Draws a plot.

    Args:
        plot: what to draw.
        pen: what to draw with.
        width: [px].
        height: [px].
    """
    _Page(plot, pen, width, height).draw()


class _Page:
    """One drawing in progress: where the frame is, and how values become places."""

    def __init__(self, plot: Plot, pen: Pen, width: float, height: float) -> None:
        self.plot, self.pen, self.width, self.height = plot, pen, width, height
        self.x_low, self.x_high = plot.x_range()
        self.y_low, self.y_high = plot.y_range()
        self.y_ticks = plot.y.ticks(self.y_low, self.y_high, max(2, int(height) // 45))
        longest = max((len(tick.words) for tick in self.y_ticks), default=1)
        notes = max((len(visible(limit.label)) for limit in plot.limits), default=0)
        self.left = 14 + longest * _LETTER
        self.right = width - 12 - notes * _LETTER
        self.legend = _legend_rows(plot, self.right - self.left)
        self.top = 30.0 + 15 * (len(self.legend) + bool(plot.marks))
        self.bottom = height - 38

    def draw(self) -> None:
        """The whole plot."""
        write = self.pen.words
        write((self.left, 16), self.plot.title, INKS["text"], bold=True)
        write((self.left, self.height - 6), self.plot.x.words, INKS["grey"])
        write((self.right, 16), self.plot.y.words, INKS["grey"], "end")
        self._axes()
        if not self.plot.stops:
            middle = ((self.left + self.right) / 2, (self.top + self.bottom) / 2)
            write(middle, self.plot.empty, INKS["grey"], "middle")
        for band in self.plot.bands:
            self._band(band)
        self._limits()
        for mark in self.plot.marks:
            self._mark(mark)
        for index, series in enumerate(self.plot.series):
            self._series(series, _DASHES[index % len(_DASHES)])
        self._legend()

    def place(self, x: float, y: float) -> Place:
        """Where a pair of values stands [px]."""
        across = (x - self.x_low) / (self.x_high - self.x_low)
        up = (y - self.y_low) / (self.y_high - self.y_low)
        return self.left + across * (self.right - self.left), self.bottom - up * (self.bottom - self.top)

    def _axes(self) -> None:
        line, write, grey = self.pen.line, self.pen.words, INKS["grey"]
        for tick in self.y_ticks:
            _, y = self.place(self.x_low, tick.at)
            line((self.left, y), (self.right, y), LIGHT)
            write((self.left - 5, y + 4), tick.words, grey, "end")
        room = max(2, int((self.right - self.left) / 75))
        for tick in self.plot.x.ticks(self.x_low, self.x_high, room):
            x, _ = self.place(tick.at, self.y_low)
            line((x, self.bottom), (x, self.bottom + 4), grey)
            write((x, self.bottom + 17), tick.words, grey, "middle")
        line((self.left, self.bottom), (self.right, self.bottom), grey)
        line((self.left, self.top), (self.left, self.bottom), grey)

    def _band(self, band: Band) -> None:
        there = [
            row for row in zip(band.x, band.low, band.high, strict=True) if not math.isnan(row[1] + row[2])
        ]
        if not there:
            return
        edge = [self.place(x, high) for x, _, high in there]
        edge += [self.place(x, low) for x, low, _ in reversed(there)]
        self.pen.area(edge, INKS[band.tone])

    def _limits(self) -> None:
        limits = sorted(self.plot.limits, key=lambda limit: -limit.y)
        places = [round(self.place(self.x_low, limit.y)[1]) for limit in limits]
        for limit, at, label_at in zip(
            limits, places, spread(places, FONT + 2, int(self.top), int(self.bottom)), strict=True
        ):
            self._limit(limit, at, label_at)

    def _limit(self, limit: Limit, at: float, label_at: float) -> None:
        words = f"{limit.label}: {self.plot.y.value_words(limit.y)}"
        self.pen.line((self.left, at), (self.right, at), INKS[limit.tone], "5 4", words)
        self.pen.words((self.right + 4, label_at + 4), limit.label, INKS[limit.tone])

    def _mark(self, mark: Mark) -> None:
        x, _ = self.place(mark.x, self.y_low)
        words = f"{mark.label}: {self.plot.x.value_words(mark.x)}"
        self.pen.line((x, self.top), (x, self.bottom), INKS[mark.tone], "1 3", words)
        self.pen.words((x, self.top - 4), mark.label, INKS[mark.tone], "middle")

    def _series(self, series: Series, dash: str) -> None:
        rows = list(zip(series.x, series.y, strict=True))
        if series.kind == "line":
            for known, run in groupby(rows, key=lambda row: not math.isnan(row[1])):
                if known:
                    self.pen.polyline([self.place(*row) for row in run], INKS[series.tone], dash)
            return
        for x, y in rows:
            if not math.isnan(y):
                words = f"{series.label}, {self.plot.x.value_words(x)}: {self.plot.y.value_words(y)}"
                self.pen.shape(series.shape, self.place(x, y), INKS[series.tone], words)

    def _legend(self) -> None:
        for row, entries in enumerate(self.legend):
            x = self.left
            for entry in entries:
                y = 31 + 15 * row
                self._sample(entry, x, y - 4)
                self.pen.words((x + 26, y), entry.label, INKS["text"])
                x += 26 + len(visible(entry.label)) * _LETTER + 16

    def _sample(self, entry: Series | Band, x: float, y: float) -> None:
        ink = INKS[entry.tone]
        if isinstance(entry, Band):
            self.pen.box((x, y - 4), 20, 8, ink)
        elif entry.kind == "line":
            dash = _DASHES[list(self.plot.series).index(entry) % len(_DASHES)]
            self.pen.line((x, y), (x + 20, y), ink, dash)
        else:
            self.pen.shape(entry.shape, (x + 10, y), ink)


def _legend_rows(plot: Plot, room: float) -> list[list[Series | Band]]:
    rows: list[list[Series | Band]] = []
    used = room
    entries: list[Series | Band] = [*plot.series, *plot.bands]
    for entry in entries:
        width = 42 + len(visible(entry.label)) * _LETTER
        if not rows or used + width > room:
            rows.append([])
            used = 0.0
        rows[-1].append(entry)
        used += width
    return rows
