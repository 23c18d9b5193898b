"""Help: which question a screen answers, what its figures mean, where they come from, and every key it has."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from logbook.ui.actions import actions_of, bindings_of, shown_key
from logbook.ui.help_text import blocks, page
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.plain import wrap

MOST_WIDE = 96
"""Longer lines are hard to read [cells]."""


class HelpScreen(BookScreen):
    """One page. Escape leads back."""

    NAME = "help"
    SECTION = ""
    HEADING = "Help"
    AUTO_FOCUS = "VerticalScroll"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("help")]

    def __init__(self, help_page: str, about: str, section: str) -> None:
        """Help about a screen.

        Args:
            help_page: base name of the page.
            about: what the table of actions calls the screen.
            section: the section one came from.
        """
        super().__init__()
        self._page, self._about = help_page, about
        self.SECTION = section  # type: ignore[misc] # the one screen that belongs to every section

    def body(self) -> Iterable[Widget]:
        """The page, scrollable."""
        with VerticalScroll():
            yield Static("", markup=False)

    def on_resize(self) -> None:
        """Breaks the lines for the width there is."""
        self._draw()

    def fill(self) -> None:
        """Draws the page."""
        self._draw()

    def _draw(self) -> None:
        width = min(MOST_WIDE, self.size.width - 4)
        if width > 10:
            self.query_one(Static).update(self._text(width))

    def _text(self, width: int) -> Text:
        accent, grey = self.app.theme_variables["accent"], self.app.theme_variables["grey"]
        text = Text(no_wrap=True)
        for block in blocks(page(self._page)):
            if block.what == "heading":
                text.append(f"\n {block.text}\n", f"bold {accent}")
                continue
            first, rest = ("  - ", "    ") if block.what == "point" else (" ", " ")
            lines = wrap(block.text, width - len(rest))
            text.append(first + f"\n{rest}".join(lines) + "\n")
        text.append("\n Keys\n", f"bold {accent}")
        for action in actions_of(self._about):
            key = shown_key(action, self._about) or "menu"
            lines = wrap(action.help, width - 22)
            text.append(f"  {key:<6}", accent).append(f"{action.words:<13}")
            text.append(("\n" + " " * 21).join(lines) + "\n", grey)
        text.append("\n Copying text: hold Shift while dragging with the mouse.\n", grey)
        return text
