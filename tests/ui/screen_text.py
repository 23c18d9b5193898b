"""What is on the screen, as plain text."""

from __future__ import annotations

from typing import Any

from textual.app import App


def screen_text(app: App[Any]) -> str:
    """All lines of the current screen without colours, trailing blanks removed.

    It reads the library's private compositor, one of the reasons why Textual is pinned exactly.
    """
    strips = app.screen._compositor.render_strips()  # no public call gives text
    return "\n".join(strip.text.rstrip() for strip in strips) + "\n"
