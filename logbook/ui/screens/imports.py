"""Taking in, first step: which file, and how a foreign one is to be read. Nothing is written here."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Input

from logbook.errors import LogbookError
from logbook.services.watched import Stopped, Watch
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.form import FormScreen
from logbook.ui.widgets.entry_input import EntryInput
from logbook.ui.widgets.field_scroll import FieldScroll
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText

if TYPE_CHECKING:
    from logbook.exchange.recording_mapping import RecordingMapping
    from logbook.services.desk import Desk
    from logbook.services.recording_read import Reading

_IMPORT: Final = (
    "A package (folder or zip), one of its CSV files, a recording of the aeroplane, or any other CSV file together with a mapping. "
    "F2 looks at it and says what would become of every row; nothing enters before you say so."
)
_MERGE: Final = (
    "Another book of this program. It is only read. F2 compares: what is new there, what goes on there, what differs. "
    "Nothing is changed before you say so, and a backup is made first."
)
_SEEN: Final = {
    "nothing": "nothing is there",
    "book": "a book of this program, or another database: it is merged",
    "package": "a package",
    "table": "a CSV file of a package",
    "track": "a track: open Log a flight and take it there with F7",
    "recording": "a recording of the aeroplane, by a mapping the book knows",
    "foreign": "a file of another program: it needs a mapping (F3 makes one)",
}


class ImportScreen(BookScreen):
    """Two paths; F2 looks, in a thread, and Escape stops that."""

    NAME = "import"
    SECTION = "exports"
    HEADING = "Import"
    AUTO_FOCUS = "#source"
    CSS_PATH = STYLES / "exports.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("import")]

    def __init__(self, *, merging: bool = False) -> None:
        super().__init__()
        self._merging = merging
        self._watch: Watch | None = None

    def heading(self) -> str:
        """What is done."""
        return "Merge another book" if self._merging else self.HEADING

    def body(self) -> Iterable[Widget]:
        """The paths, what the file seems to be, and how far it is."""
        with FieldScroll(id="fields", can_focus=False):
            yield PlainText(_MERGE if self._merging else _IMPORT, classes="words")
            yield PlainText("The other book:" if self._merging else "File or folder:", classes="words")
            yield EntryInput(max_length=1000, id="source")
            yield PlainText("", classes="words grey", id="seen")
            if not self._merging:
                yield PlainText("Mapping, for a foreign CSV file or a recording only:", classes="words")
                yield EntryInput(max_length=1000, id="mapping")
        yield PlainText("", id="state")
        yield PlainText("", id="wrong")

    # -- what was typed ------------------------------------------------------------------------------------------------

    def on_input_changed(self, event: Input.Changed) -> None:
        """Says what the file seems to be."""
        event.stop()
        self._say_wrong("")
        if event.input.id == "source":
            self.query_one("#seen", PlainText).show(self._seen(event.value))

    def _seen(self, text: str) -> str:
        if not text.strip():
            return ""
        try:
            return _SEEN[self.desk.exchange.kind_of(Path(text.strip()).expanduser())]
        except OSError as error:
            return f"it cannot be read: {error.strerror}"

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes to the next field, or looks."""
        event.stop()
        box = self._mapping_box
        if box is not None and event.input is not box and "mapping" in self._seen(event.input.value):
            box.focus()
        else:
            self.action_save()

    @property
    def _mapping_box(self) -> EntryInput | None:
        return None if self._merging else self.query_one("#mapping", EntryInput)

    def _source(self) -> Path | None:
        try:
            return self.desk.exchange.source(self.query_one("#source", EntryInput).value)
        except LogbookError as error:
            self._say_wrong(str(error))
            self.query_one("#source").focus()
            return None

    # -- looking -------------------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Looks at the file."""
        if self._watch is not None:
            return
        self._say_wrong("")
        path = self._source()
        if path is None:
            return
        kind = self._kind(path)
        box = self._mapping_box
        typed = box.value.strip() if box is not None else ""
        if kind == "book" or self._merging:
            self._compare(path)
        elif kind == "track":
            self._say_wrong("A track is taken beside the form: open Log a flight, F7.")
        elif kind == "foreign" and not typed:
            self._say_wrong("This CSV file is not one of a package: name a mapping, or make one with F3.")
        elif kind not in ("recording", "foreign") or not self._look_recorded(path, typed):
            self._look(path, Path(typed).expanduser() if typed else None)

    def _kind(self, path: Path) -> str:
        try:
            return self.desk.exchange.kind_of(path)
        except OSError:
            return "package"  # whoever opens it says what is wrong with it

    def _look(self, path: Path, mapping: Path | None) -> None:
        from logbook.ui.screens.import_look import ImportLook

        def work(desk: Desk, watch: Watch) -> Any:
            return desk.exchange.take_in(path, mapping, trial=True, partial=False, watch=watch)

        self._work(work, lambda report: self.app.push_screen(ImportLook(path, mapping, report), self._done))

    def _look_recorded(self, path: Path, typed: str) -> bool:
        """Looks at a recording, once it is known of which aeroplane; False where the mapping is none of a recording."""
        from logbook.services.recording_read import Reading

        try:
            how = self.desk.exchange.recording_how(path, typed)
        except LogbookError as error:
            self._say_wrong(str(error))
            return True
        if how is None:
            return False
        mapping, aeroplanes = how

        def look(aircraft: str | None) -> None:
            if aircraft is not None:
                self._look_at_flights(Reading(path, mapping, aircraft=aircraft), mapping)

        if len(aeroplanes) == 1:
            look(aeroplanes[0])
        else:
            picks = [Pick(name, name) for name in aeroplanes]
            self.app.push_screen(PickBox("Which aeroplane made this recording?", picks), look)
        return True

    def _look_at_flights(self, how: Reading, mapping: RecordingMapping) -> None:
        from logbook.services.recording_start import counts_from_nowhere
        from logbook.ui.screens.import_recorded import RecordedLook
        from logbook.ui.screens.recording_start import ask_start

        if counts_from_nowhere(mapping) and not how.start:
            ask_start(
                self, how.path, "", lambda start: self._look_at_flights(how._replace(start=start), mapping)
            )
            return

        def work(desk: Desk, _: Watch) -> Any:
            return desk.exchange.take_recording(how, trial=True)

        def show(flights: Any) -> None:
            self.app.push_screen(RecordedLook(how, mapping, flights), self._done)

        self._work(work, show)

    def _compare(self, path: Path) -> None:
        from logbook.ui.screens.import_merge import MergeScreen

        def work(desk: Desk, watch: Watch) -> Any:
            return desk.exchange.merge(path, None, watch=watch)

        self._work(work, lambda report: self.app.push_screen(MergeScreen(path, report), self._done))

    def _work(self, work: Any, then: Any) -> None:
        watch = self._watch = Watch(lambda words: self.call_later(self._say_state, words))
        self._say_state("opening it")

        def question(desk: Desk) -> Any:
            try:
                return work(desk, watch)
            except Stopped:
                return None

        def answered(report: Any) -> None:
            self._watch = None
            words = "Stopped: nothing was changed." if report is None else ""
            self.query_one("#state", PlainText).show(words)
            if report is not None:
                then(report)

        self.ask("look", question, answered)

    def _done(self, words: str | None) -> None:
        """What came of it, when the next screen is left."""
        if words:
            self.query_one("#state", PlainText).show(words)

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """Says what is wrong with the file."""
        self._watch = None
        self.query_one("#state", PlainText).show("")
        self._say_wrong(str(error))

    def _say_state(self, words: str) -> None:
        if self._watch is not None:
            self.query_one("#state", PlainText).show(f"Looking: {words} … Esc stops.")

    def _say_wrong(self, words: str) -> None:
        self.query_one("#wrong", PlainText).show(f"! {words}" if words else "")

    # -- keys ----------------------------------------------------------------------------------------------------------

    def action_mapping(self) -> None:
        """Makes a mapping for a foreign file: which of its columns is what."""
        path = self._source()
        if path is None or self._merging:
            return
        try:
            form = self.desk.exchange.mapping_form(path)
        except LogbookError as error:
            self._say_wrong(str(error))
            return

        def save(values: dict[str, Any]) -> Path:
            return self.desk.exchange.save_mapping(path, values)

        def made(mapping: Path | None) -> None:
            if mapping is not None:
                self.query_one("#mapping", EntryInput).value = str(mapping)
                self.query_one("#state", PlainText).show(
                    f"The mapping is in {mapping}. F2 looks at the file with it."
                )

        intro = (
            "Type the heading of the column beside each field; its beginning is enough. =TEXT is the same in every row. "
            f"Columns: {', '.join(self.desk.exchange.columns_of(path))}"
        )
        self.app.push_screen(FormScreen(form, save, section="exports", intro=intro, page="import"), made)

    def action_next_part(self) -> None:
        """To the next field."""
        self.focus_next()

    def action_back(self) -> None:
        """Stops the work; where there is none, leaves."""
        if self._watch is not None:
            self._watch.stop()
        else:
            self.dismiss(None)
