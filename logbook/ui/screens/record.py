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
from logbook.ui.screens.answering import KINDS, answer_flag
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.changing import ChangesRecords
from logbook.ui.widgets.facts import Fact, Facts
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.sheet import BlockView


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
            yield BlockView(id="flags")
            yield Facts(id="facts")
            yield PlainText("", classes="part", id="versions-title")
            yield Facts(id="versions")

    def fill(self) -> None:
        """Reads the record."""
        self.shown = self.desk.show(self.kind, self.record_id)
        struck = "Struck out: it counts nowhere. Restore it with d." if self.shown.get("struck") else ""
        self.query_one("#struck", PlainText).show(struck)
        self.show_flags()
        lines = self.desk.lines_of(self.kind, self.shown)
        self.query_one("#facts", Facts).show([Fact(*line) for line in lines])
        self.show_versions()

    def show_flags(self) -> None:
        """What rules found in it, with what to do and the answers; nothing for a kind no rule looks at."""
        for view in self.query("#flags").results(BlockView):
            view.display = "flags" in self.shown
            if not view.display:
                continue
            # Once the width is known: sentences that are broken anew afterwards would lose their last line.
            self.call_after_refresh(view.show, self.desk.flags_of(self.shown))

    def action_answer(self) -> None:
        """Answers a flag."""
        if self.kind in KINDS:
            answer_flag(self, self.record_id, kind=self.kind)
        else:
            self.notify("No rule looks at such a record: there is nothing to answer.", markup=False)

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
