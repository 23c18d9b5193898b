"""Exports: everything that can be written, with what it is for; and the ways by which records come in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from logbook.services.export_list import OFFERS
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.line_list import Line, LineList, Span, heading

_TITLE_WIDTH = 21
_IN = (
    ("import", "Import", "a package, a CSV file or a recording: looked at first"),
    ("merge", "Merge", "another book: each difference decided side by side"),
    ("paper-check", "Check a paper", "is it still true? all that were issued are listed"),
)  # fmt: skip


class ExportsScreen(BookScreen):
    """A list; Enter opens the form of the one one is on."""

    NAME = "exports"
    SECTION = "exports"
    HEADING = "Exports, and taking in"
    AUTO_FOCUS = "LineList"
    CSS_PATH = STYLES / "exports.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("exports")]

    def body(self) -> Iterable[Widget]:
        """The list."""
        yield LineList()

    def fill(self) -> None:
        """Lists what there is."""
        lines: list[Line] = []
        part = ""
        air = [Line()] if self.has_class("-tall") else []
        for offer in OFFERS:
            if offer.part != part:
                part = offer.part
                lines += [*air, heading(part)] if lines else [heading(part)]
            lines.append(_line("export", offer.id, offer.title, offer.about))
        lines += [*air, heading("Taking in, and checking")]
        lines += [_line(what, "", title, about) for what, title, about in _IN]
        self.query_one(LineList).show(lines)

    def on_line_list_selected(self, event: LineList.Selected) -> None:
        """Opens the form."""
        event.stop()
        what, which = event.target
        if what == "export":
            from logbook.ui.screens.exports_form import export_form

            self.app.push_screen(export_form(self.desk, which))
        elif what == "paper-check":
            from logbook.ui.screens.paper_check import PaperCheckScreen

            self.app.push_screen(PaperCheckScreen())
        else:
            from logbook.ui.screens.imports import ImportScreen

            self.app.push_screen(ImportScreen(merging=what == "merge"))


def _line(what: str, which: str, title: str, about: str) -> Line:
    return Line((Span(f"{title:<{_TITLE_WIDTH}}"),), about, "grey", (what, which))
