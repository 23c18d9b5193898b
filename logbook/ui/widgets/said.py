"""Labels and sentences: the label in grey, the words beside it, broken under each other."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NamedTuple

from rich.text import Text
from textual.widgets import Static

from logbook.reports.visible import visible
from logbook.ui.widgets.plain import fit, wrap

INKS: Final = {"success": "text-success", "warning": "text-warning", "error": "text-error", "grey": "grey"}
LEAST: Final = 10


class Said(NamedTuple):
    """One label with its words. The tone repeats what the words say."""

    label: str
    words: str
    tone: str = ""


class SaidLines(Static):
    """A block of such lines."""

    DEFAULT_CSS = """
    SaidLines { height: auto; padding: 0 1; }
    """

    def __init__(self, *, label_width: int = 11, id: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__("", markup=False, id=id)
        self._label_width = label_width
        self._lines: list[Said] = []

    def on_mount(self) -> None:
        """Draws with the colours of the look in use."""
        self.app.theme_changed_signal.subscribe(self, lambda _: self._draw())

    def show(self, lines: Iterable[Said]) -> None:
        """Replaces the lines."""
        self._lines = list(lines)
        self._draw()

    def on_resize(self) -> None:
        """Breaks the words for the new width."""
        self._draw()

    @property
    def plain_text(self) -> str:
        """All of it as text."""
        return "\n".join(f"{line.label}: {visible(line.words)}" for line in self._lines)

    def _draw(self) -> None:
        inks, grey = self.app.theme_variables, self.app.theme_variables["grey"]
        room = max(LEAST, self.content_size.width - self._label_width - 1)
        text = Text(no_wrap=True, overflow="ellipsis")
        for number, line in enumerate(self._lines):
            text.append("\n" if number else "")
            text.append(f"{fit(line.label, self._label_width)} ", grey)
            indent = "\n" + " " * (self._label_width + 1)
            text.append(indent.join(wrap(line.words, room)), inks[INKS[line.tone]] if line.tone else "")
        self.update(text)
