"""Draws a plot with letters: rows of text, each piece with its tone. Knows nothing of the terminal.

From the top: title and y axis, the legend (its own rows, so that it hides nothing), the names of marks, the field with the
limits named at its right, the x axis, and a line that says the values where the reading cursor stands.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final, NamedTuple

from rich.cells import cell_len

from logbook.reports.plot import Band, Limit, Plot, Series
from logbook.reports.ticks import spread
from logbook.reports.visible import visible
from logbook.ui.widgets.plain import fit
from logbook.ui.widgets.plot_canvas import ACROSS, DOWN, Canvas, Signs

LEAST_WIDTH: Final = 24
LEAST_HEIGHT: Final = 8
WIDE: Final = 64
"""From this width on, limits are named at the right of the field; below, in the legend."""


class Piece(NamedTuple):
    """Some letters of one tone."""

    text: str
    tone: str


def draw(plot: Plot, width: int, height: int, signs: Signs, cursor: float | None = None) -> list[list[Piece]]:
    """The plot as rows of pieces, each row exactly so wide.

    Args:
        plot: what to draw.
        width: [cells].
        height: [rows].
        signs: the letters to draw with.
        cursor: the x whose values are to be said; one of the plot's stops.
    """
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        return _only(width, height, "No room for the plot: make the window larger.")
    if not plot.stops:
        return _only(width, height, plot.empty, plot.title)
    return _Sheet(plot, width, height, signs, cursor).rows()


def _only(width: int, height: int, words: str, title: str = "") -> list[list[Piece]]:
    rows = [[Piece(fit("", width), "text")] for _ in range(height)]
    if height:
        rows[0] = [Piece(fit(title, width), "title")]
        rows[min(height - 1, 2 if title else 0)] = [Piece(fit(words, width), "grey")]
    return rows


class _Sheet:
    """One drawing in progress: a grid of letters with a tone each."""

    def __init__(self, plot: Plot, width: int, height: int, signs: Signs, cursor: float | None) -> None:
        self.plot, self.width, self.height, self.signs, self.cursor = plot, width, height, signs, cursor
        self.x_low, self.x_high = plot.x_range()
        self.y_low, self.y_high = plot.y_range()
        legend = _wrapped(_legend(plot, signs, with_limits=width < WIDE), width)
        names = [cell_len(visible(limit.label)) for limit in plot.limits] if width >= WIDE else []
        self.margin = min(max(names, default=-1) + 1, width // 3)
        said = _wrapped(self._said(), width)
        self.head = 1 + len(legend) + bool(plot.marks)
        self.rows_down = max(2, height - self.head - 2 - len(said))
        self.ticks = plot.y.ticks(self.y_low, self.y_high, max(2, self.rows_down // 3))
        self.left = max((len(tick.words) for tick in self.ticks), default=1) + 1
        self.across = max(4, width - self.left - 1 - self.margin)
        self.grid = [[" "] * width for _ in range(height)]
        self.tones = [["text"] * width for _ in range(height)]
        self._title()
        for row, pieces in enumerate(legend, 1):
            self._pieces(row, pieces)
        for row, pieces in enumerate(said, self.head + self.rows_down + 2):
            self._pieces(row, pieces)

    def rows(self) -> list[list[Piece]]:
        """Draws from the back to the front: axes, limits and marks, bands, lines, points."""
        self._axes()
        self._limits()
        self._marks()
        self._cursor()
        for band in self.plot.bands:
            self._band(band)
        for series in self.plot.series:
            if series.kind == "line":
                self._line(series)
        for series in self.plot.series:
            if series.kind == "points":
                self._points(series)
        return [
            _joined(letters, tones, self.width) for letters, tones in zip(self.grid, self.tones, strict=True)
        ]

    # -- places ------------------------------------------------------------------------------------------------

    def _x(self, value: float) -> float:
        """Dots from the left edge of the field."""
        return (value - self.x_low) / (self.x_high - self.x_low) * (self.across * ACROSS - 1)

    def _y(self, value: float) -> float:
        """Dots from the top edge of the field."""
        return (self.y_high - value) / (self.y_high - self.y_low) * (self.rows_down * DOWN - 1)

    def _cell(self, x: float, y: float) -> tuple[int, int] | None:
        """Column and row in the field; None outside."""
        column, row = round(self._x(x)) // ACROSS, round(self._y(y)) // DOWN
        return (column, row) if 0 <= column < self.across and 0 <= row < self.rows_down else None

    def _put(self, column: int, row: int, text: str, tone: str) -> None:
        """Writes into the grid; a wide letter takes the cell after it as well."""
        for letter in text:
            room = cell_len(letter)
            if column >= 0 and column + room <= self.width and 0 <= row < self.height and room:
                self.grid[row][column] = letter
                self.tones[row][column] = tone
                if room == 2:
                    self.grid[row][column + 1] = ""
                    self.tones[row][column + 1] = tone
            column += room

    def _field(self, column: int, row: int, letter: str, tone: str) -> None:
        self._put(self.left + 1 + column, self.head + row, letter, tone)

    def _pieces(self, row: int, pieces: list[Piece]) -> None:
        column = 0
        for piece in pieces:
            self._put(column, row, piece.text, piece.tone)
            column += cell_len(piece.text)

    # -- parts ---------------------------------------------------------------------------------------------------

    def _title(self) -> None:
        words = visible(self.plot.y.words)
        room = self.width - cell_len(words) - 2
        self._put(0, 0, fit(self.plot.title, max(0, room)).rstrip(), "title")
        self._put(max(0, self.width - cell_len(words)), 0, words, "grey")

    def _axes(self) -> None:
        signs, foot = self.signs, self.head + self.rows_down
        for row in range(self.rows_down):
            self._put(self.left, self.head + row, signs.left, "grey")
        self._put(self.left, foot, signs.corner + signs.bottom * self.across, "grey")
        for tick in self.ticks:
            row = self.head + round(self._y(tick.at)) // DOWN
            self._put(self.left - 1 - len(tick.words), row, tick.words, "grey")
            self._put(self.left, row, signs.left_tick, "grey")
        end = -1
        for tick in self.plot.x.ticks(self.x_low, self.x_high, max(2, self.across // 11)):
            column = self.left + 1 + round(self._x(tick.at)) // ACROSS
            start = max(0, min(column - len(tick.words) // 2, self.width - len(tick.words)))
            self._put(column, foot, signs.bottom_tick, "grey")
            if start > end:
                self._put(start, foot + 1, tick.words, "grey")
                end = start + len(tick.words)
        words = visible(self.plot.x.words)
        if not self.plot.x.dated and self.width - cell_len(words) > end:
            self._put(self.width - cell_len(words), foot + 1, words, "grey")

    def _limits(self) -> None:
        """Dashed lines; each named at the right, moved apart where two would cover each other."""
        limits = [limit for limit in self.plot.limits if self._cell(self.x_low, limit.y) is not None]
        limits.sort(key=lambda limit: -limit.y)
        rows = [round(self._y(limit.y)) // DOWN for limit in limits]
        places = spread(rows, 1, 0, self.rows_down - 1)
        for limit, row, name_row in zip(limits, rows, places, strict=True):
            for column in range(self.across):
                self._field(column, row, self.signs.limit, limit.tone)
            if self.margin:
                self._field(self.across + 1, name_row, fit(limit.label, self.margin - 1).rstrip(), limit.tone)

    def _marks(self) -> None:
        end = 0
        for mark in sorted(self.plot.marks, key=lambda mark: mark.x):
            column = round(self._x(mark.x)) // ACROSS
            if not 0 <= column < self.across:
                continue
            for row in range(self.rows_down):
                self._field(column, row, self.signs.mark, mark.tone)
            name = visible(mark.label)
            start = self.left + 1 + column - cell_len(name) // 2
            start = max(end, min(start, self.width - cell_len(name)))
            self._put(start, self.head - 1, fit(name, min(cell_len(name), self.width - start)), mark.tone)
            end = start + cell_len(name) + 1

    def _cursor(self) -> None:
        if self.cursor is None:
            return
        column = round(self._x(self.cursor)) // ACROSS
        for row in range(self.rows_down):
            self._field(column, row, self.signs.cursor, "text")
        self._field(column, self.rows_down, self.signs.cursor_foot, "title")

    def _band(self, band: Band) -> None:
        """Two thin edges and a light pattern between them."""
        canvas = Canvas(self.across, self.rows_down)
        columns: list[tuple[int, float, float]] = []
        for x, low, high in zip(band.x, band.low, band.high, strict=True):
            if math.isnan(low + high):
                continue
            column, bottom, top = round(self._x(x)), self._y(low), self._y(high)
            if columns and columns[-1][0] == column:  # many values in one column of dots: the widest counts
                top, bottom = min(top, columns[-1][1]), max(bottom, columns[-1][2])
                columns.pop()
            columns.append((column, top, bottom))
        for (x0, top0, bottom0), (x1, top1, bottom1) in pairwise(columns):
            for x in range(max(0, x0), min(self.across * ACROSS - 1, x1) + 1):
                share = (x - x0) / (x1 - x0) if x1 > x0 else 0.0
                self._band_column(
                    canvas, x, top0 + (top1 - top0) * share, bottom0 + (bottom1 - bottom0) * share
                )
        self._show(canvas, self.signs.band, f"{band.tone}-band")

    def _band_column(self, canvas: Canvas, x: int, top: float, bottom: float) -> None:
        for y in range(max(0, round(top)), min(self.rows_down * DOWN - 1, round(bottom)) + 1):
            if y in (round(top), round(bottom)) or (not self.signs.band and (x + 2 * y) % 4 == 0):
                canvas.dot(x, y)

    def _line(self, series: Series) -> None:
        canvas = Canvas(self.across, self.rows_down)
        before: tuple[float, float] | None = None
        for x, y in zip(series.x, series.y, strict=True):
            if math.isnan(y):
                before = None
                continue
            here = (self._x(x), self._y(y))
            x0, y0 = before or here
            if before and round(x0) == round(here[0]) and round(y0) == round(here[1]):
                continue  # the same dot: thousands of values cost no more than the window has dots
            canvas.line(x0, y0, *here)
            canvas.line(
                x0, y0 + 1, here[0], here[1] + 1
            )  # two dots thick: told from a band's edge without colour
            before = here
        self._show(canvas, self.signs.line, series.tone)

    def _show(self, canvas: Canvas, sign: str, tone: str) -> None:
        for column, row in canvas.cells:
            self._field(column, row, sign or canvas.sign(column, row), tone)

    def _points(self, series: Series) -> None:
        for x, y in zip(series.x, series.y, strict=True):
            cell = None if math.isnan(y) else self._cell(x, y)
            if cell is not None:
                self._field(*cell, self.signs.shapes[series.shape], series.tone)

    def _said(self) -> list[list[Piece]]:
        """The values where the reading cursor stands, each piece kept together."""
        if self.cursor is None:
            return [[Piece("left and right: read the values", "grey")]]
        said = [[Piece(f"{self.signs.cursor_foot} {self.plot.x.value_words(self.cursor)}", "title")]]
        said += [
            [Piece(f"{visible(reading.label)} ", "grey"), Piece(visible(reading.words), "text")]
            for reading in self.plot.readings_at(self.cursor)
        ]
        return said


def _legend(plot: Plot, signs: Signs, *, with_limits: bool) -> list[list[Piece]]:
    """One entry for each thing drawn: a sample, then its name."""
    entries: list[list[Piece]] = []
    for series in plot.series:
        sample = signs.line_sample if series.kind == "line" else signs.shapes[series.shape]
        entries.append([Piece(f"{sample} ", series.tone), Piece(visible(series.label), "text")])
    entries += [
        [Piece(f"{signs.band_sample} ", f"{band.tone}-band"), Piece(visible(band.label), "text")]
        for band in plot.bands
    ]
    limits: list[Limit] = list(plot.limits) if with_limits else []
    for limit in limits:
        words = f"{visible(limit.label)} {visible(plot.y.value_words(limit.y))}"
        entries.append([Piece(f"{signs.limit * 2} ", limit.tone), Piece(words, "text")])
    return entries


def _wrapped(entries: list[list[Piece]], width: int) -> list[list[Piece]]:
    """Entries in rows, three cells apart; an entry is never broken, only cut if it alone is too wide."""
    rows: list[list[Piece]] = []
    used = 0
    for entry in entries:
        wide = sum(cell_len(piece.text) for piece in entry)
        if rows and used + 3 + wide <= width:
            rows[-1] += [Piece("   ", "text"), *entry]
            used += 3 + wide
        else:
            rows.append(list(entry))
            used = wide
    return rows


def _joined(letters: list[str], tones: list[str], width: int) -> list[Piece]:
    """Letters of the same tone as one piece; the row filled to its width."""
    pieces: list[Piece] = []
    for letter, tone in zip(letters, tones, strict=True):
        if pieces and pieces[-1].tone == tone:
            pieces[-1] = Piece(pieces[-1].text + letter, tone)
        else:
            pieces.append(Piece(letter, tone))
    missing = width - sum(cell_len(piece.text) for piece in pieces)
    return [*pieces, Piece(" " * missing, "text")] if missing > 0 else pieces
