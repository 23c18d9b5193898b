"""The one way by which text from people, files and the book comes onto the screen."""

from __future__ import annotations

import re
from typing import Any, Final

from rich.cells import cell_len, set_cell_size
from rich.text import Text
from textual.widgets import Static

from logbook.reports.visible import visible

ELLIPSIS: Final = "…"
_UNIT: Final = r"(?:%|°C|°F|kWh|kW|min|h|d|ft|NM|km|kt|kg|lb|UTC|points?)(?![\w°])"
_BREAK: Final = re.compile(rf"(?<!\d) | (?!{_UNIT})")
"""A blank at which a line may end: not between a figure and its unit, or the figure above would stand without one."""
_WITH_UNIT: Final = re.compile(rf"\d {_UNIT}")


def plain(text: str, style: str = "", *, keep_newlines: bool = False) -> Text:
    """Text as it was written: brackets are brackets, and hidden characters are visible escapes."""
    return Text(visible(text, keep_newlines=keep_newlines), style=style)


def fit(text: str, width: int, *, right: bool = False) -> str:
    """Text made safe and exactly so many cells wide [cells].

    A text that is too long ends in an ellipsis. A right-aligned one is a figure, and a figure that lost a digit is
    a wrong figure: it gives way to the ellipsis altogether.
    """
    if width <= 0:
        return ""
    safe = visible(text)
    length = cell_len(safe)
    if length > width:
        if right:
            return ELLIPSIS.rjust(width)
        return set_cell_size(set_cell_size(safe, width - 1).rstrip() + ELLIPSIS, width)
    padding = " " * (width - length)
    return padding + safe if right else safe + padding


def wrap(text: str, width: int) -> list[str]:
    """Text made safe and broken between words into lines of at most so many cells; a longer word is broken anywhere.

    A figure keeps its unit on its line.
    """
    safe = visible(text)
    if cell_len(safe) <= width:
        return [safe]
    lines: list[str] = []
    for word in _BREAK.split(safe):
        rest = word
        if lines and cell_len(lines[-1]) + 1 + cell_len(rest) <= width:
            lines[-1] += f" {rest}"
            continue
        while cell_len(rest) > width > 1:
            head = _first_cells(rest, width)
            lines.append(head)
            rest = rest[len(head) :]
        lines.append(rest)
    return lines


def _first_cells(text: str, width: int) -> str:
    """As many letters as fit into so many cells, at least one."""
    used = 0
    for count, letter in enumerate(text):
        used += cell_len(letter)
        if used > width:
            return text[: max(1, count)]
    return text


class PlainText(Static):
    """A block of plain text; whatever it is given is shown as text, never read as markup."""

    def __init__(self, text: str = "", *, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__(plain(text, keep_newlines=True), markup=False, id=id, classes=classes)
        self._words = text

    def show(self, text: str, *, layout: bool = True) -> None:
        """Replaces the text.

        Args:
            text: the new one.
            layout: the block may change its size by it; False spares the whole screen being laid out again.
        """
        self._words = text
        laid = self._laid_out()
        if laid != self.content:
            self.update(laid, layout=layout)

    def on_resize(self) -> None:
        """Breaks the lines for the new width where the library would part a figure from its unit."""
        laid = self._laid_out()
        if laid != self.content:
            self.update(laid)

    def _laid_out(self) -> Any:
        """The text; broken by us only where a figure with a unit stands in one that is longer than its line."""
        words, width = visible(self._words, keep_newlines=True), self.content_size.width
        parts = words.split("\n")
        if not width or self.styles.text_wrap == "nowrap" or not _WITH_UNIT.search(words):
            return plain(self._words, keep_newlines=True)
        return Text(
            "\n".join("\n".join(wrap(part, width)) if cell_len(part) > width else part for part in parts)
        )
