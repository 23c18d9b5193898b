"""Taking in, second step: what would become of every row, and then all of it, only the good rows, or nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual.binding import BindingType
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.exchange_desk import said
from logbook.services.import_report import ImportReport, RowFate
from logbook.services.watched import Stopped, Watch
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable

if TYPE_CHECKING:
    from logbook.services.desk import Desk

_SIGNS: Final = {"refused": ("!", "error"), "differs": ("≠", "warning"), "new": ("+", "accent")}
_ORDER: Final = {"refused": 0, "differs": 1, "new": 2, "same": 3}
_COLUMNS: Final[tuple[Column[RowFate], ...]] = (
    Column("fate", "Becomes", lambda row: row.fate, 7),
    Column("file", "File", lambda row: row.file, 12, most=24, priority=2),
    Column("line", "Line", lambda row: str(row.line), 6, right=True, priority=1),
    Column("id", "Record", lambda row: row.record_id, 12, most=36),
    Column("why", "Why", lambda row: row.why, 16, most=120),
)


class ImportLook(BookScreen):
    """A table of rows, those that cannot enter first; F2 takes in everything, F3 what can enter."""

    NAME = "import-look"
    SECTION = "exports"
    HEADING = "Import: what would become of every row"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "exports.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("import-look")]
    HELP_PAGE = "import"

    def __init__(self, path: Path, mapping: Path | None, report: ImportReport) -> None:
        """What a trial found.

        Args:
            path: what was looked at.
            mapping: how it was read, or None.
            report: of the trial.
        """
        super().__init__()
        self._path, self._mapping, self.report = path, mapping, report
        self._watch: Watch | None = None
        self._finished = ""
        self.rows = sorted(report.fates, key=lambda row: _ORDER.get(row.fate, 9))

    def body(self) -> Iterable[Widget]:
        """Counts, rows, the row one is on in full, how far it is."""
        yield PlainText("", id="about")
        yield RecordTable[Any](
            _COLUMNS, sign=lambda row: _SIGNS.get(row.fate, ("", "")), empty="It holds no row."
        )
        yield PlainText("", id="said")
        yield PlainText("", id="state")

    def fill(self) -> None:
        """Shows what was found."""
        self.query_one("#about", PlainText).show(self._finished or self._about())
        table = self.query_one(RecordTable)
        if not table.row_count:
            table.show(ListRows(self.rows), range(len(self.rows)))

    def _about(self) -> str:
        fates = Counter(row.fate for row in self.rows)
        bad = fates["refused"] + fates["differs"]
        if bad:
            rows = "1 row" if bad == 1 else f"{bad} rows"
            advice = (
                f"{rows} cannot enter: F3 takes in the others and writes these aside; with F2 nothing enters."
            )
        elif not fates["new"]:
            advice = "Nothing new: the book holds all of it already."
        else:
            advice = "F2 takes it in. Nothing has entered yet."
        return f"{advice}\n{self._path.name}: {said(self.report)}."

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """The whole sentence about the row."""
        event.stop()
        row = self.rows[event.record]
        words = row.why or {"new": "It would enter.", "same": "The book holds it just so."}.get(row.fate, "")
        self.query_one("#said", PlainText).show(f"{row.file}, line {row.line}: {words}")

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """There is nothing to open yet."""
        event.stop()

    # -- taking in -----------------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Takes in everything, or nothing where a row cannot enter."""
        self._take_in(partial=False)

    def action_take_good(self) -> None:
        """Takes in what can enter and writes the rest aside."""
        self._take_in(partial=True)

    def _take_in(self, *, partial: bool) -> None:
        if self._watch is not None or self._finished:
            return
        path, mapping = self._path, self._mapping
        watch = self._watch = Watch(lambda words: self.call_later(self._say_state, words))
        self._say_state("beginning")

        def question(desk: Desk) -> ImportReport | None:
            try:
                return desk.exchange.take_in(path, mapping, trial=False, partial=partial, watch=watch)
            except Stopped:
                return None

        self.ask("take in", question, self._entered)

    def _say_state(self, words: str) -> None:
        if self._watch is not None:
            self.query_one("#state", PlainText).show(
                f"Taking in: {words} … Esc stops, and nothing has entered then."
            )

    def _entered(self, report: ImportReport | None) -> None:
        self._watch = None
        self.query_one("#state", PlainText).show("")
        if report is None:
            self.query_one("#state", PlainText).show("Stopped: nothing has entered.")
            return
        words = f"Taken in: {said(report)}."
        if report.refused_to is not None:
            words += f" The refused rows are in {report.refused_to}: mend them there and import that folder."
        self._finished = " ".join([words, *report.notes])
        self.query_one("#about", PlainText).show(f"{self._finished}\nEsc leaves.")

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """Says why nothing entered."""
        self._watch = None
        self.query_one("#state", PlainText).show("")
        step = "F3 takes in the rows that can enter." if self.report.refused else error.next_step
        self.trouble(type(error)(error.problem, next_step=f"{step} Nothing has entered."), "Not taken in")

    def action_back(self) -> None:
        """Stops the work; where there is none, leaves and says what was done."""
        if self._watch is not None:
            self._watch.stop()
        else:
            self.dismiss(self._finished or None)
