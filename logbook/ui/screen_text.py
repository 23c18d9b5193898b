"""What is on the screen, as plain text: for tests, and for the report a person may want to send."""

from __future__ import annotations

from typing import Any

from textual.app import App


def screen_text(app: App[Any]) -> str:
    """All lines of the current screen without colours, trailing blanks removed.

    It reads the library's private compositor, like the crash guard one of the two reasons why Textual is pinned exactly.
    """
    strips = app.screen._compositor.render_strips()  # noqa: SLF001 - see above; no public call gives text
    return "\n".join(strip.text.rstrip() for strip in strips) + "\n"
