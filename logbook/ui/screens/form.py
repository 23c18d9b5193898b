"""A form for a record of any kind: fields under headings, the help of the field one is in, and a draft at every key."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, ClassVar, Final, NamedTuple

from textual import events
from textual.binding import BindingType
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.drafts import Draft
from logbook.services.liked_units import DRAFT_KEY, kept_units, requoted
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.typed import words
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.field_scroll import FieldScroll
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField
from logbook.ui.widgets.reading_text import Parse, Source, Understood

_WIDTH: Final = 22
_WIDTH_OF_WORDS: Final = 36
_WIDTH_BESIDE: Final = 28
"""Of boxes for figures, for words, and for words with a note beside them [cells]: 60 columns have room for each."""
_ROOM: Final = 200
"""A longer problem stands at its field alone; the last line says what can be done [characters]."""
Save = Callable[[dict[str, Any]], object]


class Kept(NamedTuple):
    """Under which name the draft of a form is kept."""

    kind: str
    record_id: str
    about: str


class FormScreen(BookScreen):
    """Collects values and hands them to `save`; what `save` gives is what the screen gives. Escape keeps the draft."""

    NAME = "form"
    SECTION = ""
    HEADING = "Form"
    AUTO_FOCUS = "EntryInput"
    CSS_PATH = STYLES / "form.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("form")]

    def __init__(
        self,
        form: PlainForm,
        save: Save,
        *,
        section: str,
        kept: Kept | None = None,
        intro: str = "",
        page: str = "",
    ) -> None:
        """A form.

        Args:
            form: its fields.
            save: writes the values and gives what the screen is to give; a `LogbookError` stays on the screen.
            section: the section one came from.
            kept: where the draft is kept; None for what is quickly typed again.
            intro: said above the fields.
            page: base name of the help page; empty: that of forms.
        """
        super().__init__()
        self.SECTION = section  # type: ignore[misc] # forms belong to the section they are opened from
        self.HELP_PAGE = page  # type: ignore[misc]
        self.form, self._save, self._kept, self._intro = form, save, kept, intro
        self._boxes: dict[str, ReadingField] = {}
        self._restored = False
        self._unkept = ""
        """Why the draft cannot be kept, while that is so; said until it can."""

    def heading(self) -> str:
        """What the form is for."""
        return self.form.title

    def body(self) -> Iterable[Widget]:
        """Fields under their headings, and a line that explains the one under the cursor."""
        with FieldScroll(id="fields", can_focus=False):
            if self._intro:
                yield PlainText(self._intro, classes="intro")
            part = ""
            for number, field in enumerate(self.form.fields):
                if field.part != part:
                    part = field.part
                    yield PlainText(part, classes="part")
                yield self._box(number, field)
        yield PlainText("", id="explained")
        yield PlainText("", id="wrong")

    def _box(self, number: int, field: FormField) -> ReadingField:
        box = ReadingField(
            field.label,
            parse=self._parse(field.name),
            unit=field.unit,
            expected=field.expected,
            width=self._width(field),
            label_width=18,
            not_read=self.form.changing,
            id=f"field-{number}",
        )
        self._boxes[field.name] = box
        return box

    def _width(self, field: FormField) -> int:
        """Words in one's own are longer than a figure; where nothing else stands beside them, they have more room."""
        beside = len(field.unit) > len("needed") or field.expected
        if beside or self.form.readers.get(field.name, words) is not words:
            return _WIDTH
        return _WIDTH_OF_WORDS if not field.unit else _WIDTH_BESIDE

    def _parse(self, name: str) -> Parse:
        def parse(text: str) -> Understood:
            meaning = self.form.meaning(name, text)
            return Understood(meaning.echo, meaning.doubt, meaning.problem)

        return parse

    def fill(self) -> None:
        """Puts a draft back, once."""
        if not self._restored:
            self._restored = True
            self._restore()
        self._explain(self.focused)

    # -- the draft --------------------------------------------------------------------------------------------------

    def _draft(self) -> Draft | None:
        if self._kept is None:
            return None
        values = {name: (box.text, str(box.source)) for name, box in self._boxes.items() if box.text}
        if values:
            values[DRAFT_KEY] = (kept_units(self.desk.measures), "form")
        return Draft(
            self._kept.record_id, f"form:{self._kept.kind}", values, self._kept.about, self.desk.clock()
        )

    def _restore(self) -> None:
        mine = self._draft()
        for draft in self.desk.drafts.offered() if mine else ():
            if mine and (draft.kind, draft.record_id) == (mine.kind, mine.record_id):
                for name, (text, source) in requoted(draft.values, self.desk.measures).items():
                    if name in self._boxes:
                        self._boxes[name].restore(text, source)
                self.notify("What was typed before is here again.", markup=False)

    def on_reading_field_changed(self, event: ReadingField.Changed) -> None:
        """Every key goes to the draft."""
        event.stop()
        draft = self._draft()
        if draft is None:
            self._say_wrong("")
            return
        try:
            if draft.values:
                self.desk.drafts.keep(draft)
            else:
                self.desk.drafts.drop(draft)
        except OSError as error:
            self._unkept = f"The draft cannot be kept ({error.strerror}): save before you leave."
        else:
            self._unkept = ""
        self._say_wrong(self._unkept)

    # -- keys -------------------------------------------------------------------------------------------------------

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Explains the field one came to."""
        self._explain(event.widget)

    def _explain(self, widget: Widget | None) -> None:
        for name, box in self._boxes.items():
            if widget is not None and box in widget.ancestors:
                field = next(field for field in self.form.fields if field.name == name)
                self.query_one("#explained", PlainText).show(field.help or field.label)

    def action_next_part(self) -> None:
        """To the first field of the next heading; from the last one, to the first field."""
        here = next((i for i, f in enumerate(self.form.fields) if self._boxes[f.name].has_focus_within), 0)
        part = self.form.fields[here].part
        later = [f for f in self.form.fields[here:] if f.part != part]
        self._boxes[(later[0] if later else self.form.fields[0]).name].focus()

    def action_empty_form(self) -> None:
        """Throws away what was typed, once that is said again: nobody presses a key by chance and loses a form."""
        if not any(box.text for box in self._boxes.values()):
            self.notify("Nothing is typed here.", markup=False)
            return

        def picked(answer: str | None) -> None:
            if answer == "yes":
                for box in self._boxes.values():
                    box.restore("", str(Source.EMPTY))
                draft = self._draft()
                if draft is not None:
                    self.desk.drafts.drop(draft)
                self._boxes[self.form.fields[0].name].focus()

        picks = [
            Pick("no", "Keep it"),
            Pick("yes", "Throw it away", "all fields are empty then; nothing was saved"),
        ]
        self.app.push_screen(PickBox("Throw away what was typed here?", picks), picked)

    def action_save(self) -> None:
        """Saves, or says what is in the way and goes there."""
        doubtful = next((box for box in self._boxes.values() if box.doubtful), None)
        if doubtful is not None:
            doubtful.focus()
            self._say_wrong("Improbable: Enter in the field keeps it, or correct it.")
            return
        values = {name: (box.text, str(box.source)) for name, box in self._boxes.items()}
        try:
            done = self._save(self.form.record(values))
        except LogbookError as error:
            self._refused(error)
            return
        draft = self._draft()
        if draft is not None:
            self.desk.drafts.drop(draft)
        self.dismiss(done)

    def action_back(self) -> None:
        """Leaves; the draft stays and is offered again."""
        self.dismiss(None)

    def _refused(self, error: LogbookError) -> None:
        box = self._boxes.get(error.field)
        if box is None:
            self.trouble(error, "Not saved")
            return
        if box.source is Source.EMPTY:
            self._say_wrong(str(error))
        else:
            box.show_problem(error.problem)
            told = f"Not saved: {error}"
            self._say_wrong(
                told
                if len(told) <= _ROOM
                else f"Not saved, see {self._label(error.field)}. {error.next_step}"
            )
        box.focus()

    def _label(self, name: str) -> str:
        return next(field.label for field in self.form.fields if field.name == name)

    def _say_wrong(self, words: str) -> None:
        self.query_one("#wrong", PlainText).show(f"! {words}" if words else "")
