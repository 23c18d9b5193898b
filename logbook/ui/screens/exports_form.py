"""The form of one export: of what, in which form, where to. Nothing is overwritten without being asked."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Final

from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Input

from logbook.errors import LogbookError, UsageError
from logbook.services.export_list import BY_ID, Form, Offer
from logbook.services.watched import Stopped, Watch
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.widgets.choice_field import Choice, ChoiceField
from logbook.ui.widgets.entry_input import EntryInput
from logbook.ui.widgets.field_scroll import FieldScroll
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText

if TYPE_CHECKING:
    from logbook.services.desk import Desk

_OF: Final = {"person": "Person", "pack": "Pack", "aircraft": "Aeroplane", "plan": "Plan", "year": "Year"}
_LAYOUTS: Final = (Choice("european", "European"), Choice("american", "American"))


def export_form(desk: Desk, offer_id: str, which: str = "") -> ExportForm:
    """The form of an offer; what it is of may be known already."""
    offer = BY_ID[offer_id]
    return ExportForm(offer, desk.exchange.forms(offer), which)


class ExportForm(BookScreen):
    """Writes one file, in a thread; Escape stops it, and nothing half-written stays."""

    NAME = "export-form"
    SECTION = "exports"
    HEADING = "Export"
    AUTO_FOCUS = "ChoiceField, EntryInput"
    CSS_PATH = STYLES / "exports.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("export-form")]
    HELP_PAGE = "exports"

    def __init__(self, offer: Offer, forms: tuple[Form, ...], which: str = "") -> None:
        super().__init__()
        self._offer, self._forms, self._which = offer, forms, which
        self._own_path = False
        self._watch: Watch | None = None

    def heading(self) -> str:
        """What is written."""
        return f"Write: {self._offer.title}"

    def body(self) -> Iterable[Widget]:
        """Choices, the path, and how far it is."""
        with FieldScroll(id="fields", can_focus=False):
            yield PlainText(f"{self._offer.title}: {self._offer.about}.", classes="words")
            if self._offer.of:
                yield ChoiceField(_OF[self._offer.of], [], label_width=10, id="which")
            if self._offer.id == "person-pages":
                yield ChoiceField("Columns", _LAYOUTS, value="european", label_width=10, id="layout")
            if len(self._forms) > 1:
                choices = [Choice(form.word, form.word) for form in self._forms]
                yield ChoiceField("Form", choices, value=self._forms[0].word, label_width=10, id="form")
            yield PlainText("", classes="words grey", id="form-about")
            yield PlainText("Where to (a path, or a folder):", classes="words")
            yield EntryInput(max_length=1000, id="to")
        yield PlainText("", id="state")
        yield PlainText("", id="wrong")

    def fill(self) -> None:
        """Offers names, the last person's first, and a path that is free."""
        if self._offer.of:
            field = self.query_one("#which", ChoiceField)
            names = self.desk.exchange.names(self._offer)
            with self.prevent(ChoiceField.Changed):
                field.show([Choice(value, words) for value, words in names])
                field.value = field.value or self._which or (names[0][0] if names else "")
            if not names:
                self._say_wrong("There is nothing of that kind in the book yet.")
        if self._offer.id == "person-pages" and self.desk.setting("record_form") == "american":
            with self.prevent(ChoiceField.Changed):
                self.query_one("#layout", ChoiceField).value = "american"
        self._show_path()

    # -- what is chosen ------------------------------------------------------------------------------------------------

    @property
    def which(self) -> str:
        """The name that is chosen, or empty."""
        return self.query_one("#which", ChoiceField).value if self._offer.of else ""

    @property
    def form(self) -> Form:
        """The form that is chosen."""
        fields = list(self.query("#form").results(ChoiceField))
        word = fields[0].value if fields else self._forms[0].word
        return next((form for form in self._forms if form.word == word), self._forms[0])

    def on_choice_field_changed(self, event: ChoiceField.Changed) -> None:
        """Another form or name has another path, unless one was typed."""
        event.stop()
        self._show_path()

    def _show_path(self) -> None:
        form = self.form
        self.query_one("#form-about", PlainText).show(f"{form.word}: {form.about}.")
        if not self._own_path:
            box = self.query_one("#to", EntryInput)
            with self.prevent(Input.Changed):
                box.value = str(self.desk.exchange.path(self._offer, self.which, form))
                box.cursor_position = len(box.value)

    def on_input_changed(self, event: Input.Changed) -> None:
        """A path that was typed is kept."""
        event.stop()
        self._own_path = bool(event.value.strip())
        self._say_wrong("")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter in the path writes."""
        event.stop()
        self.action_save()

    # -- writing -------------------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Writes the file."""
        if self._watch is not None:
            return
        self._say_wrong("")
        if self._offer.of and not self.which:
            self._say_wrong(f"Which {self._offer.of}? Choose one.")
            return
        try:
            to = self.desk.exchange.target(
                self._offer, self.which, self.form, self.query_one("#to", EntryInput).value
            )
        except LogbookError as error:
            self._say_wrong(str(error))
            return
        if to.exists():
            self._ask_over(to)
        else:
            self._write(to, force=False)

    def _ask_over(self, to: Path) -> None:
        def picked(answer: str | None) -> None:
            if answer == "over":
                self._write(to, force=True)
            elif answer == "beside":
                from logbook.services.export_list import free_path

                self._write(free_path(to), force=False)

        picks = [
            Pick("beside", "Beside it", "under a name with a number"),
            Pick("over", "Replace it", "what is there now is lost"),
            Pick("", "Write nothing"),
        ]
        self.app.push_screen(PickBox(f"{to.name} is there already.", picks, hint=str(to.parent)), picked)

    def _write(self, to: Path, *, force: bool) -> None:
        offer, which, form = self._offer, self.which, self.form
        layout = self.query_one("#layout", ChoiceField).value if offer.id == "person-pages" else "european"
        watch = self._watch = Watch(lambda words: self.call_later(self._say_state, words))
        self._say_state("reading the book")

        def write(desk: Desk) -> str:
            try:
                return desk.exchange.write(offer, which, form, to, force=force, watch=watch, layout=layout)
            except Stopped:
                return ""

        self.ask("write", write, self._written)

    def _say_state(self, words: str) -> None:
        if self._watch is not None and self.is_mounted:
            self.query_one("#state", PlainText).show(
                f"Working: {words} … Esc stops, nothing half-written stays."
            )

    def _written(self, words: str) -> None:
        self._watch = None
        self.query_one("#state", PlainText).show(words or "Stopped: nothing was written.")
        if words:
            self._own_path = False

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """Says what is wrong beside the path; a file that came meanwhile is asked about."""
        self._watch = None
        self.query_one("#state", PlainText).show("")
        next_step = error.next_step if not isinstance(error, UsageError) else "Name another file."
        self._say_wrong(f"{error.problem} {next_step}")

    def _say_wrong(self, words: str) -> None:
        self.query_one("#wrong", PlainText).show(f"! {words}" if words else "")

    def action_next_part(self) -> None:
        """To the path, and back to the choices."""
        box = self.query_one("#to", EntryInput)
        if box.has_focus:
            self.focus_next()
        else:
            box.focus()

    def action_back(self) -> None:
        """Stops the work; where there is none, leaves."""
        if self._watch is not None:
            self._watch.stop()
        else:
            self.dismiss(None)
