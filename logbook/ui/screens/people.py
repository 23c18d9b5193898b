"""People: everybody at a glance, or, on one key, the instructor's table of students."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.timer import Timer
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.measures import USUAL
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.people_columns import everybody, items_words, sign_of, students
from logbook.ui.screens.people_signing import SigningScreen
from logbook.ui.screens.person_lines import BLANK, beside_lines, flown_lines
from logbook.ui.widgets.line_list import Line, LineList
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable
from logbook.ui.widgets.words_box import WordsBox

if TYPE_CHECKING:
    from logbook.services.people_desk import PersonView
    from logbook.services.people_list import PersonLine

SETTLE_S = 0.15
"""The detail waits until the cursor rests so long [s]."""
_WORKING = "Adding up what everybody flew …"


class PeopleScreen(BookScreen):
    """A table; Enter opens a person, F4 shows only the students."""

    NAME = "people"
    SECTION = "people"
    HEADING = "People"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "people.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("people")]

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[PersonLine] | None = None
        self.shown: list[PersonLine] = []
        self.only_students = False
        self.typed = ""
        self._settling: Timer | None = None

    def body(self) -> Iterable[Widget]:
        """What is listed, the list, and the one under the cursor in words."""
        yield PlainText(_WORKING, id="about")
        with Horizontal(id="sides"):
            yield RecordTable[Any](everybody(USUAL), sign=sign_of, empty="", id="people")
            beside = LineList(id="beside")
            beside.can_focus = False
            yield beside
        yield PlainText("", id="said")

    # -- what is shown -------------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Adds up in a thread; what was there stays until the answer comes."""
        if self.lines is None:
            self.query_one("#about", PlainText).show(_WORKING)
        self.ask("people", lambda desk: desk.people.lines(), self._take)

    def answer_failed(self, topic: str, error: LogbookError) -> None:
        """Says why there is no list, or nothing beside it."""
        if topic == "beside":
            self.query_one("#beside", LineList).show([Line(body=error.problem, tone="grey")])
            return
        self.query_one("#about", PlainText).show(f"! {error}")

    def _take(self, lines: list[PersonLine]) -> None:
        self.lines = lines
        self._show()

    def _show(self) -> None:
        lines = self.lines or []
        table = self.query_one(RecordTable)
        here = self._line
        wanted = self.typed.casefold().split()
        self.shown = [
            line
            for line in lines
            if (line.student or not self.only_students)
            and all(word in f"{line.person} {line.role}".casefold() for word in wanted)
        ]
        table.columns = (students if self.only_students else everybody)(self.desk.measures)
        table.empty = self._empty(bool(lines))
        table.show(ListRows(self.shown), range(len(self.shown)))
        places = [line.person for line in self.shown]
        if here is not None and here.person in places:
            table.cursor = places.index(here.person)
        self.query_one("#about", PlainText).show(self._about(len(lines)))
        self._say()
        self._settle()

    def _empty(self, anybody: bool) -> str:
        if not anybody:
            return "Nobody yet: a adds a person."
        if self.typed:
            return "Nobody is called so. Esc shows all."
        return "Nobody has flown under instruction yet. F4 shows everybody."

    def _about(self, everybody: int) -> str:
        if self.only_students:
            words = f"Students: {len(self.shown)} who flew under instruction or alone (F4 shows everybody)"
        else:
            words = f"{everybody} people, who flew last first (F4 shows the students)"
        if self.typed:
            words = f"With '{self.typed}': {len(self.shown)} (Esc shows all)"
        return words

    @property
    def _line(self) -> PersonLine | None:
        place = self.query_one(RecordTable).record
        return self.shown[place] if place is not None and place < len(self.shown) else None

    def on_record_table_highlighted(self, event: RecordTable.Highlighted) -> None:
        """Says in words what waits for the one under the cursor."""
        event.stop()
        self._say()
        self._settle()

    # -- the person beside the list ------------------------------------------------------------------------------------

    def _settle(self) -> None:
        """The person is shown once the cursor rests, where there is room."""
        if self._settling is not None:
            self._settling.stop()
        if self.roomy:
            self._settling = self.set_timer(SETTLE_S, self._ask_beside)

    def _ask_beside(self) -> None:
        line = self._line
        if line is None or not self.is_current:
            return
        name = line.person
        self.ask("beside", lambda desk: desk.people.view(name), self._show_beside)

    def _show_beside(self, view: PersonView) -> None:
        lines = [*beside_lines(view), BLANK, *flown_lines(view)]
        beside = self.query_one("#beside", LineList)
        beside.show([line._replace(target=None) for line in lines])
        beside.scroll_home(animate=False)

    def on_resize(self, _: events.Resize) -> None:
        """The detail is there where there is room."""
        self._settle()

    def _say(self) -> None:
        line = self._line
        self.query_one("#said", PlainText).show("" if line is None else said_of(line))

    # -- keys ----------------------------------------------------------------------------------------------------------

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens the person."""
        event.stop()
        self.action_open()

    def action_open(self) -> None:
        """Opens the person; from the table of students, the student's history."""
        line = self._line
        if line is None:
            return
        if self.only_students:
            from logbook.ui.screens.student import StudentScreen

            self.app.push_screen(StudentScreen(line.person))
        else:
            self.logbook.open_record("person", line.person)

    def action_students(self) -> None:
        """Only the students, or everybody again."""
        self.only_students = not self.only_students
        self._show()

    def action_add(self) -> None:
        """Adds a person."""
        self.logbook.new_record("person")

    def action_find(self) -> None:
        """Narrows the list to names or roles with some words."""

        def take(words: str | None) -> None:
            if words is not None:
                self.typed = words
                self._show()

        box = WordsBox(
            "Which people?", more="Part of a name or of a role; nothing shows all.", value=self.typed
        )
        self.app.push_screen(box, take)

    def action_sign(self) -> None:
        """To the entries that wait for a countersignature."""
        self.app.push_screen(SigningScreen(None))

    def action_back(self) -> None:
        """Everybody again; where everybody is shown, to Today."""
        if self.typed or self.only_students:
            self.typed, self.only_students = "", False
            self._show()
        else:
            self.logbook.action_go("today")


def said_of(line: PersonLine) -> str:
    """What waits for or about somebody, in a sentence or two."""
    words = []
    past = [item for item in line.ending if item["days"] < 0]
    soon = [item for item in line.ending if item["days"] >= 0]
    words += [f"run out: {items_words(past)}"] if past else []
    words += [f"runs out soon: {items_words(soon)}"] if soon else []
    if line.open_flags:
        words.append(f"{_many(line.open_flags, 'flag')} without an answer")
    if line.waiting:
        words.append(f"{_many(line.waiting, 'entry', 'entries')} not countersigned")
    if line.to_sign:
        words.append(f"{_many(line.to_sign, 'entry', 'entries')} of students to countersign (k)")
    words = words or ["nothing waits"]
    words += [f"last flight {line.last_flight}"] if line.last_flight else []
    return f"{line.person}: {'; '.join(words)}."


def _many(count: int, one: str, more: str = "") -> str:
    return f"1 {one}" if count == 1 else f"{count} {more or one + 's'}"
