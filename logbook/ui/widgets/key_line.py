"""The line at the bottom: what the keys do here. It never promises a key that is cut off at the edge."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from rich.segment import Segment
from textual import events
from textual.strip import Strip
from textual.widget import Widget

from logbook.ui.actions import Action, footer_of


def shown_keys(keys: list[tuple[str, Action]], width: int) -> list[tuple[int, str, Action]]:
    """The keys that fit whole, each with its first column; the last one (the menu) always stays.

    Args:
        keys: key and action, most important first, the menu last.
        width: room [cells].
    """
    kept = list(keys)
    while len(kept) > 1 and _width(kept) >= width:
        del kept[-2]
    places, column = [], 1
    for key, action in kept:
        places.append((column, key, action))
        column += _width_of(key, action) + 2
    return places


def _width_of(key: str, action: Action) -> int:
    return cell_len(key) + 1 + cell_len(action.words)


def _width(keys: list[tuple[str, Action]]) -> int:
    return 1 + sum(_width_of(key, action) + 2 for key, action in keys)


class KeyLine(Widget):
    """One line of keys, made from the table of actions; a click does the same as the key."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"key-line--key"}
    DEFAULT_CSS = """
    KeyLine { dock: bottom; height: 1; background: $panel; color: $foreground; }
    KeyLine > .key-line--key { color: $accent; text-style: bold; background: $panel; }
    """

    def __init__(self, screen: str, *, id: str | None = None) -> None:  # noqa: A002 - the library's word
        super().__init__(id=id)
        self._keys = footer_of(screen)

    def render_line(self, y: int) -> Strip:
        """The whole line; there is only one."""
        width, base = self.size.width, self.rich_style
        if y > 0:
            return Strip.blank(width, base)
        key_style = self.get_component_rich_style("key-line--key")
        segments, column = [], 0
        for start, key, action in shown_keys(self._keys, width):
            segments.append(Segment(" " * (start - column), base))
            segments += [Segment(key, key_style), Segment(f" {action.words}", base)]
            column = start + _width_of(key, action)
        return Strip(segments).adjust_cell_length(width, base)

    async def on_click(self, event: events.Click) -> None:
        """Does what the key under the mouse does."""
        for start, key, action in shown_keys(self._keys, self.size.width):
            if start <= event.x < start + _width_of(key, action):
                await self.screen.run_action(action.call)
