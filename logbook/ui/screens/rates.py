"""Rates: what this aeroplane really uses, beside the handbook, and how good the forecasts made of it were."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any, ClassVar

from textual.binding import BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.reports.rates_plot import forecast_plot
from logbook.services.rates_view import RatesView, SuspectRow
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens import rates_lines
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.plan_lines import AID
from logbook.ui.widgets.choice_field import Choice, ChoiceField
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.estimate_bar import DRAWN, TYPED, EstimateBar, EstimateLine
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.plot import PlotView
from logbook.ui.widgets.record_table import RecordTable

_WORKING = "Working out what the record says …"

_SUSPECTS: tuple[Column[SuspectRow], ...] = (
    Column("date", "flight of", lambda s: s.date, 10),
    Column("what", "entry", lambda s: f"{s.what} {s.serial_no}".strip(), 14, most=26),
    Column("recorded", "says", lambda s: f"{s.recorded:g}", 6, right=True),
    Column("fits", "would fit", lambda s: f"{s.fits:.0f}", 9, right=True),
    Column("why", "why", lambda s: s.why, 16, most=60, priority=1),
)


class RatesScreen(BookScreen):
    """Figures of one aeroplane; `u` shows the flights behind them, Enter opens a flight whose entry does not fit."""

    NAME = "rates"
    SECTION = "rates"
    HEADING = "Rates: what it really uses"
    AUTO_FOCUS = "#sides"
    CSS_PATH = STYLES / "rates.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("rates")]

    def __init__(self) -> None:
        super().__init__()
        self.shown: RatesView | None = None

    def body(self) -> Iterable[Widget]:
        """The aeroplane; rates on one side, how good the forecasts were on the other."""
        yield ChoiceField("Aeroplane", [], label_width=10, id="aircraft")
        yield PlainText(_WORKING, id="state")
        with VerticalScroll(id="sides", can_focus=True):
            yield Vertical(id="rates")
            with Container(id="quality"):
                yield PlainText("How good were the forecasts?", classes="part")
                yield PlainText("", id="table")
                yield PlainText("", id="tenths")
                yield PlainText("", classes="words", id="tenths-words")
                yield PlotView(replace(forecast_plot(()), empty=_WORKING), id="plot")
                yield PlainText("", classes="part", id="suspects-title")
                yield RecordTable(
                    _SUSPECTS, sign=lambda _: ("?", "warning"), empty="No entry stands out.", id="suspects"
                )
        yield PlainText(AID, id="aid")

    # -- asking -------------------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Offers the aeroplanes and asks about the one chosen."""
        fleet = self.desk.planning.fleet()
        aircraft = self.query_one("#aircraft", ChoiceField)
        if not fleet:
            self._say_why("No aeroplane with packs is in the book yet: add one in Setup.")
            return
        with self.prevent(ChoiceField.Changed):
            aircraft.show([Choice(name, name) for name in fleet])
            aircraft.value = aircraft.value or fleet[0]
        self._ask(aircraft.value)

    def _ask(self, aircraft: str) -> None:
        self._say(_WORKING)
        self.ask("rates", lambda desk: desk.rates_view(aircraft), self.show_view)

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """Says why there are no figures."""
        self._say_why(str(error))

    def _say_why(self, words: str) -> None:
        self._say(words)
        if self.shown is None:
            self.query_one("#plot", PlotView).show(replace(forecast_plot(()), empty="No figures."))

    def _say(self, words: str) -> None:
        state = self.query_one("#state", PlainText)
        state.show(words)
        state.display = bool(words)

    def show_view(self, view: RatesView) -> None:
        """Shows the answer; what is unchanged stays as it is, and so does the place one is at."""
        unchanged = self.shown == view
        self.shown = view
        self._say("")
        if unchanged:
            return
        self.call_later(self._show_rates, view)
        self.query_one("#table", PlainText).show(rates_lines.quality_table(view))
        self._show_tenths(view)
        self.query_one("#plot", PlotView).show(forecast_plot(view.rows))
        count = len(view.suspects)
        title = (
            f"Entries that do not fit the rest of the record: {count}"
            if count
            else "Every entry fits the rest of the record."
        )
        self.query_one("#suspects-title", PlainText).show(title)
        table = self.query_one(RecordTable)
        table.display = bool(count)
        table.styles.height = min(count, 12) + 1
        table.show(ListRows(view.suspects), range(count))

    def _show_tenths(self, view: RatesView) -> None:
        """Forecasts with and without the stated energy by tenths; nothing where none is stated."""
        table, words = self.query_one("#tenths", PlainText), self.query_one("#tenths-words", PlainText)
        table.display = words.display = view.tenths is not None
        if view.tenths is not None:
            table.show(rates_lines.tenths_table(view.tenths))
            words.show(view.tenths["words"])

    async def _show_rates(self, view: RatesView) -> None:
        rates = self.query_one("#rates", Vertical)
        async with rates.batch():
            await rates.remove_children()
            await rates.mount_all(
                list(_sections(view, (TYPED if self.logbook.ascii_only else DRAWN).handbook))
            )

    def on_choice_field_changed(self, event: ChoiceField.Changed) -> None:
        """Another aeroplane."""
        event.stop()
        if event.value:
            self._ask(event.value)

    # -- keys -----------------------------------------------------------------------------------------------------------

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens the flight of a suspected entry."""
        event.stop()
        if self.shown is not None:
            self.logbook.open_record("flight", self.shown.suspects[event.record].flight_id)

    def action_open(self) -> None:
        """Goes to the entries that do not fit, or opens the flight of the one one is on."""
        table = self.query_one(RecordTable)
        if table.has_focus:
            table.action_select()
        elif table.display:
            table.focus()

    def action_plot(self) -> None:
        """To the plot; left and right read it."""
        self.query_one("#plot", PlotView).focus()

    def action_figures(self) -> None:
        """The flights behind the figures."""
        if self.shown is not None:
            from logbook.ui.screens.rate_flights import RateFlightsScreen

            self.app.push_screen(RateFlightsScreen(self.shown))


def _sections(view: RatesView, beside: str) -> Iterator[Widget]:
    """Rates, effects, people, scatter, and what to make of it; `beside` is the sign of the handbook in the bars."""
    for words in view.words:
        yield PlainText(words, classes="words")
    flights = view.rates["flights"]
    yield PlainText(f"Energy: record ({flights} flights) beside handbook {beside}", classes="part")
    yield from _bars(rates_lines.rate_lines(view.rates))
    yield PlainText(f"What changes the energy of a flight ({beside} no effect)", classes="part")
    yield from _bars(rates_lines.effect_lines(view.rates, view.measures))
    if view.rates["people"]:
        yield PlainText(f"Who flies, beside the usual pilot ({beside})", classes="part")
        yield from _bars(rates_lines.people_lines(view.rates))
    yield PlainText(rates_lines.scatter(view.rates), classes="words")
    yield PlainText("Low to high holds the truth nine times in ten.", classes="words grey")


def _bars(lines: Iterable[EstimateLine]) -> list[Any]:
    return [EstimateBar(line, label_width=16, figures_width=38) for line in lines]
