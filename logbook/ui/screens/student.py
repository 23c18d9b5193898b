"""A student's history: each landing against the reserve, own estimates and forecasts against what came, and progress."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Container, Vertical
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.reports.people_text import progress_words
from logbook.reports.student_plot import error_plot, margin_plot
from logbook.reports.student_words import below_words
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.answering import answer_flag
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.people_signing import SigningScreen
from logbook.ui.screens.student_columns import COLUMNS, said_of, sign_of
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.plot import PlotView
from logbook.ui.widgets.record_table import RecordTable

Row = dict[str, Any]
_READING = "Reading the flights …"
AID = "A record, not a judgement; the instructor and the flight manual decide."


class StudentScreen(BookScreen):
    """Flights in a table, newest first; g shows the plots, Enter opens the flight."""

    NAME = "student"
    SECTION = "people"
    HEADING = "Flights of a student"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "people.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("student")]

    def __init__(self, person: str) -> None:
        super().__init__()
        self.person = person
        self.flights: list[Row] = []
        """Newest first."""
        self.history: Row | None = None

    def heading(self) -> str:
        """Whose flights."""
        return f"Flights of {self.person}: energy, landing by landing"

    def body(self) -> Iterable[Widget]:
        """Progress in words; table and plots; the flight under the cursor in words."""
        yield PlainText(_READING, id="about")
        yield PlainText("", id="progress")
        with Container(id="sides"):
            yield RecordTable[Any](COLUMNS, sign=sign_of, empty="No flights yet.", id="flights")
            with Vertical(id="plots"):
                yield PlotView(replace(error_plot(()), empty=_READING), id="errors")
                yield PlotView(replace(margin_plot(()), empty=_READING), id="margins")
        yield PlainText("", id="said")
        yield PlainText(AID, id="aid")

    # -- what is shown -------------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """What was recorded first, the program's forecasts when they are worked out; both from threads."""
        person = self.person
        self.ask("flights", lambda desk: desk.people.student(person, forecasts=False), self._take_first)

    def _take_first(self, history: Row) -> None:
        if not any(flight["program_mid_pct"] is not None for flight in self.flights):
            self._show(history, "Program: working …")
        person = self.person
        self.ask("forecasts", lambda desk: desk.people.student(person, forecasts=True), self._take)

    def _take(self, history: Row) -> None:
        self._show(history, "Program: earlier flights only")

    def answer_failed(self, topic: str, error: LogbookError) -> None:
        """Says what is missing, and keeps what is there."""
        what = "no forecasts" if topic == "forecasts" else "not read"
        self.query_one("#about", PlainText).show(f"! {what}: {error}")

    def _show(self, history: Row, forecasts: str) -> None:
        flights = history["flights"]
        self.flights = list(reversed(flights))
        table = self.query_one(RecordTable)
        table.show(ListRows(self.flights), range(len(self.flights)))
        self.query_one("#errors", PlotView).show(error_plot(flights))
        self.query_one("#margins", PlotView).show(margin_plot(flights))
        self.query_one("#about", PlainText).show(about(history, forecasts))
        self.history = history
        self._show_progress()
        self._say()

    def _show_progress(self) -> None:
        if self.history is not None:
            words = progress(self.history, whole=self.has_class("-tall"), days=not self.has_class("-narrow"))
            self.query_one("#progress", PlainText).show(words)

    def on_resize(self, _: events.Resize) -> None:
        """Intervals are said where there is room."""
        self._show_progress()

    @property
    def _flight(self) -> Row | None:
        place = self.query_one(RecordTable).record
        return self.flights[place] if place is not None and place < len(self.flights) else None

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """Says in words what the table has no room for."""
        event.stop()
        self._say()

    def _say(self) -> None:
        flight = self._flight
        self.query_one("#said", PlainText).show("" if flight is None else said_of(flight, self.desk.measures))

    # -- keys ----------------------------------------------------------------------------------------------------------

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens the flight."""
        event.stop()
        self.action_open()

    def action_open(self) -> None:
        """Opens the flight one is on."""
        flight = self._flight
        if flight is not None:
            self.logbook.open_record("flight", flight["flight_id"])

    def action_answer(self) -> None:
        """Answers a flag of the flight one is on."""
        flight = self._flight
        if flight is not None:
            answer_flag(self, flight["flight_id"])

    def action_sign(self) -> None:
        """To the entries of this student that wait for a countersignature."""
        self.app.push_screen(SigningScreen(self.person))

    def action_plot(self) -> None:
        """The plots in the place of the table, and back; in a wide window, from one to the next."""
        views = list(self.query(PlotView))
        here = next((place for place, view in enumerate(views) if view.has_focus), -1)
        if here + 1 < len(views):
            self.add_class("-plots")
            for place, view in enumerate(views):
                view.set_class(place != here + 1, "-aside")
            views[here + 1].focus()
        else:
            self._to_table()

    def _to_table(self) -> None:
        self.remove_class("-plots")
        self.query_one(RecordTable).focus()

    def action_back(self) -> None:
        """From the plots to the table, from there to where one came from."""
        if self.has_class("-plots"):
            self._to_table()
        else:
            self.dismiss()


def about(history: Row, forecasts: str) -> str:
    """How many flights, what waits, and where the forecast column comes from."""
    flights = len(history["flights"])
    words = [f"{flights} flights" if flights != 1 else "1 flight"]
    if history["open_flags"]:
        words.append(f"{history['open_flags']} flags open (w)")
    if history["to_countersign"]:
        words.append(f"{len(history['to_countersign'])} to sign (k)")
    return " · ".join([*words, forecasts])


def progress(history: Row, *, whole: bool, days: bool = True) -> str:
    """Landings below the reserve; then first half against second half, or why nothing is said, with intervals where there is room."""
    said = (
        ("Own error", "estimate_error_pct"),
        ("Landing margin", "margin_pct"),
    )
    lines = [below_words(history, days=days)]
    for words, name in said:
        found = history["progress"][name]
        short = found["state"] != "too few" and not whole
        lines.append(f"{words}: {_short(found) if short else progress_words(found)}")
    return "\n".join(lines)


def _short(found: Row) -> str:
    first, second = found["first"], found["second"]
    counts = f"n {first['n']}, {second['n']}"
    return f"{first['mid']:.1f}, then {second['mid']:.1f} points ({counts}): {found['state']}"
