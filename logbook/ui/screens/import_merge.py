"""Merging another book: what is new, what goes on, and each difference side by side with a decision of its own."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual.binding import BindingType
from textual.containers import Container
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.merge_report import Difference, MergeReport
from logbook.services.watched import Stopped, Watch
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.line_list import Line, LineList, Span, heading
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable
from logbook.units import to_cell

if TYPE_CHECKING:
    from logbook.services.desk import Desk

_WORDS: Final = {"ours": "ours stays", "theirs": "take theirs", "": "? decide"}


class MergeScreen(BookScreen):
    """A list of differences; F3 keeps ours, F4 takes theirs, F2 merges once each is decided."""

    NAME = "merge"
    SECTION = "exports"
    HEADING = "Merge"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "exports.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("merge")]

    def __init__(self, path: Path, report: MergeReport) -> None:
        """What a comparison found.

        Args:
            path: the other book.
            report: of the trial.
        """
        super().__init__()
        self._path, self.report = path, report
        self.decisions: dict[tuple[str, str, str], str] = {}
        self._watch: Watch | None = None
        self._finished = ""

    def heading(self) -> str:
        """Which book."""
        return f"Merge: {self._path.name}"

    def body(self) -> Iterable[Widget]:
        """Counts, differences, the fields of the one under the cursor, how far it is."""
        yield PlainText("", id="about")
        with Container(id="sides"):
            yield RecordTable[Any](
                self._columns(), empty="No difference: nothing has to be decided.", id="differences"
            )
            yield LineList(id="fields")
        yield PlainText("", id="state")

    def _columns(self) -> list[Column[Difference]]:
        return [
            Column(
                "word",
                "Decided",
                self._decided,
                11,
                tone=lambda one: "" if self.decisions.get(one.key) else "warning",
            ),
            Column("kind", "What", lambda one: one.kind, 8, most=14),
            Column("id", "Record", lambda one: one.record_id or one.other_id, 12, most=30),
            Column("count", "Fields", lambda one: str(len(one.fields) or ""), 6, right=True, priority=1),
            Column("words", "Because", lambda one: one.words, 14, most=40, priority=2),
        ]

    def _decided(self, difference: Difference) -> str:
        return _WORDS[self.decisions.get(difference.key, "")]

    # -- what is shown -------------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Shows what was found."""
        differences = self.report.differences
        table = self.query_one(RecordTable)
        if not table.row_count:
            table.show(ListRows(differences), range(len(differences)))
        self.query_one("#fields").display = bool(differences)
        self._say_about()

    def _say_about(self) -> None:
        self.query_one("#about", PlainText).show(self._finished or self._about())

    def _about(self) -> str:
        counts = self.report.counts
        parts = [f"{kind} {count.new} new" for kind, count in counts.items() if count.new]
        parts += [
            f"{kind} {count.continued} go on there" for kind, count in counts.items() if count.continued
        ]
        words = f"The other book adds: {', '.join(parts) or 'nothing new'}."
        if self.report.people:
            renamed = ", ".join(f"'{theirs}' is {ours} here" for theirs, ours in self.report.people.items())
            words += f" Told by licence number: {renamed}."
        open_ones = len(self.report.differences) - len(self.decisions)
        if open_ones:
            return f"{words}\n{open_ones} of {len(self.report.differences)} differences are not decided: F3 ours, F4 theirs, F5 all alike."
        if not self._would_change:
            return f"{words}\nThere is nothing to merge."
        return f"{words}\nF2 merges; a backup is made first."

    @property
    def _would_change(self) -> bool:
        counts = self.report.counts.values()
        return any(count.new or count.continued for count in counts) or "theirs" in self.decisions.values()

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """The fields side by side."""
        event.stop()
        self.query_one("#fields", LineList).show(self._fields(self.report.differences[event.record]))

    def _fields(self, difference: Difference) -> list[Line]:
        title = " ".join(
            word
            for word in (difference.kind, difference.record_id or difference.other_id, difference.part)
            if word
        )
        lines = [
            heading(title),
            Line(
                body=f"Taken for the same: {difference.words}" if difference.fields else difference.words,
                tone="grey",
            ),
        ]
        for name, ours, theirs in difference.fields:
            lines.append(Line((Span(name.replace("_", " "), "accent"),)))
            lines.append(Line((Span("  ours    ", "grey"),), _shown(ours)))
            lines.append(Line((Span("  theirs  ", "grey"),), _shown(theirs)))
        return lines

    # -- deciding ------------------------------------------------------------------------------------------------------

    def action_ours(self) -> None:
        """What this book says counts."""
        self._decide("ours")

    def action_theirs(self) -> None:
        """What the other book says counts."""
        self._decide("theirs")

    def _decide(self, word: str) -> None:
        table = self.query_one(RecordTable)
        if table.record is None or self._finished:
            return
        self.decisions[self.report.differences[table.record].key] = word
        table.action_move(1)
        table.refresh()
        self._say_about()

    def action_all_alike(self) -> None:
        """Decides those without a decision alike."""

        def picked(word: str | None) -> None:
            if word:
                for difference in self.report.differences:
                    self.decisions.setdefault(difference.key, word)
                self.query_one(RecordTable).refresh()
                self._say_about()

        picks = [
            Pick("ours", "Ours", "what this book says stays"),
            Pick("theirs", "Theirs", "what the other says is taken; ours stays as an earlier version"),
        ]
        self.app.push_screen(PickBox("Whose word counts where nothing is decided yet?", picks), picked)

    # -- merging -------------------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Merges."""
        if self._watch is not None or self._finished:
            return
        if len(self.decisions) < len(self.report.differences):
            self.query_one("#state", PlainText).show(
                "! Decide every difference first; nothing is written before."
            )
            return
        if not self._would_change:
            self.query_one("#state", PlainText).show("There is nothing to merge.")
            return
        path, decisions = self._path, dict(self.decisions)
        watch = self._watch = Watch(lambda words: self.call_later(self._say_state, words))
        self._say_state("beginning")

        def question(desk: Desk) -> MergeReport | None:
            try:
                return desk.exchange.merge(path, decisions, watch=watch)
            except Stopped:
                return None

        self.ask("merge", question, self._merged)

    def _say_state(self, words: str) -> None:
        if self._watch is not None:
            self.query_one("#state", PlainText).show(
                f"Merging: {words} … Esc stops, and nothing is changed then."
            )

    def _merged(self, report: MergeReport | None) -> None:
        self._watch = None
        state = self.query_one("#state", PlainText)
        if report is None:
            state.show("Stopped: nothing was changed.")
        elif not report.written:
            self.report = report
            state.show("! A book changed meanwhile: look at the differences again. Nothing was written.")
            self.query_one(RecordTable).show(ListRows(report.differences), range(len(report.differences)))
            self._say_about()
        else:
            state.show("")
            self._finished = f"Merged. The book as it was before is in {report.backup}."
            self._say_about()

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """Says why nothing was merged."""
        self._watch = None
        self.query_one("#state", PlainText).show("")
        self.trouble(error, "Not merged")

    def action_back(self) -> None:
        """Stops the work; where there is none, leaves and says what was done."""
        if self._watch is not None:
            self._watch.stop()
        else:
            self.dismiss(self._finished or None)


def _shown(value: Any) -> str:
    """A value of a field; parts of a flight as they are stored."""
    if value in (None, "", []):
        return "unknown"
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return "; ".join(
            ", ".join(
                f"{name.replace('_', ' ')} {to_cell(one)}" for name, one in row.items() if one is not None
            )
            for row in value
        )
    return to_cell(value)
