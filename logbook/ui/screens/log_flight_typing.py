"""What happens at every key in the flight form: the draft is kept, the figures follow, the field is explained."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from textual import events
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.flight_fields import PARTS, TIMES
from logbook.services.flight_form import Form, as_before, expected_now, on_other_clock
from logbook.services.typed import read_day
from logbook.services.unfinished import Entry
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.log_flight_fields import FormFields, part_id
from logbook.ui.screens.log_flight_live import LiveStrip
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Parse, Understood
from logbook.ui.widgets.words_field import WordsField

if TYPE_CHECKING:
    from logbook.services.flight_entry import Preview


class FlightTyping(BookScreen):
    """A screen with a flight on it that is being typed.

    Attributes:
        entry: what was typed; None while nothing is.
        form: the form it is typed in.
        fields: the form's widgets.
    """

    def __init__(self) -> None:
        super().__init__()
        self.entry: Entry | None = None
        self.wanted: Entry | None = None
        """What is to be gone on with when the screen comes to the front; what was being typed stays a draft."""
        self.form: Form | None = None
        self.fields: FormFields | None = None
        self._warning = ""
        self._part = ""
        self._instead = ""

    def say(self, words: str) -> None:
        """Says something in the line that explains the field one is in."""
        self.query_one("#explained", PlainText).show(words, layout=False)

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
        self.say(self._instead or self._explained(event.widget))
        self._instead = ""
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

    def send_to(self, name: str, words: str) -> None:
        """Puts the keyboard into a field and says why, instead of explaining the field."""
        if self.fields is not None:
            box = self.fields.by_name[name].box
            self._instead = "" if self.focused is box else words
            self.say(words)
            self.unfold(next(field.part for field in self.fields.form.fields if field.name == name))
            self.set_focus(box)

    def unfold(self, part: str) -> None:
        """Shows the fields of a part that is folded until somebody wants it."""
        for fields in self.query(f"#{part_id(part)}-fields"):
            fields.display = True

    def _go_to(self, name: str) -> None:
        """Puts the keyboard into a field at once: keys that are typed ahead must not go elsewhere."""
        if self.fields is not None:
            self.set_focus(self.fields.by_name[name].box)

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
        self.say(
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
        parts = [part for part in PARTS if any(field.part == part for field in self.form.fields)]
        part = parts[(parts.index(here.part) + 1) % len(parts)] if here else parts[0]
        inside = {field.name for field in self.form.fields if field.part == part}
        first = next(name for name in names if name in inside)
        self.unfold(part)
        self._go_to(first)
