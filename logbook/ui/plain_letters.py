"""Plain letters: what the screens are drawn with where a font has no lines, blocks and dots.

Every line of the screen passes one filter on its way to the terminal, so that a widget or a text need not know. Each
sign becomes one letter of the same width; letters of any alphabet, and ° ± ² which every console has, stay.
"""

from __future__ import annotations

import unicodedata
from typing import Final

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

_SIGNS: Final = {
    "‼": "#", "·": "|", "•": "*", "…": "~", "×": "x", "−": "-", "–": "-", "→": ">", "≤": "<", "≥": ">", "≠": "/",
    "▸": ">", "▶": ">", "▲": "^", "△": "^", "▼": "v", "●": "o", "○": "o", "◇": "o", "◆": "o", "□": "o", "✓": "+",
    "“": '"', "”": '"', "‘": "'", "’": "'", "━": "=", "√": "r", "█": "#", "▀": "-", "▄": "_", "▁": "_", "▔": "-",
}  # fmt: skip
_LINES: Final = {"HORIZONTAL": "-", "VERTICAL": "|"}
"""Of the drawings of lines: by how their names begin; corners and crossings are `+`."""


def plain_letter(sign: str) -> str:
    """The letter for one sign of one cell; the sign itself where it is a letter or on every console."""
    if sign in _SIGNS:
        return _SIGNS[sign]
    if ord(sign) < 0x100 or not 0x2000 <= ord(sign) < 0x2C00:  # Latin, and letters of other alphabets
        return sign
    name = unicodedata.name(sign, "").removeprefix("BOX DRAWINGS ")
    if 0x2500 <= ord(sign) < 0x2580:
        upright, level = "VERTICAL" in name or "UP" in name or "DOWN" in name, "HORIZONTAL" in name
        crossing = (upright and level) or "AND" in name
        return "+" if crossing else _LINES["HORIZONTAL" if level else "VERTICAL"]
    if 0x2580 <= ord(sign) < 0x25A0:  # blocks: an edge on the left or right, else the end of a scroll bar
        return "|" if "LEFT" in name or "RIGHT" in name else " "
    return "?"


class _Letters(dict[int, str]):
    """A table for `str.translate` that looks each sign up when it is met first."""

    def __missing__(self, code: int) -> str:
        self[code] = plain_letter(chr(code))
        return self[code]


class PlainLetters(LineFilter):
    """Draws every line with plain letters; control segments pass untouched."""

    def __init__(self) -> None:
        super().__init__()
        self._letters = _Letters()

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002 - the library's
        """The segments with each sign as a letter."""
        return [
            segment
            if segment.control or segment.text.isascii()
            else Segment(segment.text.translate(self._letters), segment.style)
            for segment in segments
        ]
