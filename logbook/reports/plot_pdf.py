"""A plot as a drawing for a PDF page: the same picture as the SVG of a web page, in the letters of the PDF."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from logbook.reports.pdf_letters import BOLD, PLAIN, letters, width_of
from logbook.reports.plot import Plot, Shape
from logbook.reports.plot_page import Anchor, Place, draw_plot

_SIZE: Final = (680.0, 340.0)
"""What is drawn on, before it is made to fit [px]."""
_FONT: Final = 9.6
"""A little smaller than on a web page: the letters are wider."""


def plot_drawing(plot: Plot, width: float) -> Any:
    """The plot as something to put on a page.

    Args:
        plot: what to draw.
        width: [pt]; the height is half of it.

    Returns: A drawing of the library that writes PDF; needs the extra 'pdf'.
    """
    from reportlab.graphics.shapes import Drawing  # type: ignore[import-untyped]

    share = width / _SIZE[0]
    drawing = Drawing(width, _SIZE[1] * share)
    drawing.scale(share, share)
    draw_plot(plot, _PdfPen(drawing, _SIZE[1]), *_SIZE)
    return drawing


class _PdfPen:
    """Adds shapes to a drawing, whose places count from the lower left corner."""

    def __init__(self, drawing: Any, height: float) -> None:
        width_of("", _FONT)  # makes the letters known
        self._drawing, self._height = drawing, height

    def words(self, at: Place, text: str, ink: str, anchor: Anchor = "start", *, bold: bool = False) -> None:
        """A line of text."""
        from reportlab.graphics.shapes import String

        font = BOLD if bold else PLAIN
        self._add(
            String(
                *self._at(at),
                letters(text),
                fontName=font,
                fontSize=_FONT,
                fillColor=_ink(ink),
                textAnchor=anchor,
            )
        )

    def line(self, start: Place, end: Place, ink: str, dash: str = "", words: str = "") -> None:  # noqa: ARG002 - paper shows no titles
        """A straight line."""
        from reportlab.graphics.shapes import Line

        self._add(
            Line(*self._at(start), *self._at(end), strokeColor=_ink(ink), strokeDashArray=_dashes(dash))
        )

    def polyline(self, points: Sequence[Place], ink: str, dash: str = "") -> None:
        """A line through points."""
        from reportlab.graphics.shapes import PolyLine

        places = [number for point in points for number in self._at(point)]
        if len(points) > 1:
            self._add(PolyLine(places, strokeColor=_ink(ink), strokeWidth=1.6, strokeDashArray=_dashes(dash)))

    def area(self, points: Sequence[Place], ink: str) -> None:
        """An area drawn lightly."""
        from reportlab.graphics.shapes import Polygon

        places = [number for point in points for number in self._at(point)]
        colours = {"fillColor": _ink(ink), "strokeColor": _ink(ink)}
        self._add(Polygon(places, fillOpacity=0.12, strokeOpacity=0.35, **colours))

    def box(self, corner: Place, width: float, height: float, ink: str) -> None:
        """A light rectangle."""
        from reportlab.graphics.shapes import Rect

        x, y = self._at(corner)
        self._add(Rect(x, y - height, width, height, fillColor=_ink(ink), fillOpacity=0.2, strokeColor=None))

    def shape(self, shape: Shape, at: Place, ink: str, words: str = "") -> None:  # noqa: ARG002 - paper shows no titles
        """One point."""
        from reportlab.graphics.shapes import Circle, Path, Rect
        from reportlab.lib import colors  # type: ignore[import-untyped]

        x, y = self._at(at)
        outline = {"fillColor": colors.white, "strokeColor": _ink(ink), "strokeWidth": 1.3}
        if shape in ("dot", "ring"):
            style = {"fillColor": _ink(ink), "strokeColor": None} if shape == "dot" else outline
            self._add(Circle(x, y, 2.8 if shape == "dot" else 3, **style))
        elif shape == "square":
            self._add(Rect(x - 2.8, y - 2.8, 5.6, 5.6, **outline))
        else:
            path = Path(**outline)
            for corner, (dx, dy) in enumerate(_CORNERS[shape]):
                (path.lineTo if corner % _STROKE.get(shape, 9) else path.moveTo)(x + dx, y + dy)
            if shape != "cross":
                path.closePath()
            self._add(path)

    def _add(self, shape: Any) -> None:
        self._drawing.add(shape)

    def _at(self, place: Place) -> Place:
        return place[0], self._height - place[1]


_CORNERS: Final[dict[str, tuple[tuple[int, int], ...]]] = {
    "cross": ((-3, 3), (3, -3), (3, 3), (-3, -3)),
    "diamond": ((0, 4), (4, 0), (0, -4), (-4, 0)),
    "triangle": ((0, 4), (4, -3), (-4, -3)),
}
_STROKE: Final = {"cross": 2}
"""Corners of one stroke of the pen, where it is lifted between."""


def _ink(ink: str) -> Any:
    from reportlab.lib import colors

    return colors.HexColor(ink)


def _dashes(dash: str) -> list[int] | None:
    return [int(part) for part in dash.split()] or None
