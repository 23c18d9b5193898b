"""A plot as SVG for paper: black on white, told apart by dashes and shapes, so that a grey printer loses nothing.

Every point and limit carries its exact value as a title, which browsers show and screen readers read.
"""

from __future__ import annotations

import html
import math
from itertools import groupby
from typing import Final

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
_DASHES: Final = ("", "7 3", "2 3", "9 3 2 3")
_FONT: Final = 11
_LETTER: Final = 6.2  # mean width of a letter at that size; labels are placed by it, not cut by it


def plot_svg(plot: Plot, *, width: int = 680, height: int = 340) -> str:
    """The plot as one `<svg>` element that can stand alone or inside HTML.

    Args:
        plot: what to draw.
        width: [px].
        height: [px].
    """
    return _Page(plot, width, height).draw()


class _Page:
    """One drawing in progress: where the frame is, and how values become places."""

    def __init__(self, plot: Plot, width: int, height: int) -> None:
        self.plot, self.width, self.height = plot, width, height
        self.x_low, self.x_high = plot.x_range()
        self.y_low, self.y_high = plot.y_range()
        self.y_ticks = plot.y.ticks(self.y_low, self.y_high, max(2, height // 45))
        longest = max((len(tick.words) for tick in self.y_ticks), default=1)
        notes = max((len(visible(limit.label)) for limit in plot.limits), default=0)
        self.left = 14 + longest * _LETTER
        self.right = width - 12 - notes * _LETTER
        self.legend = _legend_rows(plot, self.right - self.left)
        self.top = 30 + 15 * (len(self.legend) + bool(plot.marks))
        self.bottom = height - 38
        self.parts: list[str] = []

    def draw(self) -> str:
        """The whole element."""
        title = _safe(self.plot.title)
        self._words(self.left, 16, self.plot.title, "text", weight="bold")
        self._words(self.left, self.height - 6, self.plot.x.words, "grey")
        self._words(self.right, 16, self.plot.y.words, "grey", anchor="end")
        self._axes()
        if not self.plot.stops:
            self._words(
                (self.left + self.right) / 2,
                (self.top + self.bottom) / 2,
                self.plot.empty,
                "grey",
                anchor="middle",
            )
        for band in self.plot.bands:
            self._band(band)
        self._limits()
        for mark in self.plot.marks:
            self._mark(mark)
        for index, series in enumerate(self.plot.series):
            self._series(series, _DASHES[index % len(_DASHES)])
        self._legend()
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width}" height="{self.height}" '
            f'viewBox="0 0 {self.width} {self.height}" role="img" aria-label="{title}" '
            f'font-family="sans-serif" font-size="{_FONT}"><title>{title}</title>'
            f'<rect width="100%" height="100%" fill="#ffffff"/>{"".join(self.parts)}</svg>'
        )

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Where a pair of values stands [px]."""
        across = (x - self.x_low) / (self.x_high - self.x_low)
        up = (y - self.y_low) / (self.y_high - self.y_low)
        return self.left + across * (self.right - self.left), self.bottom - up * (self.bottom - self.top)

    def _words(
        self, x: float, y: float, text: str, tone: Tone, *, anchor: str = "start", weight: str = "normal"
    ) -> None:
        self.parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" fill="{INKS[tone]}" text-anchor="{anchor}" font-weight="{weight}">{_safe(text)}</text>'
        )

    def _line(
        self, start: tuple[float, float], end: tuple[float, float], ink: str, dash: str = "", words: str = ""
    ) -> None:
        inside = f"<title>{_safe(words)}</title>" if words else ""
        self.parts.append(
            f'<line x1="{start[0]:.2f}" y1="{start[1]:.2f}" x2="{end[0]:.2f}" y2="{end[1]:.2f}" stroke="{ink}"'
            f"{_dashes(dash)}>{inside}</line>"
        )

    def _axes(self) -> None:
        for tick in self.y_ticks:
            _, y = self.place(self.x_low, tick.at)
            self._line((self.left, y), (self.right, y), "#e3e3e3")
            self._words(self.left - 5, y + 4, tick.words, "grey", anchor="end")
        room = max(2, int((self.right - self.left) / 75))
        for tick in self.plot.x.ticks(self.x_low, self.x_high, room):
            x, _ = self.place(tick.at, self.y_low)
            self._line((x, self.bottom), (x, self.bottom + 4), INKS["grey"])
            self._words(x, self.bottom + 17, tick.words, "grey", anchor="middle")
        self._line((self.left, self.bottom), (self.right, self.bottom), INKS["grey"])
        self._line((self.left, self.top), (self.left, self.bottom), INKS["grey"])

    def _band(self, band: Band) -> None:
        there = [
            row for row in zip(band.x, band.low, band.high, strict=True) if not math.isnan(row[1] + row[2])
        ]
        if not there:
            return
        edge = [self.place(x, high) for x, _, high in there] + [
            self.place(x, low) for x, low, _ in reversed(there)
        ]
        points = " ".join(f"{x:.2f},{y:.2f}" for x, y in edge)
        ink = INKS[band.tone]
        self.parts.append(
            f'<polygon points="{points}" fill="{ink}" fill-opacity="0.12" stroke="{ink}" stroke-opacity="0.35"/>'
        )

    def _limits(self) -> None:
        limits = sorted(self.plot.limits, key=lambda limit: -limit.y)
        places = [round(self.place(self.x_low, limit.y)[1]) for limit in limits]
        for limit, at, label_at in zip(
            limits, places, spread(places, _FONT + 2, int(self.top), int(self.bottom)), strict=True
        ):
            self._limit(limit, at, label_at)

    def _limit(self, limit: Limit, at: float, label_at: float) -> None:
        words = f"{limit.label}: {self.plot.y.value_words(limit.y)}"
        self._line((self.left, at), (self.right, at), INKS[limit.tone], "5 4", words)
        self._words(self.right + 4, label_at + 4, limit.label, limit.tone)

    def _mark(self, mark: Mark) -> None:
        x, _ = self.place(mark.x, self.y_low)
        words = f"{mark.label}: {self.plot.x.value_words(mark.x)}"
        self._line((x, self.top), (x, self.bottom), INKS[mark.tone], "1 3", words)
        self._words(x, self.top - 4, mark.label, mark.tone, anchor="middle")

    def _series(self, series: Series, dash: str) -> None:
        rows = list(zip(series.x, series.y, strict=True))
        if series.kind == "line":
            for known, run in groupby(rows, key=lambda row: not math.isnan(row[1])):
                if known:
                    points = " ".join(f"{x:.2f},{y:.2f}" for x, y in (self.place(*row) for row in run))
                    self.parts.append(
                        f'<polyline points="{points}" fill="none" stroke="{INKS[series.tone]}" stroke-width="1.6"{_dashes(dash)}/>'
                    )
            return
        for x, y in rows:
            if not math.isnan(y):
                words = f"{series.label}, {self.plot.x.value_words(x)}: {self.plot.y.value_words(y)}"
                self.parts.append(_shape(series.shape, *self.place(x, y), INKS[series.tone], words))

    def _legend(self) -> None:
        for row, entries in enumerate(self.legend):
            x = self.left
            for entry in entries:
                y = 31 + 15 * row
                self._sample(entry, x, y - 4)
                self._words(x + 26, y, entry.label, "text")
                x += 26 + len(visible(entry.label)) * _LETTER + 16

    def _sample(self, entry: Series | Band, x: float, y: float) -> None:
        ink = INKS[entry.tone]
        if isinstance(entry, Band):
            self.parts.append(
                f'<rect x="{x:.1f}" y="{y - 4:.1f}" width="20" height="8" fill="{ink}" fill-opacity="0.2"/>'
            )
        elif entry.kind == "line":
            self._line((x, y), (x + 20, y), ink, _DASHES[list(self.plot.series).index(entry) % len(_DASHES)])
        else:
            self.parts.append(_shape(entry.shape, x + 10, y, ink, ""))


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


def _shape(shape: Shape, x: float, y: float, ink: str, words: str) -> str:
    title = f"<title>{_safe(words)}</title>" if words else ""
    outline = f'fill="#ffffff" stroke="{ink}" stroke-width="1.3"'
    if shape == "dot":
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="2.8" fill="{ink}">{title}</circle>'
    if shape == "ring":
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="3" {outline}>{title}</circle>'
    if shape == "square":
        return f'<rect x="{x - 2.8:.2f}" y="{y - 2.8:.2f}" width="5.6" height="5.6" {outline}>{title}</rect>'
    paths = {
        "cross": f"M{x - 3:.2f} {y - 3:.2f}l6 6m0 -6l-6 6",
        "diamond": f"M{x:.2f} {y - 4:.2f}l4 4l-4 4l-4 -4z",
        "triangle": f"M{x:.2f} {y - 4:.2f}l4 7h-8z",
    }
    return f'<path d="{paths[shape]}" {outline}>{title}</path>'


def _dashes(dash: str) -> str:
    return f' stroke-dasharray="{dash}"' if dash else ""


def _safe(text: str) -> str:
    """Text for an element or an attribute: no markup, no hidden characters, none that XML forbids."""
    return html.escape(visible(text))
