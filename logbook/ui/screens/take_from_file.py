"""The part of taking from a file that reads it: path, mapping, clock, which flight, and whether the book has it already."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from textual.widgets import Input

from logbook.errors import LogbookError
from logbook.services.proposal import Proposal, read_offset
from logbook.services.propose import NeedsMapping
from logbook.services.recording_start import NeedsStart
from logbook.services.typed_path import keep_folder, recent_folder
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.recording_start import ask_start
from logbook.ui.widgets.path_input import PathInput
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Understood

if TYPE_CHECKING:
    from logbook.ui.screens.log_flight import LogFlightScreen

WORDS: Final = "A track (GPX) or a recording of the aeroplane (CSV). Tab completes, Enter reads it. Nothing is taken before you say so."
_OTHER: Final = "file"


class ReadsProposals(BookScreen):
    """Reads a file in a thread and chooses one of its flights. One says `show`, and has the boxes `path`, `mapping`, `offset`."""

    def __init__(self, form: LogFlightScreen) -> None:
        """Beside a form.

        Args:
            form: the screen in which the flight is typed.
        """
        super().__init__()
        self.host = form
        self._found: list[Proposal] = []
        self.proposal: Proposal | None = None
        """The flight that is shown."""
        self.took = False
        """Whether anything was taken into the form."""
        self._reading = False
        self._by_itself = ""
        """The name of the mapping that was found rather than typed."""
        self._start = ""
        """From when the seconds of the recording that is named count, ISO, where that was asked."""

    @property
    def busy(self) -> bool:
        """Keys typed ahead wait until the file was read."""
        return self._reading

    def show(self, proposal: Proposal) -> None:
        """Shows a flight beside the form."""
        raise NotImplementedError

    # -- reading the file ------------------------------------------------------------------------------------------------

    def on_input_changed(self, event: Input.Changed) -> None:
        """Another path: what was said of the one before no longer holds."""
        event.stop()
        self._start = ""
        self._say_wrong("")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in the path reads the file."""
        event.stop()
        self._read()

    def on_reading_field_changed(self, event: ReadingField.Changed) -> None:
        """The clock counts when the file is read."""
        event.stop()

    def on_reading_field_accepted(self, event: ReadingField.Accepted) -> None:
        """Enter in the clock reads the file."""
        event.stop()
        self._read()

    def on_path_input_candidates(self, event: PathInput.Candidates) -> None:
        """What the path may go on with."""
        event.stop()
        self.query_one("#found", PlainText).show("  ".join(event.names))

    def action_save(self) -> None:
        """Reads the file; once it is read, back to the form."""
        if self.proposal is None:
            self._read()
        else:
            self.action_back()

    def _read(self) -> None:
        text = self.query_one("#path", PathInput).value.strip()
        typed = self.query_one("#offset", ReadingField).text
        offset = read_offset(typed)
        if offset.problem:
            self._say_wrong(f"Clock: {offset.problem}.")
            return
        path = Path(text or ".")
        try:
            path = path.expanduser()
        except RuntimeError:
            self._say_wrong("There is no home folder: type the whole path.")
            return
        if not path.is_file():
            self._say_wrong(f"There is no file at {path}." if text else "No file is named.")
            self.query_one("#path").focus()
            return
        self._say_wrong("")
        self._reading = True
        self.query_one("#found", PlainText).show("Reading it … Esc stops.")
        aircraft = self.host.entry.aircraft if self.host.entry else ""
        chosen = self._mapping.value.strip()
        mapping = "" if chosen == self._by_itself else chosen
        seconds, start = offset.value if typed.strip() else None, self._start
        self.ask(
            "read",
            lambda desk: desk.exchange.proposals(
                path, seconds, aircraft=aircraft, mapping=mapping, start=start
            ),
            lambda found: self._was_read(path, found),
        )

    def _was_read(self, path: Path, found: list[Proposal]) -> None:
        self._reading = False
        keep_folder(path)
        self._found = found
        read = found[0].recording
        self._by_itself = read.mapping.name if read is not None else ""
        self._show_mapping(self._by_itself)
        if len(found) > 1:
            self.action_other_flight()
        else:
            self._choose(found[0])

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """What is wrong with the file; where only its mapping is, which it might be."""
        self._reading = False
        self.query_one("#found", PlainText).show(WORDS)
        if isinstance(error, NeedsMapping):
            self._ask_mapping(error)
        elif isinstance(error, NeedsStart):
            path = Path(self.query_one("#path", PathInput).value.strip()).expanduser()
            ask_start(self, path, self.host.entry.day if self.host.entry else "", self._began)
        else:
            self._say_wrong(str(error))
            self.query_one("#path").focus()

    def _began(self, start: str) -> None:
        self._start = start
        self._read()

    # -- by which mapping ------------------------------------------------------------------------------------------------

    @property
    def _mapping(self) -> PathInput:
        return self.query_one("#mapping", PathInput)

    def _show_mapping(self, name: str) -> None:
        """The line of the mapping, which only recordings need."""
        with self.prevent(Input.Changed):  # nobody typed: what was said of the file still holds
            self._mapping.value = name
        self.query_one("#mapping-line").display = bool(name)

    def action_other_mapping(self) -> None:
        """Reads the recording by another mapping."""
        aircraft = self.host.entry.aircraft if self.host.entry else ""
        self._pick_mapping(
            "By which mapping is the recording to be read?", self.desk.exchange.mapping_names(aircraft)
        )

    def _ask_mapping(self, error: NeedsMapping) -> None:
        if error.choices:
            self._pick_mapping(error.problem, [one.name for one in error.choices])
        else:
            self._say_wrong(str(error))
            self._type_mapping()

    def _pick_mapping(self, heading: str, names: Sequence[str]) -> None:
        picks = [Pick(f"={name}", name) for name in names]
        picks.append(Pick(_OTHER, "A mapping file", "its path is typed"))
        self.app.push_screen(PickBox(heading, picks), self._mapping_picked)

    def _mapping_picked(self, value: str | None) -> None:
        if value == _OTHER:
            self._type_mapping()
        elif value is not None:
            self._by_itself = ""
            self._show_mapping(value[1:])
            self._read()

    def _type_mapping(self) -> None:
        """Shows the box for the path of a mapping file, in the folder that was used last."""
        self._by_itself = ""
        self._show_mapping(recent_folder() or "./")
        self._mapping.focus()
        self._mapping.cursor_position = len(self._mapping.value)

    # -- which flight ----------------------------------------------------------------------------------------------------

    def action_other_flight(self) -> None:
        """Picks one of the flights of the file, that of the form's day first."""
        if not self._found:
            self._say_wrong("Name a file first, and read it with Enter.")
            return
        day = self.host.entry.day if self.host.entry else ""
        picks = [Pick(str(number), one.about) for number, one in enumerate(self._found)]
        first = next((str(number) for number, one in enumerate(self._found) if one.began[:10] == day), "0")
        heading = f"{self._found[0].file} holds {len(self._found)} flight{'s' * (len(self._found) > 1)}"
        self.app.push_screen(PickBox(heading, picks, value=first), self._picked)

    def _picked(self, value: str | None) -> None:
        if value is not None:
            self._choose(self._found[int(value)])
        elif self.proposal is None:
            self._found = []
            self.query_one("#found", PlainText).show(WORDS)

    def _choose(self, proposal: Proposal) -> None:
        """Shows a flight; asks first where the book has it already."""
        entry = self.host.entry
        there = self.desk.exchange.in_the_book(entry.aircraft, proposal, entry.flight_id) if entry else None
        if there is None:
            self.show(proposal)
            return
        flight_id, words = there
        picks = [
            Pick("open", "Open that flight", "nothing is taken; what was typed is kept"),
            Pick("on", "Go on with the form", "it is another flight, or is to be corrected by hand"),
        ]
        box = PickBox(f"You have this flight already: {words}", picks)
        self.app.push_screen(box, lambda value: self._decided(value, flight_id, proposal))

    def _decided(self, value: str | None, flight_id: str, proposal: Proposal) -> None:
        if value == "open":
            self.dismiss(None)
            self.logbook.open_record("flight", flight_id)
        elif value == "on":
            self.show(proposal)
        elif self.proposal is None:
            self._found = []
            self.query_one("#found", PlainText).show(WORDS)

    def action_back(self) -> None:
        """Stops reading; else back to the form, with what was taken."""
        if self._reading:
            self._reading = False
            self.stop_asking("read")
            self.query_one("#found", PlainText).show("Stopped. Nothing was taken.")
        else:
            self.dismiss(self.took)

    def _say_wrong(self, words: str) -> None:
        self.query_one("#wrong", PlainText).show(f"! {words}" if words else "")


def read_clock(text: str) -> Understood:
    """What is to be added to the clock of the file, as a field says it."""
    meaning = read_offset(text)
    return Understood("" if meaning.problem else f"{meaning.echo} is added", problem=meaning.problem)
