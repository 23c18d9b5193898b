"""Taking in a recording, second step: which flights are on it, and beside which of them it would be kept."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual.binding import BindingType
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.recordings_of_file import FileFlight
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable

if TYPE_CHECKING:
    from logbook.exchange.recording_mapping import RecordingMapping
    from logbook.services.recording_read import Reading

_SIGNS: Final = {
    "refused": ("!", "error"), "no flight": ("!", "warning"), "new": ("+", "accent"), "read anew": ("+", "accent"),
}  # fmt: skip
_COLUMNS: Final[tuple[Column[FileFlight], ...]] = (
    Column("fate", "Becomes", lambda row: row.fate, 9),
    Column("about", "Flight", lambda row: row.about, 30, most=70),
    Column("words", "What it says", lambda row: row.words, 16, most=120, priority=1),
)


class RecordedLook(BookScreen):
    """A line for each flight on the recording; F2 keeps it beside those the book has."""

    NAME = "import-recorded"
    SECTION = "exports"
    HEADING = "Import: a recording of the aeroplane"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "exports.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("import-recorded")]
    HELP_PAGE = "import"

    def __init__(self, how: Reading, mapping: RecordingMapping, flights: list[FileFlight]) -> None:
        """What a trial found.

        Args:
            how: the recording, whose it is, and how it is read.
            mapping: by which.
            flights: those on it.
        """
        super().__init__()
        self._how, self._mapping, self.flights = how, mapping, flights
        self._working = False
        self._finished = ""

    def body(self) -> Iterable[Widget]:
        """What it is, its flights, the one one is on in full, how far it is."""
        yield PlainText("", id="about")
        yield RecordTable[Any](_COLUMNS, sign=lambda row: _SIGNS.get(row.fate, ("", "")), empty="No flight.")
        yield PlainText("", id="said")
        yield PlainText("", id="state")

    def fill(self) -> None:
        """Shows what was found."""
        self.query_one("#about", PlainText).show(self._finished or self._about())
        table = self.query_one(RecordTable)
        table.show(ListRows(self.flights), range(len(self.flights)))

    @property
    def _wanted(self) -> int:
        return sum(flight.fate in ("new", "read anew") for flight in self.flights)

    def _about(self) -> str:
        what = f"{self._how.path.name}, {self._how.aircraft}, read by '{self._mapping.name}'."
        if self._wanted:
            return (
                f"{what}\nF2 keeps it beside the flight{'s' * (self._wanted > 1)}. Nothing was written yet."
            )
        return f"{what}\nThere is nothing to keep."

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """The whole of what is said about a flight."""
        event.stop()
        flight = self.flights[event.record]
        self.query_one("#said", PlainText).show(f"{flight.about}: {flight.words}")

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens the flight the book has."""
        event.stop()
        flight = self.flights[event.index]
        if flight.flight_id:
            self.logbook.open_record("flight", flight.flight_id)

    def action_save(self) -> None:
        """Keeps the recording beside its flights."""
        if self._working or self._finished or not self._wanted:
            return
        self._working = True
        self.query_one("#state", PlainText).show("Keeping it …")
        how = self._how
        self.ask("keep", lambda desk: desk.exchange.take_recording(how, trial=False), self._kept)

    def _kept(self, flights: list[FileFlight]) -> None:
        self._working = False
        kept = sum(flight.fate in ("new", "read anew") for flight in flights)
        self.flights = [
            flight._replace(fate="kept" if flight.fate == "new" else flight.fate) for flight in flights
        ]
        self._finished = (
            f"Kept beside {kept} flight{'s' * (kept != 1)}; what was written down stays. Esc leaves."
        )
        self.query_one("#state", PlainText).show("")
        self.fill()

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """Says why it was not kept."""
        self._working = False
        self.query_one("#state", PlainText).show("")
        self.trouble(error, "Not kept")

    def action_back(self) -> None:
        """Leaves and says what was done."""
        if not self._working:
            self.dismiss(self._finished or None)
