"""The scrolling part of a form: the field that has the keyboard stays in sight when the room for the fields changes."""

from __future__ import annotations

from typing import Any

from textual.containers import VerticalScroll
from textual.geometry import Size
from textual.screen import Screen
from textual.widget import Widget


class FieldScroll(VerticalScroll):
    """Fields one below the other. A longer explanation, a problem or a smaller terminal takes room from them."""

    _kept: tuple[Widget, Size, Size] | None = None
    """The field that was seen in sight, and the sizes then; a wheel may now turn away from it."""

    def on_mount(self) -> None:
        """Looks after each layout: when the keyboard moves, the sizes are still those of before."""
        self.screen.screen_layout_refresh_signal.subscribe(self, self._keep_in_sight)

    def _keep_in_sight(self, screen: Screen[Any]) -> None:
        """Brings the field back that one is typing in, where a layout took it out of sight."""
        focused = screen.focused
        if focused is None or self not in focused.ancestors:
            return
        now = (focused, self.size, self.virtual_size)
        if now == self._kept:
            return
        if self.region.contains_region(focused.region):
            self._kept = now
        else:  # looked at once more after the next layout: the library brings it there by itself, too
            screen.scroll_to_widget(focused, animate=False, immediate=True)
