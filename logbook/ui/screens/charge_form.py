"""Enter a charge: one session for the packs of an aeroplane, or for one pack, with one meter or one each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, ClassVar

from textual.binding import BindingType
from textual.containers import Container, Horizontal
from textual.timer import Timer
from textual.widget import Widget

from logbook.errors import ChangedMeanwhile, LogbookError
from logbook.services.charge_entry import as_before, asked_of, filled
from logbook.services.charge_fields import DETAIL, SESSION, TIMES, ChargeForm
from logbook.services.unfinished import Entry
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.entry_screen import EntryScreen
from logbook.ui.screens.log_flight_live import LiveStrip
from logbook.ui.widgets.choice_field import Choice, ChoiceField
from logbook.ui.widgets.field_scroll import FieldScroll
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.reading_field import ReadingField

_SETTLE_S = 0.4
"""The answers wait until no key came for so long [s]."""


class ChargeFormScreen(EntryScreen):
    """Takes one charging session from the keyboard. Every key is kept; gives the flags of what was saved, or None."""

    NAME = "charge-form"
    SECTION = "charging"
    HEADING = "Enter a charge"
    HELP_PAGE = "charging"
    PARTS: ClassVar[Mapping[str, str]] = {SESSION: "", DETAIL: "Temperatures, and meters of their own (F6)"}
    TIMES = TIMES
    LEADS = TIMES
    CSS_PATH = STYLES / "charging.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("charge-form")]

    def __init__(self, begun: Entry) -> None:
        """A form.

        Args:
            begun: a new charge, an unfinished one, or one that is running.
        """
        super().__init__()
        self._begun = begun
        self._answers: list[str] = []
        self._settling: Timer | None = None

    @property
    def busy(self) -> bool:
        """Keys typed ahead wait for the form."""
        return super().busy or self.entry is None

    def body(self) -> Iterable[Widget]:
        """What is charged, the fields, the line that explains one, and the answers."""
        with Horizontal(id="about"):
            yield ChoiceField("Charge", [], label_width=11, id="subject")
            yield ReadingField("Day", parse=self.read_day, width=11, label_width=4, not_read=False, id="day")
        with Container(id="work"):
            with Container(id="typing"):
                with FieldScroll(id="fields", can_focus=False):
                    yield Container(id="parts")
                yield PlainText("", id="explained")
            yield LiveStrip(id="live")

    def fill(self) -> None:
        """Shows the entry it was made for, once."""
        if self.entry is None:
            subjects = [Choice(value, words) for value, words in self.desk.charging.subjects()]
            with self.prevent(ChoiceField.Changed):
                self.query_one("#subject", ChoiceField).show(subjects)
            self.call_later(self._start)

    async def _start(self) -> None:
        self.entry = self._begun
        await self.build()
        if self.fields is not None:
            typed, order = self.entry.typed(), self.fields.order()
            self.go_to(next((name for name in order if name not in typed), order[0]))

    def heading(self) -> str:
        """What is charged, and which clock times are typed in."""
        if self.entry is None or self.form is None:
            return self.HEADING
        what = "End the charge of" if self.entry.closing else "Charge of"
        what = "Correct the charge of" if self.entry.outcome == "correction" else what
        zone = "UTC" if self.form.clock.zone == "UTC" else "local time"
        return f"{what} {self.entry.aircraft}, {self.form.clock.day}; times in {zone}"

    # -- what the form says of itself -------------------------------------------------------------------------------

    def make_form(self, entry: Entry) -> ChargeForm:
        """The form for a charge."""
        return self.desk.charging.form(entry)

    def confirmed(self) -> Mapping[str, tuple[str, str]]:
        """Charger, place and purpose as last time."""
        return as_before(self.form, self.entry.values) if self.entry and self.form else {}

    def empty_after(self, taken: Mapping[str, tuple[str, str]]) -> str | None:
        """After "as before" come the packs."""
        first = [name for name in self.fields.order() if "." in name] if self.fields else []
        empty = [name for name in first if self.entry and name not in self.entry.typed()]
        return empty[0] if empty else super().empty_after(taken)

    def about(self) -> None:
        """What is charged."""
        if self.entry is not None:
            self.query_one("#subject", ChoiceField).value = self.entry.aircraft

    async def on_choice_field_changed(self, event: ChoiceField.Changed) -> None:
        """Something else is charged: what was typed is kept."""
        event.stop()
        if self.entry is None or self.form is None or event.value in ("", self.entry.aircraft):
            return
        if self.entry.closing:
            with self.prevent(ChoiceField.Changed):
                self.about()
            self.say("The charge began with these packs. Correct it in the list.")
        else:
            await self.about_now(aircraft=event.value)

    def look(self) -> None:
        """What was filled at once; whether it may be charged, and when it is full, once the keys rest."""
        if self._settling is not None:
            self._settling.stop()
        self._settling = self.set_timer(_SETTLE_S, self._ask)
        self._show()

    def _ask(self) -> None:
        if self.entry is None or self.form is None:
            return
        questions = asked_of(self.form, self.entry.values)

        asked = [(serial, position or serial, known) for serial, position, known in questions]
        self.ask("charge", lambda desk: desk.charging.answers(asked), self._answered)

    def _answered(self, lines: list[str]) -> None:
        self._answers = lines
        self._show()

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """The form works without the answers."""
        self._answered([str(error)])

    def _show(self) -> None:
        if self.entry is None or self.form is None:
            return
        done = filled(self.form, self.entry.values)
        waiting = ["May it be charged, and when is it full? working …"] if not self._answers else []
        self.query_one(LiveStrip).show_words([*done, *self._answers, *waiting], self.warning)

    # -- saving -------------------------------------------------------------------------------------------------------

    def action_save(self) -> None:
        """Saves the charge, and gives what was flagged."""
        entry = self.entry
        if entry is None or self.form is None or not self.nothing_doubtful():
            return
        try:
            flags: list[dict[str, Any]] = self.desk.charging.save(self.form, entry.values, entry)
        except ChangedMeanwhile:
            self.call_later(self.upon_what_is_there, *self.desk.charging.meanwhile(entry))
            return
        except LogbookError as error:
            self.refused(error)
            return
        self.forget_draft()
        self.dismiss(flags)

    def action_back(self) -> None:
        """Leaves; the draft stays and is offered again."""
        self.dismiss(None)
