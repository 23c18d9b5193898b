"""One charging session: what was flagged, what was read on each pack, the meter, and its earlier versions."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar

from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget

from logbook.ui.actions import bindings_of
from logbook.ui.screens.charge_form import ChargeFormScreen
from logbook.ui.screens.record import RecordScreen
from logbook.ui.widgets.facts import Fact, Facts
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.sheet import BlockView


class ChargeScreen(RecordScreen):
    """Shows a session; `e` corrects it on the form it was entered on, `w` answers a flag."""

    NAME = "charge"
    HEADING = "Charge"
    HELP_PAGE = "charging"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("charge")]

    def __init__(self, charge_id: str) -> None:
        """A session, by its id."""
        super().__init__("charge", charge_id, "charging")

    def heading(self) -> str:
        """When, and which packs."""
        packs = self.shown.get("packs", [])
        if not packs:
            return self.HEADING
        serials = ", ".join(row["serial_no"] for row in packs)
        return f"Charge of {serials}, {packs[0]['started'][:10]}"

    def body(self) -> Iterable[Widget]:
        """Flags, facts and versions, scrollable."""
        with VerticalScroll():
            yield PlainText("", id="struck")
            yield BlockView(id="flags")
            yield Facts(id="facts")
            yield PlainText("", classes="part", id="versions-title")
            yield Facts(id="versions")

    def fill(self) -> None:
        """Reads the session."""
        self.shown = self.desk.show("charge", self.record_id)
        packs: list[dict[str, Any]] = self.shown["packs"]
        self.shown["struck"] = int(all(row["struck"] for row in packs))
        struck = "Struck out: it counts nowhere. Restore it with d." if self.shown["struck"] else ""
        self.query_one("#struck", PlainText).show(struck)
        self.show_flags()
        facts = [Fact(*line) for line in self.desk.charging.lines_of(packs)]
        self.query_one("#facts", Facts).show(facts)
        self.show_versions()

    def action_edit(self) -> None:
        """Corrects the session; the earlier version stays."""
        form = ChargeFormScreen(self.desk.charging.go_on_with(self.record_id))
        self.app.push_screen(form, lambda flags: self._said("Corrected." if flags is not None else ""))
