"""Log a flight: before start, after landing, or all at once, with what it costs shown while it is typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Container, Horizontal, VerticalScroll
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.flight_fields import AFTER, BEFORE, OUTCOMES, TIMES
from logbook.services.flight_form import Form, as_before, carried_over, expected_now, on_other_clock
from logbook.services.typed import read_day
from logbook.services.unfinished import Entry
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.log_flight_begin import begin
from logbook.ui.screens.log_flight_fields import FormFields, part_id
from logbook.ui.screens.log_flight_live import LiveStrip
from logbook.ui.screens.log_flight_saved import SavedBox
from logbook.ui.widgets.choice_field import Choice, ChoiceField
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Parse, Understood
from logbook.ui.widgets.words_field import WordsField

if TYPE_CHECKING:
    from logbook.services.flight_entry import Preview

_OUTCOME_WORDS = {
    "ground-run": "ground run",
    "aborted": "aborted",
    "rejected": "rejected",
    "device": "device",
}


class LogFlightScreen(BookScreen):
    """Takes one flight from the keyboard. Every key is kept; Escape leaves and loses nothing."""

    NAME = "log"
    SECTION = "log"
    HEADING = "Log a flight"
    CSS_PATH = STYLES / "log_flight.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("log")]

    def __init__(self) -> None:
        super().__init__()
        self.entry: Entry | None = None
        self.form: Form | None = None
        self.fields: FormFields | None = None
        self._warning = ""
        self._asking = False
        self._part = ""

    def body(self) -> Iterable[Widget]:
        """What the form is about, its fields, the line that explains one, and what follows from them."""
        with Horizontal(id="about"):
            yield ChoiceField("Aeroplane", [], label_width=11, id="aircraft")
            yield ReadingField("Day", parse=self._read_day, width=11, label_width=4, not_read=False, id="day")
        outcomes = [Choice(outcome, _OUTCOME_WORDS.get(outcome, outcome)) for outcome in OUTCOMES]
        yield ChoiceField("Outcome", outcomes, value="flown", label_width=11, id="outcome")
        with Container(id="work"):
            with VerticalScroll(id="fields", can_focus=False):
                yield Container(id="parts")
            yield PlainText("", id="explained")
            yield LiveStrip(id="live")

    # -- which flight -----------------------------------------------------------------------------------------------

    def fill(self) -> None:
        """Goes on with what is being typed; else asks what to go on with, or begins a new flight."""
        if not self.is_current:
            return  # told late: another screen is in front by now
        if self.entry is not None:
            self._look()
        elif not self._asking:
            fleet = self.desk.facts.fleet()
            self.query_one("#aircraft", ChoiceField).show([Choice(name, name) for name in fleet])
            if fleet:
                self._asking = True
                begin(self)
            else:
                self.query_one("#explained", PlainText).show(
                    "No aeroplane is in the book yet: add one in Setup."
                )

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
        if self.entry is None:
            return
        self.form = form = self.desk.flight_form(self.entry)
        self.fields = fields = FormFields(form, self._parser)
        parts = self.query_one("#parts")
        with self.app.batch_update():
            await parts.remove_children()
            await parts.mount_all(fields.parts())
        for name, (text, source) in self.entry.values.items():
            if name in fields.by_name and source != "empty":
                fields.by_name[name].restore(text, source, kept=self.entry.closing)
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

    def _go_to(self, name: str) -> None:
        """Puts the keyboard into a field at once: keys that are typed ahead must not go elsewhere."""
        if self.fields is not None:
            self.set_focus(self.fields.by_name[name].box)

    # -- typing -----------------------------------------------------------------------------------------------------

    def _parser(self, name: str) -> Parse:
        def parse(text: str) -> Understood:
            if self.form is None or self.entry is None:
                return Understood()
            meaning = self.form.reader(name, self.entry.values)(text)
            echo = "" if meaning.echo == text.strip() else meaning.echo
            return Understood(echo, meaning.doubt, meaning.problem)

        return parse

    def _read_day(self, text: str) -> Understood:
        today = self.form.choice.clock.day if self.form else self.desk.clock()[:10]
        meaning = read_day(text, today)
        return Understood(meaning.echo, meaning.doubt, meaning.problem)

    def on_reading_field_changed(self, event: ReadingField.Changed) -> None:
        """Keeps the key that was pressed."""
        event.stop()
        if event.field.id != "day":
            self._changed(event.field, event.text, str(event.source))

    def on_words_field_changed(self, event: WordsField.Changed) -> None:
        """Keeps the key that was pressed."""
        event.stop()
        self._changed(event.field, event.text, str(event.source))

    def _changed(self, field: Widget, text: str, source: str) -> None:
        name = None if self.fields is None else self.fields.name_of(field)
        if self.entry is None or name is None or self.entry.values.get(name, ("", "empty")) == (text, source):
            return
        self._put({name: (text, source)})
        if name in TIMES and self.fields is not None:
            for later in TIMES[TIMES.index(name) + 1 :]:
                if later in self.fields.by_name:
                    self.fields.by_name[later].reread()
        self._look()

    def _put(self, values: Mapping[str, tuple[str, str]]) -> None:
        """Takes values into the entry, and the entry into its draft."""
        if self.entry is None:
            return
        self.entry = self.entry._replace(values={**self.entry.values, **values})
        self._keep()

    def _keep(self) -> None:
        """Writes the draft. A full disk is told once, beside the figures, and typing goes on."""
        if self.entry is None:
            return
        draft = self.entry.draft(self.desk.clock())
        try:
            if self.entry.typed():
                self.desk.drafts.keep(draft)
            else:
                self.desk.drafts.drop(draft)
            self._warning = ""
        except OSError as error:
            self._warning = (
                f"Keys cannot be kept on the disk ({error.strerror}). Go on typing, and save soon."
            )

    def _look(self) -> None:
        """What follows from what was typed."""
        if self.entry is None or self.form is None or self.fields is None:
            return
        try:
            seen = self.desk.preview(self.form, self.entry.values, self.entry.flight_id)
        except LogbookError as error:
            self.query_one(LiveStrip).show(
                {}, [("check", f"{error.problem} {error.next_step}")], 0, self._warning
            )
            return
        flags = (
            [("check", f"Not yet right: {seen.problem}.".replace("..", ".")), *seen.flags]
            if seen.problem
            else seen.flags
        )
        self.query_one(LiveStrip).show(seen.derived, flags, max(1, len(self.form.packs)), self._warning)
        for name, text in expected_now(self.form, self.entry.values).items():
            if text or name == "place_to":
                self.fields.by_name[name].expected = text
        if "second_function" in self.fields.by_name:
            self.fields.by_name["second_function"].display = bool(self.fields.by_name["second_person"].text)

    def _where(self, seen: Preview) -> str:
        """The field something is wrong in, which says itself what; else what is wrong with the whole."""
        field = next((f for f in self.form.fields if f.name == seen.field), None) if self.form else None
        meaning = seen.meanings.get(seen.field)
        return f"{field.label}." if field and meaning and meaning.problem else seen.problem

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Explains the field one came to."""
        self.query_one("#explained", PlainText).show(self._explained(event.widget))
        field = None if self.fields is None else self.fields.field_of(event.widget)
        part = field.part if field else ""
        if part and part != self._part and self._part:
            self._show_part(part)
        self._part = part or self._part

    def _show_part(self, part: str) -> None:
        """Brings a part to the top, as far as it goes."""
        heading = self.query(f"#{part_id(part)}")
        if heading:
            heading.first().scroll_visible(top=True, animate=False)

    def _explained(self, widget: Widget) -> str:
        if widget.id in ("aircraft", "outcome"):
            return "left and right choose; what was typed is kept"
        if any(part.id == "day" for part in widget.ancestors):
            return "local day: 2031-05-09, 9 (of this month), -1 (yesterday); Enter takes it, what was typed is kept"
        field = None if self.fields is None else self.fields.field_of(widget)
        if field is None:
            return ""
        takes = "  = takes it" if self.fields and self.fields.by_name[field.name].expected else ""
        return f"{field.label}: {field.hint}{takes}"

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
                self.query_one("#explained", PlainText).show(
                    "The flight was opened with this aeroplane. Correct it in Flights."
                )
            else:
                await self._about_now(aircraft=event.value)

    async def on_input_submitted(self) -> None:
        """Enter in the day field takes the day."""
        day = self.query_one("#day", ReadingField)
        if self.entry is None or not day.has_focus_within:
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

    def action_as_before(self) -> None:
        """People, place, kind, aboard and mass as on the last flight, where nothing stands yet."""
        if self.entry is None or self.form is None or self.fields is None:
            return
        taken = as_before(self.form, self.entry.values)
        self._put(taken)
        for name, (text, source) in taken.items():
            self.fields.by_name[name].restore(text, source)
        self._look()
        order = self.fields.order()
        last = max((order.index(name) for name in taken), default=-1)
        empty = [name for name in order[last + 1 :] if name not in self.entry.typed()]
        if empty:
            self._go_to(empty[0])

    def action_switch_clock(self) -> None:
        """Times in UTC or local; those typed already keep their meaning and change their figures."""
        if self.entry is None or self.form is None or self.fields is None:
            return
        clock = self.form.choice.clock
        zone = clock.home_zone if clock.zone == "UTC" else "UTC"
        moved = on_other_clock(self.form, self.entry.values, clock._replace(zone=zone))
        self.form = self.form._replace(choice=self.form.choice._replace(clock=clock._replace(zone=zone)))
        self.entry = self.entry._replace(zone=zone)
        self._put(moved)
        for name, (text, source) in moved.items():
            self.fields.by_name[name].restore(text, source)
        for name in (*TIMES, "expected_back"):
            if name in self.fields.by_name:
                self.fields.by_name[name].reread()
        self.paint_head()
        self.query_one("#explained", PlainText).show(
            "The book knows no time zone for this place: UTC only."
            if clock.home_zone == "UTC"
            else f"Times are typed in {'UTC' if zone == 'UTC' else 'local time'} now; the other is shown beside."
        )

    def action_next_part(self) -> None:
        """To the next part: before start, after landing, more, and round again."""
        if self.form is None or self.fields is None:
            return
        here = self.fields.field_of(self.focused)
        names = self.fields.order()
        parts = list(dict.fromkeys(field.part for field in self.form.fields))
        part = parts[(parts.index(here.part) + 1) % len(parts)] if here else parts[0]
        inside = {field.name for field in self.form.fields if field.part == part}
        first = next(name for name in names if name in inside)
        self._go_to(first)

    def action_save(self) -> None:
        """Saves the flight, closed."""
        self._save(open_only=False)

    def action_save_open(self) -> None:
        """Saves the readings before start; the flight stays open."""
        self._save(open_only=True)

    def _save(self, *, open_only: bool) -> None:
        if self.entry is None or self.form is None or self.fields is None:
            return
        doubtful = next((f for f in self.fields.by_name.values() if f.doubtful and not f.refused), None)
        if doubtful is not None:
            doubtful.focus()
            self.query_one("#explained", PlainText).show(
                "! Improbable: Enter or ! in the field keeps it; or correct it. Not saved yet."
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
        field.focus()
        self.query_one("#explained", PlainText).show(f"! Not saved. {error.problem} {error.next_step}")

    async def _after_saving(self, entry: Entry, wish: str | None) -> None:
        """Back to Today, or the next flight from the pile."""
        if wish not in ("next", "again"):
            self.logbook.action_go("today")
            await self.leave()
            return
        await self.leave()
        await self.work_on(self.desk.begin_flight(entry.aircraft, entry.day))
        if wish == "again":
            self.call_after_refresh(self.action_as_before)
