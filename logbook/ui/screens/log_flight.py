"""Log a flight: before start, after landing, or all at once, with what it costs shown while it is typed."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Container, Horizontal, VerticalScroll
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.flight_fields import AFTER, BEFORE, MORE, OUTCOMES
from logbook.services.flight_form import carried_over
from logbook.services.typed import read_day
from logbook.services.unfinished import Entry
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.log_flight_begin import begin
from logbook.ui.screens.log_flight_fields import FormFields
from logbook.ui.screens.log_flight_live import LiveStrip
from logbook.ui.screens.log_flight_saved import SavedBox
from logbook.ui.screens.log_flight_typing import FlightTyping
from logbook.ui.widgets.choice_field import Choice, ChoiceField
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField

if TYPE_CHECKING:
    pass

_OUTCOME_WORDS = {
    "ground-run": "ground run",
    "aborted": "aborted",
    "rejected": "rejected",
    "device": "device",
}


class LogFlightScreen(FlightTyping):
    """Takes one flight from the keyboard. Every key is kept; Escape leaves and loses nothing."""

    NAME = "log"
    SECTION = "log"
    HEADING = "Log a flight"
    CSS_PATH = STYLES / "log_flight.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("log")]

    def __init__(self) -> None:
        super().__init__()
        self._asking = False
        self._building = asyncio.Lock()

    def body(self) -> Iterable[Widget]:
        """What the form is about, its fields, the line that explains one, and what follows from them."""
        with Horizontal(id="about"):
            yield ChoiceField("Aeroplane", [], label_width=11, id="aircraft")
            yield ReadingField("Day", parse=self._read_day, width=11, label_width=4, not_read=False, id="day")
        outcomes = [Choice(outcome, _OUTCOME_WORDS.get(outcome, outcome)) for outcome in OUTCOMES]
        yield ChoiceField("Outcome", outcomes, value="flown", label_width=11, id="outcome")
        with Container(id="work"):
            with Container(id="typing"):
                with VerticalScroll(id="fields", can_focus=False):
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
        if self.wanted is not None:
            entry, self.wanted = self.wanted, None
            self.call_later(self.work_on, entry)
        elif self.entry is not None:
            self._look()
        elif not self._asking:
            fleet = self.desk.facts.fleet()
            self.query_one("#aircraft", ChoiceField).show([Choice(name, name) for name in fleet])
            if fleet:
                self._asking = True
                begin(self)
            else:
                self.say("No aeroplane is in the book yet: add one in Setup.")

    def heading(self) -> str:
        """Which flight, and which clock times are typed in."""
        if self.entry is None or self.form is None:
            return self.HEADING
        clock = self.form.choice.clock
        what = "Close the flight of" if self.entry.closing else "Log a flight of"
        zone = "UTC" if clock.zone == "UTC" else "local time"
        return f"{what} {self.entry.aircraft}, {clock.day}; times in {zone}"

    async def work_on(self, entry: Entry) -> None:
        """Shows a flight to be typed: new, unfinished, or open since before start."""
        self._asking = False
        self.entry = entry
        self._part = BEFORE
        await self._build()
        self._first_field()

    async def leave(self) -> None:
        """Nothing is being typed any more."""
        self.entry = self.form = self.fields = None
        self._asking = False
        await self.query_one("#parts").remove_children()
        self.query_one(LiveStrip).show({}, (), 0)

    async def _build(self) -> None:
        """Makes the fields for what the form is about, and puts back what was typed."""
        async with self._building:
            await self._build_now()

    async def _build_now(self) -> None:
        if self.entry is None:
            return
        form = self.desk.flight_form(self.entry)
        fields = FormFields(form, self._parser)
        made = list(fields.parts())
        parts = self.query_one("#parts")
        with self.app.batch_update():
            await parts.remove_children()
            await parts.mount_all(made)
        self.form, self.fields = form, fields
        for name, (text, source) in self.entry.values.items():
            if name in fields.by_name and source != "empty":
                fields.by_name[name].restore(text, source, kept=self.entry.closing)
        if any(field.part == MORE and field.name in self.entry.typed() for field in form.fields):
            self.unfold(MORE)
        self._about()
        self._look()
        self.paint_head()

    def _about(self) -> None:
        """Shows what the form is about, without taking that for a wish to change it."""
        if self.entry is None:
            return
        with self.prevent(ChoiceField.Changed, ReadingField.Changed):
            aircraft = self.query_one("#aircraft", ChoiceField)
            aircraft.value = self.entry.aircraft
            self.query_one("#outcome", ChoiceField).value = self.entry.outcome
        day = self.query_one("#day", ReadingField)
        day.unit = read_day(self.entry.day, self.entry.day).echo
        day.reread()

    def _first_field(self) -> None:
        """The first field in which nothing stands, in the part that is due."""
        if self.entry is None or self.form is None or self.fields is None:
            return
        due = [f.name for f in self.form.fields if f.part == AFTER or not self.entry.closing]
        order = [name for name in self.fields.order() if name in due]
        empty = next((name for name in order if name not in self.entry.typed()), order[0] if order else None)
        if empty is not None:
            self._go_to(empty)

    # -- what the form is about ---------------------------------------------------------------------------------------

    async def on_choice_field_changed(self, event: ChoiceField.Changed) -> None:
        """Another aeroplane, or another outcome: what was typed is kept."""
        event.stop()
        if self.entry is None or self.form is None or not event.value:
            return
        if event.field.id == "outcome" and event.value != self.entry.outcome:
            await self._about_now(outcome=event.value)
        elif event.field.id == "aircraft" and event.value != self.entry.aircraft:
            if self.entry.closing:
                self._about()
                self.say("The flight was opened with this aeroplane. Correct it in Flights.")
            else:
                await self._about_now(aircraft=event.value)

    async def on_reading_field_accepted(self, event: ReadingField.Accepted) -> None:
        """Enter in the day field takes the day."""
        event.stop()
        day = event.field
        if self.entry is None or day.id != "day":
            return
        meaning = read_day(day.text, self.entry.day)
        if day.text and not meaning.problem:
            with self.prevent(ReadingField.Changed):
                day.restore("", "empty")
            await self._about_now(day=meaning.value)

    async def _about_now(self, **changes: Any) -> None:
        """The form for another aeroplane, day or outcome; typed values go along, the keyboard stays where it is."""
        if self.entry is None or self.form is None:
            return
        old = self.form
        self.entry = self.entry._replace(**changes)
        new = self.desk.flight_form(self.entry)
        self.entry = self.entry._replace(values=carried_over(old, new, self.entry.values))
        await self._build()
        if self.entry.typed():
            self._keep()

    # -- keys -------------------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Saves the flight, closed."""
        self._save(open_only=False)

    def action_save_open(self) -> None:
        """Saves the readings before start; the flight stays open."""
        self._save(open_only=True)

    def _save(self, *, open_only: bool) -> None:
        if self.entry is None or self.form is None or self.fields is None:
            return
        fields = self.fields.by_name.items()
        doubtful = next((name for name, field in fields if field.doubtful and not field.refused), None)
        if doubtful is not None:
            self.send_to(
                doubtful, "! Not saved yet: improbable. Enter or ! in the field keeps it, or correct it."
            )
            return
        try:
            saved = self.desk.save_flight(
                self.form, self.entry.values, self.entry.flight_id, open_only=open_only
            )
        except LogbookError as error:
            self._refused(error)
            return
        self._forget_draft()
        self.app.push_screen(
            SavedBox(saved.flight, kept=self._kept()), partial(self._after_saving, self.entry)
        )

    def _kept(self) -> list[str]:
        fields = [] if self.fields is None else list(self.fields.by_name.values())
        return [
            f"{field.words} {field.understood.echo}"
            for field in fields
            if isinstance(field, ReadingField) and field.understood.doubt
        ]

    def _forget_draft(self) -> None:
        """The flight is in the book; should the draft stay behind, it is not offered either."""
        if self.entry is not None:
            try:
                self.desk.drafts.drop(self.entry.draft(""))
            except OSError:
                self._warning = "The draft could not be removed; it is not offered again."

    def _refused(self, error: LogbookError) -> None:
        """What is wrong stays in its field; what belongs to none, or to the file, in a box."""
        field = None if self.fields is None else self.fields.by_name.get(error.field)
        if field is None:
            self.trouble(error, "Not saved")
            return
        field.show_problem(error.problem)
        self.send_to(error.field, f"! Not saved. {error.problem} {error.next_step}")

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
            self.call_after_refresh(self.action_as_before)
