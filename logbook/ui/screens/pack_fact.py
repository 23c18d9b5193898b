"""One fact of a pack as a line: a label in grey with words beside it."""

from __future__ import annotations

from typing import Any, Final

from logbook.ui.widgets.line_list import Line, Span

LABEL: Final = 20
"""Width of the labels [cells]."""


def fact(label: str, words: str, tone: str = "", target: Any = None) -> Line:
    """A label in grey with words beside it."""
    return Line((Span(f"{label:<{LABEL}}", "grey"),), words, tone, target)
