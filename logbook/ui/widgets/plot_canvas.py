"""A grid of dots finer than letters: eight to a cell, shown as braille or, where the font has none, as plain signs."""

from __future__ import annotations

from typing import Final, NamedTuple

# Unicode Standard, block "Braille Patterns": dots 1-8 as bits 0x01-0x80; rows from the top, left and right column.
_BITS: Final = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
ACROSS: Final = 2
DOWN: Final = 4


class Canvas:
    """Dots on a field of so many cells; (0, 0) is the top left dot. Dots outside are left out."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._cells: dict[tuple[int, int], int] = {}

    @property
    def cells(self) -> list[tuple[int, int]]:
        """Column and row of each cell that has a dot."""
        return list(self._cells)

    def dot(self, x: int, y: int) -> None:
        """Sets one dot."""
        if 0 <= x < self.width * ACROSS and 0 <= y < self.height * DOWN:
            cell = (x // ACROSS, y // DOWN)
            self._cells[cell] = self._cells.get(cell, 0) | _BITS[y % DOWN][x % ACROSS]

    def line(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """Sets the dots of a straight line; what lies outside is cut off, however far it goes."""
        clipped = clip((x0, y0, x1, y1), self.width * ACROSS - 1, self.height * DOWN - 1)
        if clipped is None:
            return
        x0, y0, x1, y1 = clipped
        steps = max(1, round(max(abs(x1 - x0), abs(y1 - y0))))
        for step in range(steps + 1):
            share = step / steps
            self.dot(round(x0 + (x1 - x0) * share), round(y0 + (y1 - y0) * share))

    def sign(self, column: int, row: int) -> str:
        """The letter that shows the dots of a cell; a blank if it has none."""
        bits = self._cells.get((column, row), 0)
        return chr(0x2800 + bits) if bits else " "


def clip(
    line: tuple[float, float, float, float], right: float, bottom: float
) -> tuple[float, float, float, float] | None:
    """The part of a line inside the field from (0, 0) to (right, bottom); None if there is none.

    Source: Y.-D. Liang and B. Barsky, "A new concept and method for line clipping", ACM Transactions on Graphics 3 (1984).
    """
    x0, y0, x1, y1 = line
    dx, dy = x1 - x0, y1 - y0
    enter, leave = 0.0, 1.0
    for slope, room in ((-dx, x0), (dx, right - x0), (-dy, y0), (dy, bottom - y0)):
        if slope == 0:
            if room < 0:
                return None
            continue
        share = room / slope
        if slope < 0:
            enter = max(enter, share)
        else:
            leave = min(leave, share)
    if enter > leave:
        return None
    return x0 + enter * dx, y0 + enter * dy, x0 + leave * dx, y0 + leave * dy


class Signs(NamedTuple):
    """The letters of a plot's frame, lines and points."""

    left: str
    left_tick: str
    corner: str
    bottom: str
    bottom_tick: str
    limit: str
    mark: str
    cursor: str
    cursor_foot: str
    line_sample: str
    band_sample: str
    shapes: dict[str, str]
    line: str
    """For every cell of a line; empty: the dots themselves."""
    band: str
    """For every cell of a band's edges; empty: the dots themselves, and a light pattern between the edges."""


DRAWN: Final = Signs(
    "│", "┤", "└", "─", "┴", "╌", "┊", "│", "▲", "━━", "⣶⣶",
    {"dot": "•", "ring": "○", "cross": "×", "square": "□", "diamond": "◇", "triangle": "△"}, "", "",
)  # fmt: skip
TYPED: Final = Signs(
    "|", "+", "+", "-", "+", "-", ":", "|", "^", "~~", "..",
    {"dot": "*", "ring": "o", "cross": "x", "square": "#", "diamond": "%", "triangle": "A"}, "~", ".",
)  # fmt: skip
