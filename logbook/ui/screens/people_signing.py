"""Countersigning: the entries that wait, one or many of them signed with one passphrase."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual.binding import Binding, BindingType
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.measures import TIME
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.people_key import ask_signer
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable

if TYPE_CHECKING:
    from logbook.services.people_list import WaitingEntry

PROVES: Final = (
    "A signature proves: whoever holds the key and its passphrase signed exactly this text, and whether the entry still is "
    "that text. It does not prove that the entry is true, who was aboard, or when it was signed (h tells more)."
)
_WORKING: Final = "Looking for entries without a countersignature …"


class SigningScreen(BookScreen):
    """Entries of one person, or of all, that wait; F3 marks, k signs what is marked."""

    NAME = "countersign"
    SECTION = "people"
    HEADING = "Countersign"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "people.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings_of("countersign"),
        Binding("space", "mark", "Mark", show=False),
    ]

    def __init__(self, person: str | None) -> None:
        """Entries that wait.

        Args:
            person: of this person, or for this person to sign as the instructor; None: all.
        """
        super().__init__()
        self.person = person
        self.entries: list[WaitingEntry] = []
        self.marked: set[str] = set()

    def heading(self) -> str:
        """Whose entries."""
        return f"Countersign: {self.person}" if self.person else self.HEADING

    def body(self) -> Iterable[Widget]:
        """What a signature proves, the entries, the one under the cursor."""
        yield PlainText(_WORKING, id="about")
        yield RecordTable[Any](
            self._columns(), sign=self._sign_of, empty="No entry waits for a countersignature."
        )
        yield PlainText("", id="said")
        yield PlainText(PROVES, id="proves")

    def _columns(self) -> list[Column[WaitingEntry]]:
        measures = self.desk.measures
        return [
            Column("date", "Day", lambda entry: entry.date, 10),
            Column("aircraft", "Plane", lambda entry: entry.aircraft, 7, most=10, priority=3),
            Column("person", "Flown by", lambda entry: entry.person, 12, most=24),
            Column("function", "As", lambda entry: entry.function, 5, priority=2),
            Column("teacher", "Instructor", lambda entry: entry.instructor or "nobody named", 12, most=24),
            Column(
                "minutes",
                f"Time {measures.unit_word}".strip(),
                lambda entry: measures.figure(entry.minutes, TIME),
                5,
                right=True,
            ),
            Column("landings", "Ldgs", lambda entry: str(entry.landings or ""), 4, right=True, priority=1),
            Column("words", "Exercise, remarks", lambda entry: entry.words, 17, most=60, priority=4),
        ]

    def _sign_of(self, entry: WaitingEntry) -> tuple[str, str]:
        return ("x", "accent") if entry.flight_id in self.marked else ("", "")

    # -- what is shown -------------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Asks in a thread."""
        person = self.person
        self.ask("waiting", lambda desk: desk.people.waiting(person), self._take)

    def answer_failed(self, topic: str, error: LogbookError) -> None:
        """A failed signature keeps what was marked."""
        if topic == "sign":
            self._say_about()
            self.trouble(error, "Not signed")
        else:
            self.query_one("#about", PlainText).show(f"! {error}")

    def _take(self, entries: list[WaitingEntry]) -> None:
        self.entries = list(reversed(entries))
        self.marked &= {entry.flight_id for entry in entries}
        self.query_one(RecordTable).show(ListRows(self.entries), range(len(self.entries)))
        self._say_about()
        self._say()

    def _say_about(self) -> None:
        count, marked = len(self.entries), len(self.marked)
        words = "No entry waits." if not count else f"{count} wait, newest first"
        if count:
            words += (
                f" · {marked} marked with x: k signs them"
                if marked
                else " · F3 marks, F4 all; k signs the marked, or the one you are on"
            )
        self.query_one("#about", PlainText).show(words)

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """Says in words what the table has no room for."""
        event.stop()
        self._say()

    @property
    def _entry(self) -> WaitingEntry | None:
        place = self.query_one(RecordTable).record
        return self.entries[place] if place is not None and place < len(self.entries) else None

    def _say(self) -> None:
        entry = self._entry
        words = (
            ""
            if entry is None
            else f"{entry.date} {entry.person}: {entry.words or 'no exercise or remarks written down'}"
        )
        self.query_one("#said", PlainText).show(words)

    # -- keys ----------------------------------------------------------------------------------------------------------

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens the flight, to be read before it is signed."""
        event.stop()
        self.action_open()

    def action_open(self) -> None:
        """Opens the flight one is on."""
        entry = self._entry
        if entry is not None:
            self.logbook.open_record("flight", entry.flight_id)

    def action_mark(self) -> None:
        """Marks the entry one is on, or takes the mark away, and goes on to the next."""
        entry, table = self._entry, self.query_one(RecordTable)
        if entry is not None:
            self.marked ^= {entry.flight_id}
            table.action_move(1)
            table.refresh()
            self._say_about()

    def action_mark_all(self) -> None:
        """Marks all, or none where all are marked."""
        everything = {entry.flight_id for entry in self.entries}
        self.marked = set() if self.marked == everything else everything
        self.query_one(RecordTable).refresh()
        self._say_about()

    def action_sign(self) -> None:
        """Asks who signs, and for the passphrase; nothing of it is kept."""
        entry = self._entry
        chosen = [one for one in self.entries if one.flight_id in self.marked] or ([entry] if entry else [])
        if not chosen:
            self.notify("No entry waits for a countersignature.", markup=False)
            return
        teachers = {one.instructor for one in chosen}
        usual = next(iter(teachers)) if len(teachers) == 1 else self.desk.operator or ""
        taught = {one.flight_id: one.instructor for one in chosen}
        what = f"the entry of {chosen[0].date}" if len(chosen) == 1 else f"{len(chosen)} entries"
        ask_signer(self, what, usual, taught, self._sign)

    def _sign(self, ids: list[str], name: str, passphrase: str) -> None:
        self.query_one("#about", PlainText).show("Opening the key and signing …")
        self.ask("sign", lambda desk: desk.people.sign(ids, name, passphrase), self._signed)

    def _signed(self, words: str) -> None:
        self.marked = set()
        self.refill()
        self.notify(words, markup=False)
