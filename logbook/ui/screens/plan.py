"""Plan: will the flight work, and with what margin? The answer follows each key."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.containers import Container, Horizontal
from textual.timer import Timer
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.services.plan_desk import PlanView
from logbook.services.plan_form import CIRCUITS, LEGS, MOST_LEGS, WAYS
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.plan_answer import PlanAnswerPane
from logbook.ui.screens.plan_draft import KeepsTyped
from logbook.ui.screens.plan_fields import PlanFields
from logbook.ui.screens.plan_lines import AID
from logbook.ui.widgets.choice_field import Choice, ChoiceField
from logbook.ui.widgets.plain import PlainText

if TYPE_CHECKING:
    from logbook.services.plan_form import PlanForm

PAUSE_S = 0.03
_LEARNING = "Working out what the record says …"


class PlanScreen(KeepsTyped, BookScreen):
    """Takes a plan from the keyboard and answers it; decides nothing itself."""

    NAME = "plan"
    SECTION = "plan"
    HEADING = "Plan: will it work?"
    AUTO_FOCUS = "EntryInput"
    CSS_PATH = STYLES / "plan.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("plan")]

    def __init__(self) -> None:
        super().__init__()
        self.view = PlanView()
        """What is shown now."""
        self.wanted: dict[str, Any] | None = None
        """A kept plan to begin with."""
        self._soon: Timer | None = None
        self._making = 0
        """How often the fields are still to be made anew."""

    def body(self) -> Iterable[Widget]:
        """Aeroplane and way, fields, the answer, and the line that explains a field."""
        fleet = self.desk.planning.fleet()
        form = self.desk.planning.form(fleet[0], CIRCUITS) if fleet else None
        names = [Choice(name, name) for name in fleet]
        with Horizontal(id="about"):
            yield ChoiceField(
                "Aeroplane", names, value=fleet[0] if fleet else "", label_width=10, id="aircraft"
            )
            yield ChoiceField("As", [Choice(*way) for way in WAYS], value=CIRCUITS, label_width=3, id="way")
        with Container(id="work"):
            yield PlanFields(self.look_soon, form, id="fields")
            yield PlanAnswerPane(id="answer")
        yield PlainText("", id="explained")
        yield PlainText(AID, id="aid")

    # -- what is planned ---------------------------------------------------------------------------------------------

    @property
    def fields(self) -> PlanFields:
        """The fields."""
        return self.query_one(PlanFields)

    @property
    def pane(self) -> PlanAnswerPane:
        """The answer."""
        return self.query_one(PlanAnswerPane)

    def fill(self) -> None:
        """Offers the aeroplanes, takes in what the packs read now, and answers."""
        fleet = self.desk.planning.fleet()
        if not fleet:
            self.pane.working("No aeroplane with packs is in the book yet: add one in Setup.")
            return
        aircraft = self.query_one("#aircraft", ChoiceField)
        with self.prevent(ChoiceField.Changed):
            aircraft.show([Choice(name, name) for name in fleet])
            aircraft.value = aircraft.value or fleet[0]
        wanted, self.wanted = self.wanted, None
        if wanted is not None and wanted.get("aircraft") in fleet:
            self._take(wanted)
        elif self.restore(fleet):
            self._rebuild_soon(over=True)
        elif self.fields.expect(self._form()):
            self.fields.type_over_at("circuits")
            self.look()
        else:
            self._rebuild_soon()

    def _form(self) -> PlanForm:
        """The form for the aeroplane and the way chosen, with what is expected now."""
        aircraft, way = (
            self.query_one("#aircraft", ChoiceField).value,
            self.query_one("#way", ChoiceField).value,
        )
        return self.desk.planning.form(aircraft, way or CIRCUITS, self._leg_lines())

    def _leg_lines(self) -> int:
        """How many lines there are for legs: always an empty one."""
        return min(max(self.fields.legs + 1, 3), MOST_LEGS)

    @property
    def busy(self) -> bool:
        """Keys typed ahead wait while the fields are made anew: they would go into fields that are on their way out."""
        return self._making > 0

    def _rebuild_soon(self, *, over: bool = False) -> None:
        """Makes the fields anew as soon as may be; `over`: the next key types over what is put back where one is."""
        self._making += 1
        self.call_later(self._rebuild_now, over)

    async def _rebuild_now(self, over: bool) -> None:
        try:
            await self.rebuild()
            if over and self.is_current and self.fields.form is not None:
                first = self.fields.form.names[0]
                self.set_focus(self.fields.boxes[first].box)
                self.fields.type_over_at(first)
        finally:
            self._making -= 1

    async def rebuild(self, focus: str = "") -> None:
        """Makes the fields anew, puts back what was typed, and answers."""
        fields, form = self.fields, self._form()
        here = focus or fields.name_of(self.focused) or ""
        await fields.show(form)
        if here and self.is_current:
            fields.go_to(here if here in fields.boxes else form.names[0])
        self.look()

    async def _one_leg_more(self) -> None:
        """An empty line after the last leg."""
        if self.fields.form is not None and self.fields.form.way == LEGS:
            await self.fields.add_leg(self._form())

    def look_soon(self) -> None:
        """Answers as soon as there is a pause between two keys, so that quick typing is never held up."""
        if self._soon is not None:
            self._soon.stop()
        self._soon = self.set_timer(PAUSE_S, self.look)

    def look(self) -> None:
        """Answers what is typed now; learns what the record says first where that was not done yet."""
        form = self.fields.form
        if form is None:
            return
        self.keep_typed(form)
        planning, typed, kept = self.desk.planning, self.fields.typed(), self.fields.kept
        ready = planning.ready(form.aircraft)
        if not ready:
            self.ask("learn", lambda desk: desk.planning.learn(form.aircraft), lambda _: self.look())
        lacking = planning.lacking(form, typed, kept)
        if lacking is None and not ready:
            self.view = PlanView()
            self.pane.working(_LEARNING)
            return
        self.view = lacking or planning.answer(form, typed, kept)
        self.pane.show(self.view)
        self._explain(self.fields.name_of(self.focused))
        if (
            form.way == LEGS
            and f"leg.{self.fields.legs + 1}" not in self.fields.boxes
            and self.fields.legs < MOST_LEGS
        ):
            self._rebuild_soon()

    def answer_failed(self, topic: str, error: LogbookError) -> None:  # noqa: ARG002 - there is one topic
        """Says in the answer's place why there is none."""
        self.pane.working(str(error))

    def _take(self, plan: dict[str, Any]) -> None:
        """Begins with what a kept plan says; what the gauges said then is left out."""
        from logbook.services.plan_typed import left_out, values_of

        lost = left_out(plan)
        if lost:
            self.notify(
                f"No field takes these, so they are left out: {', '.join(lost)}.",
                severity="warning",
                timeout=10,
                markup=False,
            )
        way, values = values_of(plan, self.desk.measures)
        with self.prevent(ChoiceField.Changed):
            self.query_one("#aircraft", ChoiceField).value = str(plan.get("aircraft"))
            self.query_one("#way", ChoiceField).value = way
        self.fields.values = values
        self._rebuild_soon()

    # -- what happens -------------------------------------------------------------------------------------------------

    def on_choice_field_changed(self, event: ChoiceField.Changed) -> None:
        """Another aeroplane, or another way to say what is flown: what was typed goes along."""
        event.stop()
        if self.fields.form is None or not event.value:
            return
        if event.field.id == "way" and event.value == LEGS and not self.fields.legs:
            from logbook.services.plan_typed import as_legs

            self.fields.values |= as_legs(self.fields.form, self.fields.typed())
        self._rebuild_soon()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        """Explains the field one came to."""
        self._explain(self.fields.name_of(event.widget))

    def _explain(self, name: str | None) -> None:
        words = "Left and right choose; Enter goes on to the fields."
        field = self.fields.field(name) if name else None
        if name and field:
            box = self.fields.boxes[name]
            understood = (
                box.understood.echo if name.startswith("leg.") or name in ("out", "diversion") else ""
            )
            words = understood or field.help
        self.query_one("#explained", PlainText).show(words)

    def on_resize(self, _: events.Resize) -> None:
        """The profile is drawn where there is room for it."""
        if self.view.shown:
            self.call_after_refresh(self.pane.show, self.view)

    # -- keys -----------------------------------------------------------------------------------------------------------

    def action_next_part(self) -> None:
        """To the next heading."""
        name = self.fields.next_part(self.fields.name_of(self.focused))
        if name:
            self.fields.go_to(name)

    async def action_insert_leg(self) -> None:
        """An empty leg where one is."""
        name = self.fields.name_of(self.focused) or ""
        if self.fields.insert_leg(name):
            await self.rebuild(focus=name)
        else:
            self.notify("Choose 'leg by leg' and go to the leg before which one is to stand.", markup=False)

    async def action_clear(self) -> None:
        """Another plan from the beginning."""
        self.fields.values = {}
        await self.rebuild(self._form().names[0])

    def action_page(self) -> None:
        """All of the answer."""
        if self.view.planned is None:
            self._go_to_lacking()
            return
        from logbook.ui.screens.plan_page import PlanPageScreen

        self.app.push_screen(
            PlanPageScreen(
                f"Plan for {self.view.planned.plan.aircraft if self.view.planned else ''}", self.view.shown
            )
        )

    def action_kept_plans(self) -> None:
        """The plans that were kept."""
        from logbook.ui.screens.plans import PlansScreen

        self.app.clear_notifications()  # they were about the form
        self.app.push_screen(PlansScreen())

    def action_save(self) -> None:
        """Keeps the plan with its forecast as given."""
        if self.view.planned is None:
            self._go_to_lacking()
            return
        from logbook.ui.widgets.words_box import WordsBox

        box = WordsBox(
            "Keep this plan",
            more="A few words to find it by; may stay empty. It is kept with the forecast as given.",
        )
        self.app.push_screen(box, self._keep)

    def _keep(self, title: str | None) -> None:
        if title is None or self.view.planned is None:
            return
        try:
            self.desk.planning.keep(self.view.planned, title, self.desk.operator)
        except LogbookError as error:
            self.trouble(error, "Not kept")
        else:
            self.notify("Kept. F4 shows kept plans.", markup=False)
            self.look()

    def _go_to_lacking(self) -> None:
        if self.view.field:
            self.fields.go_to(self.view.field)
        self.notify(self.view.lacking or "There is no answer yet.", markup=False)
