"""One kept plan against the flight that was flown to it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget

from logbook.errors import LogbookError
from logbook.planning.words import WHOLE_AEROPLANE
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.copying import send_to_terminal
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.plan_lines import AID, SIGNS, TONES, because
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.said import Said, SaidLines
from logbook.ui.widgets.words_box import WordsBox
from logbook.units import down

if TYPE_CHECKING:
    from logbook.services.plan_kept import PackReview, PlanReview


class KeptPlanScreen(BookScreen):
    """Forecast, own guess and what came; Enter leads to its flight, or asks which it was."""

    NAME = "kept-plan"
    SECTION = "plan"
    HEADING = "Kept plan"
    AUTO_FOCUS = "VerticalScroll"
    CSS_PATH = STYLES / "plan_page.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("kept-plan")]

    def __init__(self, plan_id: str) -> None:
        """A kept plan.

        Args:
            plan_id: its id.
        """
        super().__init__()
        self.plan_id = plan_id
        self.review: PlanReview | None = None

    def heading(self) -> str:
        """Aeroplane, title and when it was made."""
        if self.review is None:
            return self.HEADING
        title = f" {self.review.title}," if self.review.title else ""
        return f"Plan for {self.review.aircraft},{title} made {self.review.made_at[:10]}"

    def body(self) -> Iterable[Widget]:
        """Verdict as given, packs, and what can be learned."""
        with VerticalScroll(classes="kept"):
            yield PlainText("", id="verdict")
            yield PlainText("", id="because")
            yield SaidLines(label_width=16, id="lines")
        yield PlainText(AID, id="aid")

    def fill(self) -> None:
        """Asks for the review; what needs the estimates comes from elsewhere."""
        self.query_one("#because", PlainText).show("Comparing with what came …")
        self.ask("review", lambda desk: desk.planning.review(self.plan_id), self.show_review)

    def show_review(self, review: PlanReview) -> None:
        """Shows it."""
        self.review = review
        self.paint_head()
        verdict = str(review.answer.get("verdict"))
        head = self.query_one("#verdict", PlainText)
        head.show(SIGNS.get(verdict, "kept without its answer"))
        head.set_classes(TONES.get(verdict, "grey"))
        self.query_one("#because", PlainText).show(
            because(review.answer) if "because" in review.answer else ""
        )
        self.query_one(SaidLines).show(lines_of(review))

    # -- keys -----------------------------------------------------------------------------------------------------------

    def action_open(self) -> None:
        """To its flight; where none is known, asks which it was, or begins it."""
        if self.review is None:
            return
        if self.review.flight_id:
            self.logbook.open_record("flight", self.review.flight_id)
            return
        picks = [Pick("log:", "Not flown yet: begin it in Log a flight")]
        picks += [
            Pick(
                f"flight:{row['flight_id']}",
                f"It was the flight of {row['date']}, off blocks {row['off_blocks'][11:16]} UTC",
            )
            for row in self.desk.planning.flights_for(self.plan_id)
        ]
        self.app.push_screen(PickBox("Which flight was flown to this plan?", picks), self._picked)

    def _picked(self, value: str | None) -> None:
        what, _, flight_id = (value or "").partition(":")
        if what == "log":
            self._begin()
        elif what == "flight":
            self._do(partial(self.desk.planning.link, self.plan_id, flight_id, self.desk.operator), "Linked.")

    def _begin(self) -> None:
        """The flight of this plan, in the form that logs flights; the plan's id goes with it."""
        if self.review is not None:
            begun = self.desk.begin_flight(self.review.aircraft)
            self.logbook.log_flight(self.desk.planning.entry(self.review, begun))

    def action_add(self) -> None:
        """A new plan that begins with what this one says."""
        if self.review is None or not self.review.plan.get("legs"):
            return
        self.logbook.plan_again(self.review.plan)

    def action_figures(self) -> None:
        """The whole answer as it was given."""
        if self.review is not None and "verdict" in self.review.answer:
            from logbook.ui.screens.plan_page import PlanPageScreen

            self.app.push_screen(PlanPageScreen(self.heading(), self.review.answer))

    def action_strike(self) -> None:
        """Strikes the plan out, with a reason."""
        box = WordsBox("Strike this plan out: why?", needed="A reason is needed; it is kept with the plan.")
        self.app.push_screen(box, self._strike)

    def _strike(self, why: str | None) -> None:
        if why is not None:
            self._do(lambda: self.desk.strike("plan", self.plan_id, why), "Struck out.")

    def action_copy(self) -> None:
        """Sends what is shown to the terminal's clipboard."""
        text = f"{self.heading()}\n{self.query_one(SaidLines).plain_text}\n"
        self.notify(send_to_terminal(self.app, text), markup=False)

    def _do(self, work: Any, done: str) -> None:
        try:
            work()
        except LogbookError as error:
            self.trouble(error)
        else:
            self.notify(done, markup=False)
            self.refill()


def lines_of(review: PlanReview) -> list[Said]:
    """Forecast and what came, pack by pack, then in sentences."""
    found = [
        Said(pack.serial_no or WHOLE_AEROPLANE, _pack(pack), "warning" if pack.inside is False else "")
        for pack in review.packs
    ]
    if review.flight_id is None:
        return [
            *found,
            Said("Flown", "not as far as the book knows; Enter says which flight it was, or begins it"),
        ]
    found.append(Said("Flown", f"on {review.flown_on}"))
    if review.own_estimate is not None:
        one_gauge = [pack.serial_no for pack in review.packs] == [""]
        found.append(
            Said("Own guess", f"{review.own_estimate:g} %{'' if one_gauge else ' on the weaker pack'}")
        )
    return found + [Said("" if number else "Learned", words) for number, words in enumerate(review.words)]


def _pack(pack: PackReview) -> str:
    if pack.mid is None or pack.low is None or pack.high is None:
        return "no forecast was given"
    words = f"forecast {pack.mid:.0f} % ({down(pack.low)} to {pack.high:.0f})"
    if pack.departure is not None:
        words += f" from {pack.departure:g} %"
    if pack.actual is None or pack.error is None:
        return words
    return f"{words}; came {pack.actual:g} %, {pack.error:+.0f}, {'inside' if pack.inside else 'OUTSIDE'} the interval"
