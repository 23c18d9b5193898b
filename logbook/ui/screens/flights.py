"""Flights: the book, any number of rows, narrowed and put in order; beside it, where there is room, the one under the cursor."""

from __future__ import annotations

from array import array
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual import events
from textual.binding import BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.timer import Timer
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.measures import USUAL
from logbook.services.desk import Desk
from logbook.services.flight_rows import FlightFilter
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.flight_columns import columns_of, sign_of
from logbook.ui.screens.form import FormScreen
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable
from logbook.ui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from logbook.services.flight_rows import FlightLine, Totals

FIRST_PAGE: Final = 128
"""Rows read at once; the others come from a thread."""
SETTLE_S: Final = 0.12
"""The detail waits until the cursor rests so long [s]."""
ORDERS: Final = {
    "date": "day",
    "aircraft": "aeroplane",
    "block_min": "block time",
    "energy_kwh": "energy",
    "landing_soc_pct": "charge left after landing",
    "minutes_left": "minutes left after landing",
}


class FlightsScreen(BookScreen):
    """The list, what it is narrowed to, its totals, and the flight under the cursor."""

    NAME = "flights"
    SECTION = "flights"
    HEADING = "Flights"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "flights.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("flights")]

    def __init__(self) -> None:
        super().__init__()
        self.wanted = FlightFilter()
        self.order, self.descending = "date", True
        self._totals: Totals | None = None
        self._settling: Timer | None = None

    def body(self) -> Iterable[Widget]:
        """Filter, table and detail, totals."""
        yield PlainText("", id="narrowed")
        with Horizontal(id="sides"):
            yield RecordTable[Any](columns_of(USUAL, wide=False), sign=sign_of, id="flights")
            with VerticalScroll(id="beside", can_focus=False):
                yield Sheet()
        yield PlainText("", id="totals")

    # -- what is shown ----------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """The first page at once, the rest and the totals from threads."""
        rows, wanted = self.desk.flights(), self.wanted
        table = self._table
        self._set_columns()
        said = self.desk.words_of_filter(wanted)
        table.sorted_by = (self.order, "▼" if self.descending else "▲")
        table.empty = self._empty(said)
        at_once = rows.at_once(wanted, self.order)
        first = array("q")
        if at_once:
            first = rows.ids(wanted._replace(limit=FIRST_PAGE), self.order, descending=self.descending)
        complete = at_once and len(first) < FIRST_PAGE
        if complete or table.row_count <= (FIRST_PAGE if at_once else 0):
            table.show(rows, first, complete=complete)
        else:
            table.reload()  # the order that is there stays until the new one comes
        self._totals = None
        self._say(said)
        if not complete:
            self.ask("ids", self._all_ids(), table.set_ids)
        else:
            self.stop_asking("ids")
        self.ask("totals", lambda desk: desk.flights().totals(wanted), self._show_totals)

    def _set_columns(self) -> None:
        self._table.set_columns(columns_of(self.desk.measures, self.desk.shown_zones(), wide=self.roomy))

    def _all_ids(self) -> Any:
        wanted, order, descending = self.wanted, self.order, self.descending

        def ids(desk: Desk) -> array[int]:
            return desk.flights().ids(wanted, order, descending=descending)

        return ids

    def _empty(self, said: str) -> str:
        if said:
            return "No flight is like this. Esc shows all, i asks for something else."
        return "The book holds no flight yet. Log the first one with l."

    def _show_totals(self, totals: Totals) -> None:
        self._totals = totals
        self._say(self.desk.words_of_filter(self.wanted))

    def _say(self, said: str) -> None:
        narrowed = f"Narrowed to {said} (Esc shows all)" if said else "All flights (i finds some)"
        self.query_one("#narrowed", PlainText).show(f"{narrowed} · by {ORDERS[self.order]}")
        words = "Totals: working …" if self._totals is None else self.desk.words_of_totals(self._totals)
        self.query_one("#totals", PlainText).show(words)

    @property
    def _table(self) -> RecordTable[FlightLine]:
        return self.query_one("#flights", RecordTable)

    # -- the flight beside the list ------------------------------------------------------------------------------------

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """Shows the flight beside the list once the cursor rests."""
        event.stop()
        self._settle()

    def _settle(self) -> None:
        if self._settling is not None:
            self._settling.stop()
        if self.roomy:
            self._settling = self.set_timer(SETTLE_S, self._show_beside)

    async def _show_beside(self) -> None:
        if not self.is_current:
            return
        line = self._line
        sheet = self.query_one(Sheet)
        if line is None:
            await sheet.show([])
            return
        try:
            shown = self.desk.show("flight", line.flight_id)
        except LogbookError:
            await sheet.show([])  # struck by somebody else just now; the list says so itself
            return
        await sheet.show(self.desk.beside_of(shown))
        self.query_one("#beside").scroll_home(animate=False)

    def on_resize(self, _: events.Resize) -> None:
        """The detail, and wider columns, are there where there is room."""
        self._set_columns()
        self._settle()

    @property
    def _line(self) -> FlightLine | None:
        number = self._table.record
        return None if number is None else self.desk.flights().rows([number]).get(number)

    # -- keys ----------------------------------------------------------------------------------------------------------

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens the flight."""
        event.stop()
        self.action_open()

    def action_open(self) -> None:
        """Opens the flight; one that is out is gone on with."""
        line = self._line
        if line is not None:
            self.logbook.open_record("flight", line.flight_id)

    def action_add(self) -> None:
        """Logs a flight."""
        self.logbook.action_go("log")

    def action_find(self) -> None:
        """Narrows the list."""
        wanted = self.wanted

        def take(values: dict[str, Any]) -> FlightFilter:
            return self.desk.narrowed(wanted, values)

        intro = "What is filled in narrows the list; - leaves a condition out again. F2 shows the flights."
        self.app.push_screen(
            FormScreen(self.desk.find_form(wanted), take, section="flights", intro=intro, page="find"),
            self._narrow,
        )

    def _narrow(self, wanted: FlightFilter | None) -> None:
        if wanted is not None and wanted != self.wanted:
            self.wanted = wanted
            self._anew()

    def _anew(self) -> None:
        """Another list: from its first row."""
        table = self._table
        table.show(self.desk.flights(), array("q"))
        table.cursor = 0
        self.refill()

    def show_flagged(self, flag: str) -> None:
        """Narrows the list to flights with a flag."""
        self._narrow(FlightFilter(flag=flag))

    def action_back(self) -> None:
        """Shows all flights again; where all are shown, goes to Today."""
        if self.wanted != FlightFilter():
            self._narrow(FlightFilter())
        else:
            self.logbook.action_go("today")

    def action_sort(self) -> None:
        """Another order."""
        picks = [
            Pick(f"{key} {way}", f"{words}, {said}")
            for key, words in ORDERS.items()
            for way, said in _WAYS[key]
        ]

        def take(picked: str | None) -> None:
            if picked is not None:
                key, way = picked.split()
                self._sort(key, descending=way == "down")

        here = f"{self.order} {'down' if self.descending else 'up'}"
        self.app.push_screen(PickBox("In which order?", picks, value=here), take)

    def on_record_table_header_clicked(self, event: RecordTable.HeaderClicked) -> None:
        """A click sorts by a column; a second one turns the order around."""
        event.stop()
        if event.key in ORDERS:
            self._sort(
                event.key, descending=not self.descending if event.key == self.order else event.key == "date"
            )

    def _sort(self, key: str, *, descending: bool) -> None:
        self.order, self.descending = key, descending
        self._anew()

    def on_record_table_trouble(self, event: RecordTable.Trouble) -> None:
        """Rows that cannot be read."""
        event.stop()
        self.trouble(event.error, "The flights could not be read")


_NUMBERS: Final = (("down", "most first"), ("up", "least first"))
_WAYS: Final = {
    "date": (("down", "newest first"), ("up", "oldest first")),
    "aircraft": (("up", "A to Z"), ("down", "Z to A")),
    "block_min": _NUMBERS,
    "energy_kwh": _NUMBERS,
    "landing_soc_pct": (("up", "least first"), ("down", "most first")),
    "minutes_left": (("up", "least first"), ("down", "most first")),
}
