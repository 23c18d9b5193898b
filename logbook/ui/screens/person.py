"""One person: items held, recency by rule, what waits for a signature, totals; and the ways to history and pages."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Container
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.changing import ChangesRecords
from logbook.ui.screens.people_signing import SigningScreen
from logbook.ui.screens.person_lines import BLANK, flown_lines, held_lines
from logbook.ui.widgets.line_list import Line, LineList, heading
from logbook.ui.widgets.plain import PlainText

if TYPE_CHECKING:
    from logbook.services.people_desk import PersonView

WIDE = 120
"""From this width on [cells], totals stand beside what is held."""
_WORKING = "Adding up flights and judging the rules …"


class PersonScreen(ChangesRecords, BookScreen):
    """Shows a person; corrects them; leads to their history, their entries to sign and their pages."""

    NAME = "person"
    SECTION = "people"
    HEADING = "Person"
    AUTO_FOCUS = "#held"
    CSS_PATH = STYLES / "people.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("person")]
    kind = "person"

    def __init__(self, record_id: str) -> None:
        super().__init__()
        self.record_id = record_id
        self.shown: dict[str, Any] = {}
        self.view: PersonView | None = None

    @property
    def person(self) -> str:
        """The name."""
        return str(self.shown.get("person", ""))

    def heading(self) -> str:
        """Who it is."""
        role = self.shown.get("role_text")
        return f"{self.person}, {role}" if role else self.person or self.HEADING

    def body(self) -> Iterable[Widget]:
        """Two lists; in a narrow window the first holds everything."""
        yield PlainText("", id="struck")
        with Container(id="sides"):
            yield LineList(id="held")
            yield LineList(id="flown")

    def fill(self) -> None:
        """Reads the record at once; sums and rules come from a thread."""
        self.shown = self.desk.show("person", self.record_id)
        self.record_id = self.shown["record_id"]
        struck = "Struck out: it counts nowhere. Restore it with d." if self.shown.get("struck") else ""
        self.query_one("#struck", PlainText).show(struck)
        self.query_one("#struck").display = bool(struck)
        if self.view is None:
            self.query_one("#held", LineList).show([Line(body=_WORKING, tone="grey")])
        name = self.person
        self.ask("person", lambda desk: desk.people.view(name), self._take)

    def answer_failed(self, topic: str, error: LogbookError) -> None:
        """Says why nothing is shown."""
        if topic == "person":
            self.query_one("#held", LineList).show_failure(error)
        else:
            self.trouble(error)

    def _take(self, view: PersonView) -> None:
        self.view = view
        self._draw()

    def _draw(self) -> None:
        if self.view is None:
            return
        held, flown = held_lines(self.view), [*flown_lines(self.view), BLANK, *self._versions()]
        wide = self.size.width >= WIDE
        self.query_one("#held", LineList).show(held if wide else [*held, BLANK, *flown])
        self.query_one("#flown", LineList).show(flown if wide else [])

    def _versions(self) -> list[Line]:
        found = self.desk.changes_of(self.shown)
        if not found:
            return [Line(body="Never changed since it was entered.", tone="grey")]
        return [
            heading("Earlier versions"),
            *(
                Line(
                    body=f"{change.when} {change.who or 'nobody named'}: {change.words(self.kind, self.desk.measures)}"
                )
                for change in found
            ),
        ]

    def on_resize(self, _: events.Resize) -> None:
        """Lists beside each other where there is room."""
        self._draw()

    # -- keys ----------------------------------------------------------------------------------------------------------

    def on_line_list_selected(self, event: LineList.Selected) -> None:
        """Opens what the line is about."""
        event.stop()
        what, which = event.target
        doing = {
            "add": self.action_add,
            "history": self.action_history,
            "sign": self.action_sign,
            "pages": self.action_write_file,
        }
        if what in doing:
            doing[what]()
        else:
            self.logbook.open_record(what, which)

    def action_add(self) -> None:
        """Adds something they hold."""
        self.logbook.new_record("person-item", {"person": self.person})

    def action_history(self) -> None:
        """Their flights, landing by landing."""
        from logbook.ui.screens.student import StudentScreen

        self.app.push_screen(StudentScreen(self.person))

    def action_sign(self) -> None:
        """Entries of theirs, or for them to sign."""
        self.app.push_screen(SigningScreen(self.person))

    def action_write_file(self) -> None:
        """Writes their pages to a file."""
        from logbook.ui.screens.exports_form import export_form

        self.app.push_screen(export_form(self.desk, "person-pages", self.person))

    def action_versions(self) -> None:
        """To the earlier versions, at the end of everything."""
        lines = self.query_one("#flown" if self.size.width >= WIDE else "#held", LineList)
        lines.scroll_end(animate=False)
