"""One record of any kind that has no screen of its own: what it says, and its earlier versions."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar

from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.changing import ChangesRecords
from logbook.ui.widgets.facts import Fact, Facts
from logbook.ui.widgets.plain import PlainText


class RecordScreen(ChangesRecords, BookScreen):
    """Shows what was recorded, with the words and units of its form."""

    NAME = "record"
    SECTION = "setup"
    HEADING = "Record"
    AUTO_FOCUS = "VerticalScroll"
    CSS_PATH = STYLES / "record.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("record")]

    def __init__(self, kind: str, record_id: str, section: str = "setup") -> None:
        """A record.

        Args:
            kind: the word for it, as in commands.
            record_id: its id, or the name people know it by.
            section: the section one came from.
        """
        super().__init__()
        self.SECTION = section  # type: ignore[misc] # a record belongs to the section it is opened from
        self.kind, self.record_id = kind, record_id
        self.shown: dict[str, Any] = {}

    def heading(self) -> str:
        """What it is."""
        return self.desk.title_of(self.kind, self.shown) if self.shown else self.HEADING

    def body(self) -> Iterable[Widget]:
        """Facts and versions, scrollable."""
        with VerticalScroll():
            yield PlainText("", id="struck")
            yield Facts(id="facts")
            yield PlainText("", classes="part", id="versions-title")
            yield Facts(id="versions")

    def fill(self) -> None:
        """Reads the record."""
        self.shown = self.desk.show(self.kind, self.record_id)
        struck = "Struck out: it counts nowhere. Restore it with d." if self.shown.get("struck") else ""
        self.query_one("#struck", PlainText).show(struck)
        lines = self.desk.lines_of(self.kind, self.shown)
        self.query_one("#facts", Facts).show([Fact(*line) for line in lines])
        self.show_versions()

    def show_versions(self) -> None:
        """The earlier versions, newest first."""
        found = self.desk.changes_of(self.shown)
        title = "Earlier versions" if found else "Never changed since it was entered."
        self.query_one("#versions-title", PlainText).show(title)
        measures = self.desk.measures
        self.query_one("#versions", Facts).show(
            [
                Fact(change.when, change.who or "nobody named", "", change.words(self.kind, measures))
                for change in found
            ]
        )

    def action_versions(self) -> None:
        """To the earlier versions."""
        self.query_one(VerticalScroll).scroll_to_widget(self.query_one("#versions-title"), top=True)

    def changed(self) -> None:
        """Shows the record as it is now."""
        try:
            self.fill()
            self.paint_head()
        except LogbookError as error:
            self.trouble(error)
