"""The records of one kind that a book is set up with: open one, or add another."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from logbook.ui.actions import bindings_of
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.fitting import ask_fitting
from logbook.ui.widgets.line_list import Line, LineList, Span

ADDING = {"installation": "Fit, remove or swap packs (a)"}


class SetupList(BookScreen):
    """A list of aeroplanes, packs, people, places … by name."""

    NAME = "setup-list"
    SECTION = "setup"
    HEADING = "Setup"
    AUTO_FOCUS = "LineList"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("setup-list")]

    def __init__(self, kind: str, title: str, about: str) -> None:
        """A list.

        Args:
            kind: the word for the kind, as in commands.
            title: what many of it are called.
            about: what they are good for, in a sentence.
        """
        super().__init__()
        self._kind, self._title, self._about = kind, title, about

    def heading(self) -> str:
        """What many of it are called."""
        return self._title

    def body(self) -> Iterable[Widget]:
        """The list."""
        yield LineList()

    def fill(self) -> None:
        """Reads the records."""
        rows = [self.desk.one_line(self._kind, row) for row in self.desk.records(self._kind)]
        wide = min(28, max((len(name) for _, name, _ in rows), default=0))
        lines = [Line(body=self._about, tone="grey"), Line()]
        lines += [
            Line((Span(f"{name:<{wide}}  "),), words, "grey", (self._kind, record_id))
            for record_id, name, words in rows
        ]
        if not rows:
            lines.append(Line(body="None yet.", tone="grey"))
        lines += [
            Line(),
            Line((Span("+ ", "accent"),), ADDING.get(self._kind, "Add one (a)"), "", ("add", self._kind)),
        ]
        self.query_one(LineList).show(lines)

    def on_line_list_selected(self, event: LineList.Selected) -> None:
        """Opens the record, or the form for a new one."""
        what, which = event.target
        if what == "add":
            self.action_add()
        else:
            self.logbook.open_record(what, which)

    def action_add(self) -> None:
        """Opens the form for a new record."""
        if self._kind == "installation":
            ask_fitting(self)
        else:
            self.logbook.new_record(self._kind)
