"""The scrolling part of a form: the field that has the keyboard stays in sight when the room for the fields changes."""

from __future__ import annotations

from textual import events
from textual.containers import VerticalScroll


class FieldScroll(VerticalScroll):
    """Fields one below the other. A longer explanation, a problem or a smaller terminal takes room from them."""

    def on_resize(self, _event: events.Resize) -> None:
        """Brings the field back that one is typing in."""
        focused = self.screen.focused
        if focused is not None and self in focused.ancestors:
            focused.scroll_visible(animate=False)
