"""Today: who is out, what is wrong, the state of every aeroplane and pack, and what waits for somebody."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Container
from textual.widget import Widget

from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.today_lines import BLANK, empty_lines, state_lines, today_lines
from logbook.ui.widgets.line_list import Line, LineList

if TYPE_CHECKING:
    from logbook.services.flagged_charges import FlaggedCharges

Row = dict[str, Any]
WIDE = 120
"""From this width on [cells], the state of everything stands beside what waits."""
MANY_STALE = 2000
"""From so many flights on, whose figures must be computed again, it is done in a thread."""
_FIRST_LOOK_S = 1.0
"""The first screen is painted, and its keys work, before charges and use are looked through [s]."""
NARROW_FLAGS = 5
"""So many flags are shown where the state of everything stands above them."""


class TodayScreen(BookScreen):
    """One look before anything else."""

    NAME = "today"
    SECTION = "today"
    HEADING = "Today"
    AUTO_FOCUS = "#waiting"
    CSS_PATH = STYLES / "today.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("today")]

    def __init__(self) -> None:
        super().__init__()
        self._shown_wide: bool | None = None
        self._charges: FlaggedCharges | None = None
        self._by_use: list[Row] = []

    def body(self) -> Iterable[Widget]:
        """Two lists; in a narrow window the first holds everything."""
        with Container(id="sides"):
            yield LineList(id="waiting")
            yield LineList(id="state")

    def fill(self) -> None:
        """Asks how things stand."""
        desk, now = self.desk, self.desk.clock()
        stale = desk.stale_flights()
        if stale > MANY_STALE:
            words = f"The figures of {stale:,} flights are being worked out anew; this is done once. Keys work meanwhile."
            self.query_one("#waiting", LineList).show([Line(body=f"working … {words}", tone="grey")])
            if not self.waiting:
                self.ask("today", lambda elsewhere: elsewhere.today(), lambda _: self.refill())
            return
        charges, by_use = self._known()
        view = desk.today()._replace(charges=charges, by_use=tuple(by_use))
        state = state_lines(view, now)
        wide = self._shown_wide = self.size.width >= WIDE
        drafts = desk.unfinished()
        waiting = today_lines(view, drafts, now, [] if wide else state, 12 if wide else NARROW_FLAGS)
        if not view.flights:
            waiting = [*empty_lines(), BLANK, *waiting]
        self.query_one("#waiting", LineList).show(waiting)
        self.query_one("#state", LineList).show(state if wide else [])

    def _known(self) -> tuple[FlaggedCharges | None, list[Row]]:
        """Charges with a flag and what runs out by use: those found last, until a thread has looked through the book anew."""
        desk = self.desk
        charges = desk.charging.known_flagged() if desk.learned else None
        by_use = desk.upkeep.known_soon() if charges is not None else None
        if charges is not None and by_use is not None:
            self._charges, self._by_use = charges, by_use
        elif not self.waiting:
            if desk.learned:
                self._look_through()
            else:
                self.set_timer(_FIRST_LOOK_S, self._look_through)
        return self._charges, self._by_use

    def _look_through(self) -> None:
        """Looks for flags of charges, and for what runs out, in a thread."""
        self.ask("charges", lambda away: (away.charging.flagged(), away.upkeep.soon()), self._found)

    def _found(self, looked: tuple[FlaggedCharges, list[Row]]) -> None:
        """Shows the lines anew where that changes any: a screen nobody touches writes nothing."""
        shown = _waiting(self._charges), self._by_use
        self._charges, self._by_use = looked
        if (_waiting(self._charges), self._by_use) != shown and self.is_current:
            self.refill()

    def on_resize(self, _: events.Resize) -> None:
        """Lists beside each other where there is room; asks again only where that changes."""
        if self.is_current and self._shown_wide is not (self.size.width >= WIDE):
            self.refill()

    def on_line_list_selected(self, event: LineList.Selected) -> None:
        """Opens what the line is about."""
        what, which = event.target
        if what == "go":
            self.logbook.action_go(which)
        elif what == "draft":
            self.logbook.go_on(which)
        elif what == "out":
            self.logbook.close_flight(which)
        elif what == "flagged":
            self.logbook.show_flagged(which)
        else:
            self.logbook.open_record(what, which)

    def action_answer(self) -> None:
        """Answers the flag one is on."""
        from logbook.ui.screens.answering import KINDS, answer_flag

        focused = self.focused
        if isinstance(focused, LineList) and focused.target and focused.target[0] in KINDS:
            kind, record_id = focused.target
            answer_flag(self, record_id, focused.words, kind=kind)
        else:
            self.notify("Go to a line with a flag first.", markup=False)


def _waiting(found: FlaggedCharges | None) -> tuple[object, ...]:
    """Everything in it that makes a line."""
    return () if found is None else (*found.flags, *found.upkeep)
