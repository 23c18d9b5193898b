"""One defect: what is wrong, whether it grounds, and how it went on: deferred, or closed by an entry."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget

from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.record import RecordScreen
from logbook.ui.screens.upkeep_adding import ask_deferral, ask_work
from logbook.ui.widgets.facts import Facts
from logbook.ui.widgets.plain import PlainText

GROUNDS = "‼ INSPECTION BEFORE NEXT USE: it may not fly until a maintenance entry closes this (F4)."


class DefectScreen(RecordScreen):
    """Shows a defect; F3 defers it, F4 closes it by an entry."""

    NAME = "defect"
    SECTION = "maintenance"
    HEADING = "Defect"
    CSS_PATH = STYLES / "record.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("defect")]

    def __init__(self, defect_id: str) -> None:
        """A defect.

        Args:
            defect_id: its id.
        """
        super().__init__("defect", defect_id, "maintenance")

    def body(self) -> Iterable[Widget]:
        """What stands, in a sentence; facts and versions."""
        with VerticalScroll():
            yield PlainText("", id="struck")
            yield PlainText("", id="stands")
            yield Facts(id="facts")
            yield PlainText("", classes="part", id="versions-title")
            yield Facts(id="versions")

    def fill(self) -> None:
        """Reads the defect."""
        super().fill()
        self.query_one("#stands", PlainText).show(self._stands())

    def _stands(self) -> str:
        shown = self.shown
        if shown["state"] == "closed":
            return f"Closed by maintenance entry {shown['closed_by_entry'] or '(none named)'}."
        if shown["state"] == "deferred":
            past = (shown["deferred_until"] or "9") < self.desk.clock()[:10]
            words = f"Deferred until {shown['deferred_until'] or 'no day named'}"
            return f"‼ {words}: NO LONGER VALID. F4 closes it." if past else f"{words}. F4 closes it."
        return GROUNDS if shown["needs_inspection"] else "Open. F3 defers it, F4 closes it by an entry."

    @property
    def _over(self) -> bool:
        """Whether nothing can be done with it any more; says so."""
        over = self.shown["state"] == "closed" or bool(self.shown["struck"])
        if over:
            self.notify("It is closed or struck out already.", markup=False)
        return over

    def action_defer(self) -> None:
        """Puts it off: until when, on what basis, by whom."""
        if not self._over:
            ask_deferral(self, self.shown)

    def action_close_defect(self) -> None:
        """Closes it by a maintenance entry."""
        if not self._over:
            of = self.shown["serial_no"] or self.shown["aircraft"] or ""
            ask_work(self, of, self.record_id)
