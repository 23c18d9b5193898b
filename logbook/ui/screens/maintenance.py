"""Maintenance: what is defective, what falls due, what was done, and the time of every part."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual import events
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.answering import answer_flag
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.maintenance_lines import more_lines, waiting_lines
from logbook.ui.screens.papers import ask_paper
from logbook.ui.screens.upkeep_adding import ask_defect, ask_work, told
from logbook.ui.widgets.line_list import Line, LineList
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText

if TYPE_CHECKING:
    from logbook.services.upkeep_desk import Board

WIDE: Final = 120
"""From this width on [cells], what was done stands beside what waits."""
ADVICE: Final = "As recorded by the operator; licensed people decide what may fly."
_WORKING: Final = (Line(body="Adding up hours and what falls due …", tone="grey"),)
_PICKS: Final = (
    Pick("defect", "Defect", "what is wrong; may ground it: inspection before next use"),
    Pick("entry", "Maintenance entry", "inspection, repair, module change, firmware …; closes a defect"),
    Pick("component", "Component", "motor, propeller, controller, rescue system: its time and limit"),
    Pick("observation", "Observation of a pack", "cell voltages, insulation, counters, software"),
    Pick("capacity-check", "Capacity check of a pack", "energy measured on the bench"),
)


class MaintenanceScreen(BookScreen):
    """Lines that can be opened; i narrows them to one aeroplane or pack."""

    NAME = "maintenance"
    SECTION = "maintenance"
    HEADING = "Maintenance"
    AUTO_FOCUS = "#waiting"
    CSS_PATH = STYLES / "maintenance.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("maintenance")]

    def __init__(self) -> None:
        super().__init__()
        self.board: Board | None = None
        self._thing = ""

    def heading(self) -> str:
        """Of what, where it is narrowed."""
        return f"Maintenance of {self._thing} (Esc: of everything)" if self._thing else self.HEADING

    def body(self) -> Iterable[Widget]:
        """Two lists; in a narrow window the first holds everything."""
        with Horizontal(id="sides"):
            yield LineList(id="waiting")
            yield LineList(id="done")
        yield PlainText(ADVICE, id="advice")

    # -- what is shown ---------------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Asks how maintenance stands."""
        if self.board is None:
            self.query_one("#waiting", LineList).show(_WORKING)
        self.ask("board", lambda desk: desk.upkeep.board(), self.show_board)

    def answer_failed(self, topic: str, error: LogbookError) -> None:
        """Says in its place why there is no answer."""
        if topic == "board":
            self.query_one("#waiting", LineList).show_failure(error)
        else:
            self.trouble(error)

    def show_board(self, board: Board) -> None:
        """Shows the answer."""
        self.board = board
        self._draw()

    def _draw(self) -> None:
        if self.board is None:
            return
        board = self.board.of(self._thing) if self._thing else self.board
        today = self.desk.clock()[:10]
        waiting, done = waiting_lines(board, today), more_lines(board)
        wide = self.size.width >= WIDE
        self.query_one("#waiting", LineList).show(waiting if wide else [*waiting, Line(), *done])
        self.query_one("#done", LineList).show(done if wide else [])

    def on_resize(self, _: events.Resize) -> None:
        """Lists beside each other where there is room."""
        self._draw()

    # -- keys ------------------------------------------------------------------------------------------------------------

    def on_line_list_selected(self, event: LineList.Selected) -> None:
        """Opens the record of a line; an aeroplane's line offers its page."""
        event.stop()
        what, which = event.target
        if what == "paper":
            ask_paper(self, "aircraft", which)
        else:
            self.logbook.open_record(what, which)

    def action_answer(self) -> None:
        """Answers the flag one is on."""
        lines = self.focused
        target = lines.target if isinstance(lines, LineList) else None
        if isinstance(lines, LineList) and target and target[0] in ("observation", "maintenance"):
            answer_flag(self, target[1], lines.words, kind=target[0])
        else:
            self.notify("Go to a line with a flag first.", markup=False)

    def action_add(self) -> None:
        """Asks what is to be written down, then opens its form."""
        thing = self._thing

        def picked(what: str | None) -> None:
            if what == "defect":
                ask_defect(self, thing)
            elif what == "entry":
                ask_work(self, thing)
            elif what is not None:
                name = "aircraft" if what == "component" else "serial_no"
                given: dict[str, Any] = {name: thing} if thing else {}
                self.logbook.new_record(what, given, told(self, "Recorded."))

        self.app.push_screen(PickBox("What is to be written down?", list(_PICKS)), picked)

    def action_find(self) -> None:
        """Narrows everything to one aeroplane or pack."""
        picks = [Pick("", "Everything"), *(Pick(name, name) for name in self.desk.upkeep.things())]

        def picked(thing: str | None) -> None:
            if thing is not None:
                self._narrow(thing)

        self.app.push_screen(PickBox("Maintenance of what?", picks, value=self._thing), picked)

    def _narrow(self, thing: str) -> None:
        self._thing = thing
        self._draw()
        self.paint_head()

    def action_write_file(self) -> None:
        """Writes the page of an aeroplane for an inspector, as of a day."""
        fleet = list(self.board.aircraft) if self.board is not None else []
        only = fleet[0] if len(fleet) == 1 else ""
        ask_paper(self, "aircraft", self._thing if self._thing in fleet else only)

    def action_back(self) -> None:
        """Shows everything again; where everything is shown, goes to Today."""
        if self._thing:
            self._narrow("")
        else:
            self.logbook.action_go("today")
