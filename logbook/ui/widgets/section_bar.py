"""The line at the top: the sections, the letter that leads to each, and where one is."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.strip import Strip
from textual.widget import Widget

from logbook.ui.actions import BY_ID, SECTIONS

TITLES: dict[str, str] = {section: BY_ID[f"go.{section}"].words for section in SECTIONS} | {"log": "Log"}


def places(sections: list[str], here: str, width: int) -> list[tuple[int, str]]:
    """First column and label of each section that fits whole [cells]; the current one stands in brackets.

    The gap is two cells where all sections then fit, else one; a terminal too narrow even for that shows the first ones.
    """
    labels = [f"[{TITLES[section]}]" if section == here else TITLES[section] for section in sections]
    gap = 2 if sum(map(cell_len, labels)) + 2 * len(labels) < width else 1
    placed, column = [], 1
    for label in labels:
        if column + cell_len(label) >= width:
            break
        placed.append((column, label))
        column += cell_len(label) + gap
    return placed


class SectionBar(Widget):
    """One line of section names. The current one stands in brackets, the letter to press is underlined."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"section-bar--here"}
    DEFAULT_CSS = """
    SectionBar { dock: top; height: 1; background: $panel; color: $foreground; }
    SectionBar > .section-bar--here { color: $accent; background: $panel; text-style: bold; }
    """

    def __init__(self, here: str, *, id: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__(id=id)
        self.here = here

    def _placed(self) -> list[tuple[int, str, str]]:
        """Column, label and section; the current one first where not all fit."""
        order = list(SECTIONS)
        placed = places(order, self.here, self.size.width)
        if len(placed) < len(order) and self.here in order:
            order = [self.here, *(section for section in order if section != self.here)]
            placed = places(order, self.here, self.size.width)
        return [(column, label, section) for (column, label), section in zip(placed, order, strict=False)]

    def render_line(self, y: int) -> Strip:
        """The whole line; there is only one."""
        width, base = self.size.width, self.rich_style
        if y > 0:
            return Strip.blank(width, base)
        here = self.get_component_rich_style("section-bar--here")
        segments: list[Segment] = []
        column = 0
        for start, label, section in self._placed():
            segments.append(Segment(" " * (start - column), base))
            key = BY_ID[f"go.{section}"].keys[0]
            segments += _with_key(label, key, here if section == self.here else base)
            column = start + cell_len(label)
        return Strip(segments).adjust_cell_length(width, base)

    async def on_click(self, event: events.Click) -> None:
        """Goes to the section under the mouse."""
        for start, label, section in self._placed():
            if start <= event.x < start + cell_len(label):
                await self.run_action(BY_ID[f"go.{section}"].call)


def _with_key(label: str, key: str, style: Style) -> list[Segment]:
    at = label.lower().find(key)
    return [
        Segment(label[:at], style),
        Segment(label[at], style + Style(underline=True)),
        Segment(label[at + 1 :], style),
    ]
