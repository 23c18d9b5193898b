"""The flights behind the rates: what was forecast for each, from earlier records only, and what came."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from logbook.services.rates_view import ForecastRow, RatesView
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable
from logbook.units import down

_COLUMNS: tuple[Column[ForecastRow], ...] = (
    Column("date", "Day", lambda r: r.date, 10),
    Column("kind", "Kind", lambda r: r.kind, 8, most=13, priority=2),
    Column("person", "Flown by", lambda r: r.person, 8, most=20, priority=3),
    Column("pack", "Pack", lambda r: r.serial_no, 8, most=14),
    Column("forecast", "Forecast %", lambda r: f"{r.mid:.0f} ({down(r.low)}-{r.high:.0f})", 11, right=True),
    Column("actual", "Came", lambda r: f"{r.actual:g}", 4, right=True),
    Column("error", "Off", lambda r: f"{r.error:+.1f}", 5, right=True),
    Column("handbook", "Handbook", lambda r: f"{r.actual - r.handbook:+.1f}", 8, right=True, priority=1),
    Column("suspect", "Entry", lambda r: r.suspect, 12, most=40, priority=4),
)


def _sign(row: ForecastRow) -> tuple[str, str]:
    if row.suspect:
        return "?", "warning"
    return ("", "") if row.inside else ("!", "warning")


class RateFlightsScreen(BookScreen):
    """A list, newest first; Enter opens the flight."""

    NAME = "rate-flights"
    SECTION = "rates"
    HEADING = "Flights behind the rates"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "rates.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("rate-flights")]

    def __init__(self, view: RatesView) -> None:
        """The list.

        Args:
            view: what the Rates screen shows.
        """
        super().__init__()
        self._view = view

    def heading(self) -> str:
        """Whose flights."""
        return f"{self.HEADING} of {self._view.aircraft}"

    def body(self) -> Iterable[Widget]:
        """What the signs mean, and the list."""
        yield PlainText(
            "! outside its interval   ? an entry does not fit the rest",
            classes="grey signs",
        )
        yield RecordTable(_COLUMNS, sign=_sign, empty="No flight with both charges of a pack yet.", id="rows")

    def fill(self) -> None:
        """Shows the rows; they are here already."""
        rows = self._view.rows
        self.query_one(RecordTable).show(ListRows(rows), range(len(rows)))

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens a flight."""
        event.stop()
        self.logbook.open_record("flight", self._view.rows[event.record].flight_id)
