"""A form on which something is entered over many keys: each key is kept, every field explained, nothing taken for granted."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from typing import Any, ClassVar, Final, Protocol

from textual import events
from textual.widget import Widget

from logbook.services.flight_fields import Field, Slot
from logbook.services.flight_form import Values
from logbook.services.typed import Reader
from logbook.services.typed_time import Clock, read_day
from logbook.services.unfinished import Entry
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.entry_fields import FormFields, part_id
from logbook.ui.widgets.choice_field import ChoiceField
from logbook.ui.widgets.field_scroll import FieldScroll
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Parse, Understood
from logbook.ui.widgets.words_field import WordsField

_MARGINS: Final = 2
"""Beside the line that explains a field [cells]."""


class Form(Protocol):
    """What a form knows, of a flight or of a charge."""

    @property
    def fields(self) -> tuple[Field, ...]:
        """In the order of the work."""

    @property
    def packs(self) -> tuple[Slot, ...]:
        """In the order of their positions."""

    @property
    def clock(self) -> Clock:
        """The day, and the clock times are typed on."""

    def reader(self, name: str, values: Values) -> Reader:
        """How the text of a field is read."""

    def on_clock(self, clock: Clock) -> Any:
        """The same form with times on another clock."""


class EntryTyping(BookScreen):
    """What all such forms do while somebody types. One says `PARTS`, `TIMES`, `make_form`, `look` and `confirmed`.

    Attributes:
        entry: what was typed; None while nothing is.
        form: the form it is typed in.
        fields: the form's widgets.
    """

    PARTS: ClassVar[Mapping[str, str]]
    """The parts of the form, and what stands above each."""
    TIMES: ClassVar[tuple[str, ...]]
    """Fields that hold times, each read from the one before it."""
    LEADS: ClassVar[tuple[str, ...]]
    """Fields on which the meaning of those that follow here may depend."""
    SAME: ClassVar[tuple[str, ...]] = ()
    """Fields "as before" is about: what was empty then is passed over."""

    def __init__(self) -> None:
        super().__init__()
        self.entry: Entry | None = None
        self.form: Any = None
        self.fields: FormFields | None = None
        self.warning = ""
        """Trouble with keeping the draft, in words."""
        self._building = asyncio.Lock()
        self._part = ""
        self._instead = ""

    @property
    def busy(self) -> bool:
        """Whether the fields are being made: keys typed ahead wait for them."""
        return self._building.locked() or (self.entry is not None and self.fields is None)

    # -- what a form says of itself -----------------------------------------------------------------------------------

    def make_form(self, entry: Entry) -> Form:
        """The form for an entry."""
        raise NotImplementedError

    def look(self) -> None:
        """Shows what follows from what was typed."""

    def confirmed(self) -> Mapping[str, tuple[str, str]]:
        """What "as before" confirms."""
        return {}

    def about(self) -> None:
        """Shows above the fields what the form is about."""

    def carried(self, old: Any, new: Any) -> Mapping[str, tuple[str, str]]:  # noqa: ARG002 - for forms that carry over
        """What was typed, for a form about something else."""
        return self.entry.values if self.entry else {}

    # -- making the fields --------------------------------------------------------------------------------------------

    async def build(self) -> None:
        """Makes the fields for what the form is about, and puts back what was typed."""
        async with self._building:
            if self.entry is not None:
                await self._build(self.entry)

    async def _build(self, entry: Entry) -> None:
        form = self.make_form(entry)
        fields = FormFields(form, self._parser, self.PARTS)
        made = list(fields.parts())
        parts = self.query_one("#parts")
        with self.app.batch_update():
            await parts.remove_children()
            await parts.mount_all(made)
        self.form, self.fields = form, fields
        for name, (text, source) in entry.values.items():
            if name in fields.by_name and source != "empty":
                fields.by_name[name].restore(text, source, kept=entry.closing)
        for field in form.fields:
            if field.name in entry.typed():
                self.unfold(field.part)
        day = self.query_one("#day", ReadingField)
        day.unit = read_day(entry.day, entry.day).echo
        day.reread()
        with self.prevent(ChoiceField.Changed):
            self.about()
        self.look()
        self.paint_head()

    async def about_now(self, **changes: Any) -> None:
        """The form for another aeroplane, day or outcome; what was typed goes along, the keyboard stays where it is."""
        if self.entry is None or self.form is None:
            return
        old = self.form
        self.entry = self.entry._replace(**changes)
        self.entry = self.entry._replace(values=dict(self.carried(old, self.make_form(self.entry))))
        await self.build()
        if self.entry and self.entry.typed():
            self.keep()

    # -- typing -------------------------------------------------------------------------------------------------------

    def _parser(self, name: str) -> Parse:
        def parse(text: str) -> Understood:
            if self.form is None or self.entry is None:
                return Understood()
            meaning = self.form.reader(name, self.entry.values)(text)
            echo = "" if meaning.echo == text.strip() and not meaning.doubt else meaning.echo
            return Understood(echo, meaning.doubt, meaning.problem)

        return parse

    def read_day(self, text: str) -> Understood:
        """What a text in the day field means."""
        today = self.form.clock.day if self.form else self.desk.clock()[:10]
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
        self.put({name: (text, source)})
        if name in self.LEADS and self.fields is not None:
            for other in self.LEADS[self.LEADS.index(name) + 1 :]:
                if other in self.fields.by_name:
                    self.fields.by_name[other].reread()
        self.look()

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
            await self.about_now(day=meaning.value)

    # -- the draft ----------------------------------------------------------------------------------------------------

    def put(self, values: Mapping[str, tuple[str, str]]) -> None:
        """Takes values into the entry, and the entry into its draft."""
        if self.entry is not None:
            self.entry = self.entry._replace(values={**self.entry.values, **values})
            self.keep()

    def keep(self) -> None:
        """Writes the draft. A full disk is told beside the figures, and typing goes on."""
        if self.entry is None:
            return
        draft = self.entry.draft(self.desk.clock())
        try:
            if self.entry.typed():
                self.desk.drafts.keep(draft)
            else:
                self.desk.drafts.drop(draft)
            self.warning = ""
        except OSError as error:
            self.warning = f"Keys cannot be kept on the disk ({error.strerror}). Go on typing, and save soon."

    def forget_draft(self) -> None:
        """What was typed is in the book; should the draft stay behind, it is not offered either."""
        if self.entry is not None:
            try:
                self.desk.drafts.drop(self.entry.draft(""))
            except OSError:
                self.warning = "The draft could not be removed; it is not offered again."

    # -- where the keyboard is ----------------------------------------------------------------------------------------

    def say(self, words: str) -> None:
        """Says something in the line that explains the field one is in; two lines where one is too short."""
        line = self.query_one("#explained", PlainText)
        line.set_class(
            len(words) > self.size.width - _MARGINS, "-long"
        )  # laid out anew only where that changes
        line.show(words, layout=False)

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Explains the field one came to, and brings its part into sight."""
        self.say(self._instead or self._explained(event.widget))
        self._instead = ""
        field = None if self.fields is None else self.fields.field_of(event.widget)
        part = field.part if field else ""
        if part and part != self._part and self._part:
            for heading in self.query(f"#{part_id(part)}"):
                self.query_one(FieldScroll).begin_at(heading, event.widget)
        self._part = part or self._part

    def _explained(self, widget: Widget) -> str:
        if isinstance(widget, ChoiceField):
            return "Left and right choose; what was typed is kept."
        if any(part.id == "day" for part in widget.ancestors):
            return "Day: 2031-05-09, 9.5., 9 (of this month), -1 (yesterday). Enter takes it; what was typed is kept."
        field = None if self.fields is None else self.fields.field_of(widget)
        if field is None:
            return ""
        words = f"{field.label}: {field.hint}"
        expected = "" if self.fields is None else self.fields.by_name[field.name].expected
        if not expected:
            return words
        ends = (f"= takes {expected} and goes on", f"= takes {expected}", "= takes it")
        lines = [f"{words}  {end}" for end in ends]  # beside the field a name may be cut; here it is whole
        return next((line for line in lines if len(line) <= self.size.width - _MARGINS), lines[-1])

    def go_to(self, name: str) -> None:
        """Puts the keyboard into a field at once: keys that are typed ahead must not go elsewhere."""
        if self.fields is not None:
            self.set_focus(self.fields.by_name[name].box)

    def send_to(self, name: str, words: str) -> None:
        """Puts the keyboard into a field and says why, instead of explaining the field."""
        if self.fields is not None:
            self._instead = "" if self.focused is self.fields.by_name[name].box else words
            self.say(words)
            self.unfold(next(field.part for field in self.fields.form.fields if field.name == name))
            self.go_to(name)

    def unfold(self, part: str) -> None:
        """Shows the fields of a part that is folded until somebody wants it."""
        for fields in self.query(f"#{part_id(part)}-fields"):
            fields.display = True
