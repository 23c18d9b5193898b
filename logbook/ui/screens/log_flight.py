"""Log a flight: before start, after landing, or all at once, with what it costs shown while it is typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Container, Horizontal
from textual.widget import Widget

from logbook.errors import ChangedMeanwhile, LogbookError
from logbook.services.flight_fields import AFTER, AS_BEFORE, BEFORE, OUTCOMES, TIMES
from logbook.services.flight_follows import as_before, carried_over, expected_now
from logbook.services.flight_form import PEOPLE, Form
from logbook.services.unfinished import Entry
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.entry_fields import HEADINGS
from logbook.ui.screens.entry_screen import EntryScreen
from logbook.ui.screens.log_flight_begin import begin
from logbook.ui.screens.log_flight_live import LiveStrip
from logbook.ui.screens.log_flight_saved import SavedBox
from logbook.ui.screens.log_flight_who import ask_who
from logbook.ui.widgets.choice_field import Choice, ChoiceField
from logbook.ui.widgets.field_scroll import FieldScroll
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField

if TYPE_CHECKING:
    from logbook.services.flight_entry import Preview
    from logbook.services.recording_read import ReadRecording

_OUTCOME_WORDS = {"ground-run": "ground run"}


class LogFlightScreen(EntryScreen):
    """Takes one flight from the keyboard. Every key is kept; Escape leaves and loses nothing."""

    NAME = "log"
    SECTION = "log"
    HEADING = "Log a flight"
    PARTS = HEADINGS
    TIMES = (*TIMES, "expected_back")
    LEADS = (*TIMES, "meter_start", "meter_end")
    SAME = AS_BEFORE
    CSS_PATH = STYLES / "log_flight.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("log")]

    def __init__(self) -> None:
        super().__init__()
        self.wanted: Entry | None = None
        """What is to be gone on with when the screen comes to the front; what was being typed stays a draft."""
        self._asking = False
        self._no_fleet = False
        self._read: dict[str, ReadRecording] = {}
        """Recordings in memory that may be kept beside the flight, by digest."""

    @property
    def busy(self) -> bool:
        """Keys typed ahead wait for the form, from the moment the section is opened."""
        return super().busy or (self.entry is None and not self._no_fleet)

    def body(self) -> Iterable[Widget]:
        """What the form is about, its fields, the line that explains one, and what follows from them."""
        with Horizontal(id="about"):
            yield ChoiceField("Aeroplane", [], label_width=11, id="aircraft")
            yield ReadingField("Day", parse=self.read_day, width=11, label_width=4, not_read=False, id="day")
        outcomes = [Choice(outcome, _OUTCOME_WORDS.get(outcome, outcome)) for outcome in OUTCOMES]
        yield ChoiceField("Outcome", outcomes, value="flown", label_width=11, id="outcome")
        with Container(id="work"):
            with Container(id="typing"):
                with FieldScroll(id="fields", can_focus=False):
                    yield Container(id="parts")
                yield PlainText("", id="explained")
            yield LiveStrip(id="live")

    def on_resize(self, event: events.Resize) -> None:
        """In a window of few rows the figures get fewer."""
        self.set_class(event.size.height < 22, "-short")

    # -- which flight -----------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Goes on with what is being typed; else asks what to go on with, or begins a new flight."""
        if not self.is_current:
            return  # told late: another screen is in front by now
        fleet = self.desk.facts.fleet()
        self._no_fleet = not fleet
        if self.entry is None or self.wanted is not None:
            with self.prevent(ChoiceField.Changed):
                self.query_one("#aircraft", ChoiceField).show([Choice(name, name) for name in fleet])
        if self.wanted is not None:
            entry, self.wanted = self.wanted, None
            self.call_later(self.work_on, entry)
        elif self.entry is not None:
            self.look()
        elif not fleet:
            self.say("No aeroplane is in the book yet: add one in Setup (s).")
        elif not self._asking:
            self._asking = True
            begin(self)

    def heading(self) -> str:
        """Which flight, and which clock times are typed in."""
        if self.entry is None or self.form is None:
            return self.HEADING
        what = "Close the flight of" if self.entry.closing else "Log a flight of"
        zone = "UTC" if self.form.clock.zone == "UTC" else "local time"
        return f"{what} {self.entry.aircraft}, {self.form.clock.day}; times in {zone}"

    async def work_on(self, entry: Entry) -> None:
        """Shows a flight to be typed: new, unfinished, or open since before start."""
        self._asking = False
        self.entry = entry
        self._part = BEFORE
        fields = self.query_one("#fields", FieldScroll)
        await self.build()
        fields.scroll_home(animate=False, force=True, immediate=True)  # not where the flight before was left
        self._first_field()

    async def leave(self) -> None:
        """Nothing is being typed any more."""
        self.entry = self.form = self.fields = None
        self._read = {}
        self._asking = False
        await self.query_one("#parts").remove_children()
        self.query_one(LiveStrip).show({}, (), 0)

    def _first_field(self) -> None:
        """The first field in which nothing stands, in the part that is due."""
        if self.entry is None or self.form is None or self.fields is None:
            return
        due = [f.name for f in self.form.fields if f.part == AFTER or not self.entry.closing]
        order = [name for name in self.fields.order() if name in due]
        empty = next((name for name in order if name not in self.entry.typed()), order[0] if order else None)
        if empty is not None:
            self.go_to(empty)

    # -- what the form says of itself -------------------------------------------------------------------------------

    def make_form(self, entry: Entry) -> Form:
        """The form for a flight."""
        return self.desk.flight_form(entry)

    def confirmed(self) -> Mapping[str, tuple[str, str]]:
        """People, place, kind, aboard and mass as on the last flight."""
        return as_before(self.form, self.entry.values) if self.entry and self.form else {}

    def carried(self, old: Form, new: Form) -> Mapping[str, tuple[str, str]]:
        """Readings that were typed go along from pack to pack."""
        return carried_over(old, new, self.entry.values) if self.entry else {}

    def about(self) -> None:
        """The aeroplane and the outcome."""
        if self.entry is not None:
            self.query_one("#aircraft", ChoiceField).value = self.entry.aircraft
            self.query_one("#outcome", ChoiceField).value = self.entry.outcome

    async def on_choice_field_changed(self, event: ChoiceField.Changed) -> None:
        """Another aeroplane, or another outcome: what was typed is kept."""
        event.stop()
        if self.entry is None or self.form is None or not event.value:
            return
        if event.field.id == "outcome" and event.value != self.entry.outcome:
            await self.about_now(outcome=event.value)
        elif event.field.id == "aircraft" and event.value != self.entry.aircraft:
            if self.entry.closing:
                with self.prevent(ChoiceField.Changed):
                    self.about()
                self.say("The flight was opened with this aeroplane. Correct it in Flights.")
            else:
                await self.about_now(aircraft=event.value)

    def look(self) -> None:
        """What the flight costs and what would be flagged, and what follows for the fields still empty."""
        if self.entry is None or self.form is None or self.fields is None:
            return
        strip, packs = self.query_one(LiveStrip), max(1, len(self.form.packs))
        strip.measures = self.entry.measures
        try:
            seen = self.desk.preview(self.form, self.entry.values, self.entry.flight_id)
        except LogbookError as error:
            strip.show({}, [("check", str(error))], packs, self.warning)
            return
        wrong = [("check", f"Not yet right: {self._where(seen)}")] if seen.problem else []
        strip.show(seen.derived, [*wrong, *seen.flags], packs, self.warning)
        for name, text in expected_now(self.form, self.entry.values).items():
            if text or name == "place_to":
                self.fields.by_name[name].expected = text
        if "second_function" in self.fields.by_name:
            self.fields.by_name["second_function"].display = bool(self.fields.by_name["second_person"].text)

    def _where(self, seen: Preview) -> str:
        """The field something is wrong in, which says itself what; else what is wrong with the whole."""
        field = next((f for f in self.form.fields if f.name == seen.field), None)
        meaning = seen.meanings.get(seen.field)
        return f"{field.label}." if field and meaning and meaning.problem else seen.problem

    def on_reading_field_stuck(self, event: ReadingField.Stuck) -> None:
        """Enter on a name the book does not know: who is meant, or a new person; the flight stays as it is."""
        event.stop()
        name = self.fields.name_of(event.field) if self.fields else None
        if name in PEOPLE:
            ask_who(self, name)

    # -- fields from a file -------------------------------------------------------------------------------------------

    def action_take_from(self) -> None:
        """Shows a track or a recording beside what is typed."""
        if self.entry is not None and self.form is not None and self.fields is not None:
            from logbook.ui.screens.take_from import TakeFromScreen

            self.app.push_screen(TakeFromScreen(self), self._took)

    def _took(self, something: bool | None) -> None:
        """Back from the file: to the first field that is still empty."""
        if something:
            self._first_field()

    def take(self, values: Mapping[str, tuple[str, str]]) -> None:
        """Takes values into the form as if they were typed: kept at once, and asked about where improbable."""
        if self.fields is None:
            return
        self.put(values)
        for name, (text, source) in values.items():
            self.unfold(next(field.part for field in self.fields.form.fields if field.name == name))
            self.fields.by_name[name].restore(text, source, kept=False)
        for name in self.LEADS:
            if name in self.fields.by_name:
                self.fields.by_name[name].reread()

    def link(self, read: ReadRecording, *, kept: bool) -> None:
        """Keeps a recording beside the flight once that is saved, or no longer; the draft knows it from now on."""
        if self.entry is None:
            return
        from logbook.services.recording_beside import digest_in, reference

        digest = read.trace.digest
        others = tuple(one for one in self.entry.recordings if digest_in(one) != digest)
        self._read[digest] = read
        self.entry = self.entry._replace(recordings=(*others, reference(read)) if kept else others)
        self.keep()

    # -- saving -------------------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Saves the flight, closed."""
        self._save(open_only=False)

    def action_save_open(self) -> None:
        """Saves the readings before start; the flight stays open."""
        self._save(open_only=True)

    def _save(self, *, open_only: bool) -> None:
        entry = self.entry
        if entry is None or self.form is None or not self.nothing_doubtful():
            return
        try:
            saved = self.desk.save_flight(
                self.form, entry.values, entry.flight_id, open_only=open_only, seen=entry.seen
            )
        except ChangedMeanwhile:
            self.call_later(self.upon_what_is_there, *self.desk.flight_meanwhile(entry))
            return
        except LogbookError as error:
            self.refused(error)
            return
        self.forget_draft()
        flight, beside = saved.flight, self._keep_recordings(entry)
        if beside:
            flight = self.desk.show("flight", entry.flight_id)  # its flags have changed
        box = SavedBox(flight, kept=self._kept(), beside=beside, measures=entry.measures)
        self.app.push_screen(box, partial(self._after_saving, entry))

    def _keep_recordings(self, entry: Entry) -> list[str]:
        """Keeps what was taken from beside the saved flight; what became of each."""
        if not entry.recordings:
            return []
        read, self._read = self._read, {}
        return self.desk.exchange.keep_recordings(entry.flight_id, entry.recordings, read)

    def _kept(self) -> list[str]:
        """What was improbable and confirmed."""
        fields: list[Any] = [] if self.fields is None else list(self.fields.by_name.values())
        readings = [field for field in fields if isinstance(field, ReadingField)]
        return [f"{field.words} {field.understood.echo}" for field in readings if field.understood.doubt]

    async def _after_saving(self, entry: Entry, wish: str | None) -> None:
        """Back to Today, or the next flight from the pile."""
        if wish not in ("next", "again"):
            self.logbook.action_go("today")
            await self.leave()
            return
        await self.leave()
        self._asking = True  # the form comes to the front again meanwhile; it must not begin another flight
        await self.work_on(self.desk.begin_flight(entry.aircraft, entry.day))
        if wish == "again":
            self.action_as_before()
