"""Checking issued papers: a file, or all that the book knows it issued; under it whether they are still true. Nothing is written."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar, Final

from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Input

from logbook.errors import LogbookError
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.line_list import Line, LineList, Span, heading
from logbook.ui.widgets.path_input import PathInput
from logbook.ui.widgets.plain import PlainText

if TYPE_CHECKING:
    from logbook.services.exchange_desk import PaperAnswer

_ENDINGS: Final = (".txt", ".html", ".htm", ".pdf")
_WORDS: Final = (
    "A paper of this program as it was written: text, HTML or PDF. Tab completes, Enter or F3 checks it."
)

_NONE: Final = Line((), "No paper was issued from this book yet, as far as it knows.", "grey")


class PaperCheckScreen(BookScreen):
    """A path, and the answer under it; F6 goes to the answer where it is longer than the screen."""

    NAME = "paper-check"
    SECTION = "exports"
    HEADING = "Is an issued paper still true?"
    AUTO_FOCUS = "#path"
    CSS_PATH = STYLES / "exports.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("paper-check")]

    def __init__(self) -> None:
        super().__init__()
        self._lines: list[Line] = []
        self._issued: list[Line] | None = None
        self._begun = self._checked = False

    def body(self) -> Iterable[Widget]:
        """The path, the names it may go on with, the answer."""
        yield PlainText(_WORDS, classes="words")
        yield PathInput(endings=_ENDINGS, id="path")
        yield PlainText("", id="state")
        yield LineList(id="answer")
        yield PlainText("", id="wrong")

    def fill(self) -> None:
        """Papers issued from this book and how they stand; an answer stays while one looks at the help."""
        if not self._lines:
            self._show_issued()

    def on_path_input_candidates(self, event: PathInput.Candidates) -> None:
        """What the path may go on with."""
        event.stop()
        self._say("  ".join(event.names))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Another path: what was said of the one before no longer holds."""
        event.stop()
        self._say("")
        self._say_wrong("")
        self._checked = False
        self._show_issued()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter checks."""
        event.stop()
        self.action_check()

    def action_check(self) -> None:
        """Reads the file and compares it, in a thread."""
        try:
            path = self.desk.exchange.source(self.query_one("#path", PathInput).value)
        except LogbookError as error:
            self._say_wrong(str(error))
            return
        self._say("Reading it …")
        self.ask("paper-check", lambda desk: desk.exchange.check_paper(path), self._answered)

    def _show_issued(self) -> None:
        """The papers of the list, compared in a thread once."""
        if self._issued is not None:
            self._show(self._issued)
        elif not self._begun:
            self._begun = True
            self._show([Line((), "working …", "grey")])
            self.ask("issued", lambda desk: desk.exchange.issued_papers(), self._found)

    def _found(self, papers: PaperAnswer) -> None:
        lines = [_line(one.sign, one.words) for one in papers]
        head = heading(f"Papers issued from this book: {len(papers)}, newest first")
        self._issued = [head, *lines] if lines else [_NONE]
        if not self._checked:
            self._show(self._issued)

    def _answered(self, answer: PaperAnswer) -> None:
        self._say("")
        self._say_wrong("")
        self._checked = True
        self._show([_line(one.sign, one.words) for one in answer])

    def _show(self, lines: list[Line]) -> None:
        self._lines = lines
        self.query_one(LineList).show(lines)

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - said alike of both
        """Says what is wrong with the file, or with the book."""
        self._say("")
        self._say_wrong(str(error))

    def _say(self, words: str) -> None:
        self.query_one("#state", PlainText).show(words)

    def _say_wrong(self, words: str) -> None:
        self.query_one("#wrong", PlainText).show(f"! {words}" if words else "")

    def action_next_part(self) -> None:
        """From the path to the answer and back."""
        self.focus_next()

    def action_back(self) -> None:
        """Leaves."""
        self.dismiss(None)


def _line(sign: str, words: str) -> Line:
    tone = {"!": "error", "ok": "success"}.get(sign, "")
    return Line((Span(f"{sign:<3}", tone),), words, tone)
