"""Today, for now."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from logbook.ui.actions import bindings_of
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.plain import PlainText


class TodayScreen(BookScreen):
    """Who is out."""

    NAME = "today"
    SECTION = "today"
    HEADING = "Today"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("today")]

    def body(self) -> Iterable[Widget]:
        """Words."""
        yield PlainText("", id="words")

    def fill(self) -> None:
        """Counts."""
        self.query_one(PlainText).show(f"{self.desk.today().flights} flights")
