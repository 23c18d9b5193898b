"""A plot as SVG for a web page: each point and limit has its exact value as a title, which screen readers read too."""

from __future__ import annotations

import html
from collections.abc import Sequence

from logbook.reports.plot import Plot, Shape
from logbook.reports.plot_page import FONT, INKS, Anchor, Place, draw_plot
from logbook.reports.visible import visible

__all__ = ["INKS", "plot_svg"]


def plot_svg(plot: Plot, *, width: int = 680, height: int = 340) -> str:
    """The plot as one `<svg>` element that can stand alone or inside HTML.

    Args:
        plot: what to draw.
        width: [px].
        height: [px].
    """
    pen, title = _SvgPen(), _safe(plot.title)
    draw_plot(plot, pen, width, height)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}" role="img" aria-label="{title}" '
        f'font-family="sans-serif" font-size="{FONT}"><title>{title}</title>'
        f'<rect width="100%" height="100%" fill="#ffffff"/>{"".join(pen.parts)}</svg>'
    )


class _SvgPen:
    """Writes elements of SVG, in the order in which they are drawn."""

    def __init__(self) -> None:
        self.parts: list[str] = []

    def words(self, at: Place, text: str, ink: str, anchor: Anchor = "start", *, bold: bool = False) -> None:
        """A line of text."""
        self.parts.append(
            f'<text x="{at[0]:.1f}" y="{at[1]:.1f}" fill="{ink}" text-anchor="{anchor}" '
            f'font-weight="{"bold" if bold else "normal"}">{_safe(text)}</text>'
        )

    def line(self, start: Place, end: Place, ink: str, dash: str = "", words: str = "") -> None:
        """A straight line."""
        self.parts.append(
            f'<line x1="{start[0]:.2f}" y1="{start[1]:.2f}" x2="{end[0]:.2f}" y2="{end[1]:.2f}" stroke="{ink}"'
            f"{_dashes(dash)}>{_title(words)}</line>"
        )

    def polyline(self, points: Sequence[Place], ink: str, dash: str = "") -> None:
        """A line through points."""
        self.parts.append(
            f'<polyline points="{_points(points)}" fill="none" stroke="{ink}" stroke-width="1.6"{_dashes(dash)}/>'
        )

    def area(self, points: Sequence[Place], ink: str) -> None:
        """An area drawn lightly."""
        self.parts.append(
            f'<polygon points="{_points(points)}" fill="{ink}" fill-opacity="0.12" stroke="{ink}" stroke-opacity="0.35"/>'
        )

    def box(self, corner: Place, width: float, height: float, ink: str) -> None:
        """A light rectangle."""
        self.parts.append(
            f'<rect x="{corner[0]:.1f}" y="{corner[1]:.1f}" width="{width}" height="{height}" fill="{ink}" fill-opacity="0.2"/>'
        )

    def shape(self, shape: Shape, at: Place, ink: str, words: str = "") -> None:
        """One point."""
        self.parts.append(_shape(shape, *at, ink, words))


def _shape(shape: Shape, x: float, y: float, ink: str, words: str) -> str:
    title = _title(words)
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


def _points(points: Sequence[Place]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)


def _title(words: str) -> str:
    return f"<title>{_safe(words)}</title>" if words else ""


def _dashes(dash: str) -> str:
    return f' stroke-dasharray="{dash}"' if dash else ""


def _safe(text: str) -> str:
    """Text for an element or an attribute: no markup, no hidden characters, none that XML forbids."""
    return html.escape(visible(text))
