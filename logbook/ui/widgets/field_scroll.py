"""The scrolling part of a form: the field that has the keyboard stays in sight when the room for the fields changes."""

from __future__ import annotations

from typing import Any

from textual.containers import VerticalScroll
from textual.geometry import Offset, Region, Size
from textual.screen import Screen
from textual.widget import Widget


class FieldScroll(VerticalScroll):
    """Fields one below the other. A longer explanation, a problem or a smaller terminal takes room from them."""

    _kept: tuple[Widget, Region, Size] | None = None
    """The field that was seen in sight, its place and the room then; a wheel may now turn away from it."""

    def on_mount(self) -> None:
        """Looks after each layout: when the keyboard moves, the sizes are still those of before."""
        self.screen.screen_layout_refresh_signal.subscribe(self, self._keep_in_sight)

    def scroll_to_region(self, region: Region, **how: Any) -> Offset:
        """At once: a scroll put off until after the next layout was reckoned from the one before it."""
        return super().scroll_to_region(region, **{**how, "animate": False, "immediate": True})

    def begin_at(self, heading: Widget, field: Widget) -> None:
        """Puts a heading on top, or as far up as leaves a field below it in sight."""
        self.screen.scroll_to_widget(heading, top=True)
        self.screen.scroll_to_widget(field)

    def _keep_in_sight(self, screen: Screen[Any]) -> None:
        """Brings the field back that one is typing in, where a layout took it out of sight."""
        focused = screen.focused
        if focused is None or self not in focused.ancestors:
            return
        now = (focused, focused.region.translate(self.scroll_offset - self.region.offset), self.size)
        if now == self._kept:
            return
        if self.region.contains_region(focused.region):
            self._kept = now
        else:  # looked at once more after the next layout: the library brings it there by itself, too
            screen.scroll_to_widget(focused)
