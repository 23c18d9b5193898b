"""The second line of a screen: what it is, which book is open, who is at the keys, and when it was painted."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from logbook.reports.visible import visible
from logbook.ui.widgets.plain import fit


class HeadLine(Widget):
    """One line; the time is that of the last look at the book, since a ticking clock writes to slow terminals for nothing."""

    DEFAULT_CSS = """
    HeadLine { height: 1; background: $background; color: $foreground; }
    HeadLine > .head-line--grey { color: $grey; }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {"head-line--grey"}

    def __init__(self, heading: str, *, id: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__(id=id)
        self.heading = heading
        self._right: list[str] = []

    def show(self, heading: str, *right: str) -> None:
        """Shows a heading on the left and some words on the right; where room is short the first of them leave whole."""
        self.heading = heading
        self._right = [word for word in right if word]
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """The whole line; there is only one. The heading gives way last."""
        width, base = self.size.width, self.rich_style
        if y > 0:
            return Strip.blank(width, base)
        safe = visible(self.heading)
        left = fit(safe, min(cell_len(safe), max(0, width - 2)))
        room = max(0, width - cell_len(left) - 4)
        words = list(self._right)
        while len(words) > 1 and cell_len(visible(" · ".join(words))) > room:
            del words[0]
        said = visible(" · ".join(words))
        while " " in said and cell_len(said) > room:
            said = said.partition(" ")[2]  # of a moment the clock stays, and half a date is never shown
        if not any(letter.isdigit() for letter in said):
            said = ""  # "UTC" without its clock says nothing
        right = fit(said, min(room, cell_len(said)))
        gap = max(0, width - 2 - cell_len(left) - cell_len(right))
        grey = self.get_component_rich_style("head-line--grey")
        return Strip(
            [
                Segment(" ", base),
                Segment(left, base + Style(bold=True)),
                Segment(" " * gap, base),
                Segment(right, grey),
            ]
        ).adjust_cell_length(width, base)
