"""Beside the flight form: what a track or a recording says of the flight, to be taken field by field."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar, Final

from textual import events
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widget import Widget

from logbook.services.proposal import Proposal
from logbook.services.proposal_beside import (
    DAY,
    DIFFERS,
    EMPTY,
    OTHER_DAY,
    Beside,
    all_empty,
    beside,
    to_take,
)
from logbook.services.propose import ENDINGS
from logbook.services.typed_path import recent_folder
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.take_from_file import WORDS, ReadsProposals, read_clock
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.path_input import PathInput
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.record_table import RecordTable

if TYPE_CHECKING:
    from logbook.ui.screens.log_flight import LogFlightScreen

TAKEN: Final = "taken"
_KEYS: Final = "Enter or =: this line (again: back as it was). a: all that are empty. Esc: back to the form."
_KEPT: Final = " Kept beside the flight when that is saved, once a line is taken."
_SIGNS: Final = {
    TAKEN: ("+", "success"), DIFFERS: ("≠", "warning"), EMPTY: (" ", ""), OTHER_DAY: ("!", "warning"),
}  # fmt: skip
_COLUMNS: Final[tuple[Column[Beside], ...]] = (
    Column("words", "Field", lambda row: row.words, 19, most=26),
    Column("found", "In the file", lambda row: row.found, 11, most=16),
    Column("typed", "In the form", lambda row: row.typed or "-", 11, most=16),
    Column("state", "", lambda row: row.state, 9),
    Column("note", "Where it comes from", lambda row: row.note, 20, most=70, priority=1),
)


class BesideTable(RecordTable[Beside]):
    """The lines, with the keys that take them."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("equals_sign", "select", "Take", show=False),
        Binding("a", "screen.take_empty", "All empty", show=False),
    ]


class TakeFromScreen(ReadsProposals):
    """Two boxes and a table. What is taken stands in the form, and in its draft, at once."""

    NAME = "take-from"
    SECTION = "log"
    HEADING = "Take from a file"
    AUTO_FOCUS = "#path"
    CSS_PATH = STYLES / "log_flight.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("take-from")]

    def __init__(self, form: LogFlightScreen) -> None:
        """Beside a form.

        Args:
            form: the screen in which the flight is typed.
        """
        super().__init__(form)
        self.lines: list[Beside] = []
        self._before: dict[str, tuple[str, str]] = {}

    def heading(self) -> str:
        """Beside which flight."""
        entry = self.host.entry
        return f"Take from a file: {entry.aircraft}, {entry.day}" if entry else self.HEADING

    def body(self) -> Iterable[Widget]:
        """The file, how a recording is read, its clock, what was found, the lines."""
        with Horizontal(classes="path"):
            yield PlainText("File", classes="label")
            yield PathInput(recent_folder(), endings=ENDINGS, id="path")
        with Horizontal(classes="path", id="mapping-line"):
            yield PlainText("Mapping", classes="label")
            yield PathInput(endings=(".toml",), id="mapping")
        yield ReadingField(
            "Clock", parse=read_clock, unit="add to its clock, if it was wrong: 2 (min), -45s, 1:00",
            width=9, label_width=9, not_read=False, id="offset",
        )  # fmt: skip
        yield PlainText(WORDS, id="found")
        yield BesideTable(_COLUMNS, sign=self._sign, empty="Nothing was read yet.", id="lines")
        yield PlainText("", id="said")
        yield PlainText("", id="wrong")

    def show(self, proposal: Proposal) -> None:
        """Shows a flight, the day first."""
        self.proposal = proposal
        self._before = {}
        self.draw()
        table = self.query_one(BesideTable)
        table.cursor = 0
        self.set_focus(table)

    # -- the lines -------------------------------------------------------------------------------------------------------

    def draw(self) -> None:
        """The lines as the form stands now."""
        host = self.host
        if self.proposal is None or host.entry is None:
            return
        self.lines = [
            line._replace(state=TAKEN) if line.name in self._before else line
            for line in beside(host.form, host.entry.values, self.proposal)
        ]
        notes = " ".join(self.proposal.notes)
        clock = "UTC" if host.form.clock.zone == "UTC" else "local time"
        kept = "" if self.proposal.recording is None else _KEPT
        about = f"{self.proposal.about}; below in {clock}. {notes}{kept}"
        self.query_one("#found", PlainText).show(about.strip())
        table = self.query_one(BesideTable)
        table.show(ListRows(self.lines), range(len(self.lines)))
        self._explain(table.cursor)
        self.paint_head()

    def _sign(self, line: Beside) -> tuple[str, str]:
        return _SIGNS.get(line.state, ("", ""))

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """The whole of what is said about a line."""
        event.stop()
        self._explain(event.index)

    def _explain(self, index: int) -> None:
        if index < len(self.lines):
            line = self.lines[index]
            words = f"{line.words}: {line.note}. " if line.note else ""
            self.query_one("#said", PlainText).show(f"{words}{_KEYS}")

    async def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Takes the line, or puts back what stood there."""
        event.stop()
        await self._take(self.lines[event.index])

    async def action_take(self) -> None:
        """Takes the line one is on."""
        if self.lines:
            await self._take(self.lines[self.query_one(BesideTable).cursor])

    async def _take(self, line: Beside) -> None:
        self._say_wrong("")
        if line.name == DAY and line.state == DIFFERS:
            self.took = True
            await self.host.about_now(day=line.found)
        elif line.name in self._before:
            self.host.take({line.name: self._before.pop(line.name)})
            if not self._before:
                self._link(kept=False)
        else:
            self._take_all(to_take(self.lines, line.name))
        self.draw()
        if line.state in (DIFFERS, EMPTY):
            self.query_one(BesideTable).action_move(1)

    def action_take_empty(self) -> None:
        """Takes every field in which nothing stands."""
        self._take_all(all_empty(self.lines))
        self.draw()
        count = sum(line.state == OTHER_DAY for line in self.lines)
        if count:
            self._say_wrong(f"{count} times were left out: another day. Take the day first, then a again.")

    def _take_all(self, values: dict[str, tuple[str, str]]) -> None:
        entry = self.host.entry
        if entry is not None and values:
            self.took = True
            self._before |= {name: entry.values.get(name, ("", "empty")) for name in values}
            self.host.take(values)
            self._link(kept=True)

    def _link(self, *, kept: bool) -> None:
        """What a line was taken from is kept beside the flight, or no longer."""
        if self.proposal is not None and self.proposal.recording is not None:
            self.host.link(self.proposal.recording, kept=kept)

    # -- keys ------------------------------------------------------------------------------------------------------------

    def action_next_part(self) -> None:
        """To the next box, or the lines."""
        self.focus_next()

    def on_resize(self, _: events.Resize) -> None:
        """In low windows every row counts."""
        self.set_class(self.size.height < 22, "-low")
