"""One flight: everything recorded, what follows from it, what was flagged, and every earlier version."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar

from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.answering import answer_flag
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.changing import ChangesRecords
from logbook.ui.screens.signing import ask_signature
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.sheet import Sheet

ADVICE = "A record and planning aid; the flight manual, the instruments, local rules and the pilot decide."


class FlightScreen(ChangesRecords, BookScreen):
    """Shows a flight; corrects it, strikes it out, answers its flags."""

    NAME = "flight"
    SECTION = "flights"
    HEADING = "Flight"
    AUTO_FOCUS = "VerticalScroll"
    CSS_PATH = STYLES / "flight.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("flight")]
    kind = "flight"

    def __init__(self, flight_id: str) -> None:
        super().__init__()
        self.record_id = flight_id
        self.shown: dict[str, Any] = {}
        self._forecasts: list[Any] | None = None
        self._signed: list[str] | None = None

    def heading(self) -> str:
        """Day and aeroplane."""
        return f"Flight {self.shown['date']} {self.shown['aircraft']}" if self.shown else self.HEADING

    def body(self) -> Iterable[Widget]:
        """Recorded on one side, what follows on the other; below each other in a narrow window."""
        with VerticalScroll():
            yield PlainText("", id="struck")
            yield PlainText("", id="glance")
            with Container(id="sides"):
                yield Sheet(id="recorded")
                yield Sheet(id="derived")
            yield PlainText(ADVICE, id="advice")

    def fill(self) -> None:
        """Reads the flight; the forecast comes later, from a thread."""
        self.shown = self.desk.show("flight", self.record_id)
        self._forecasts = self._signed = None
        struck = "Struck out: it counts nowhere. Restore it with d." if self.shown["struck"] else ""
        self.query_one("#struck", PlainText).show(struck)
        self.query_one("#glance", PlainText).show(self.desk.glance_of(self.shown))
        self.call_later(self._draw)
        aircraft = self.shown["aircraft"]
        self.ask("forecast", lambda desk: desk.forecasts(aircraft)["rows"], self._show_forecast)
        self.ask("signed", lambda desk: desk.signatures_of(self.record_id), self._show_signed)

    async def _draw(self) -> None:
        desk, shown = self.desk, self.shown
        await self.query_one("#recorded", Sheet).show(desk.recorded_of(shown))
        await self.query_one("#derived", Sheet).show(desk.derived_of(shown, self._forecasts, self._signed))

    def _show_forecast(self, rows: list[Any]) -> None:
        self._forecasts = rows
        self.call_later(self._draw)

    def _show_signed(self, words: list[str]) -> None:
        self._signed = words
        self.call_later(self._draw)

    def answer_failed(self, topic: str, error: LogbookError) -> None:
        """What cannot be worked out is said in its place, not in a box."""
        if topic == "signed":
            self._signed = [f"cannot be looked at: {error.problem}"]
        else:
            self._forecasts = []
            self.notify(error.problem, markup=False)
        self.call_later(self._draw)

    def action_answer(self) -> None:
        """Answers a flag."""
        answer_flag(self, self.record_id)

    def action_sign(self) -> None:
        """Countersigns the flight."""
        ask_signature(self, self.record_id)

    def action_versions(self) -> None:
        """To the earlier versions, at the end of what follows from the flight."""
        self.query_one(VerticalScroll).scroll_end(animate=False)

    def action_figures(self) -> None:
        """To what follows from the record."""
        self.query_one(VerticalScroll).scroll_to_widget(self.query_one("#derived"), animate=False, top=True)
