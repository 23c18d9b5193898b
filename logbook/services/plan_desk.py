"""What the Plan screen asks for and does: forms, answers, kept plans."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.errors import LogbookError
from logbook.measures import USUAL, Measures, told
from logbook.services.liked_units import DRAFT_KEY, kept_units, measures_of, requoted, typed_in
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.energy.estimator import Estimator
    from logbook.services.drafts import Draft, Drafts
    from logbook.services.plain_form import Values
    from logbook.services.plan import Planned
    from logbook.services.plan_form import PlanForm
    from logbook.services.plan_kept import KeptScore, PlanReview
    from logbook.services.plan_means import MeansCache
    from logbook.services.unfinished import Entry

Row = dict[str, Any]


class PlanView(NamedTuple):
    """What there is to show for what was typed so far.

    Attributes:
        planned: the answer; None while there is none.
        shown: the same as plain values; empty without an answer.
        lacking: what is to be typed or corrected first, or why the plan was refused.
        field: the field that is meant; empty where none is.
        measures: the units figures are shown in.
    """

    planned: Planned | None = None
    shown: Row = {}  # noqa: RUF012 - never changed in place
    lacking: str = ""
    field: str = ""
    measures: Measures = USUAL


class PlanDesk:
    """The part of the desk that plans.

    Args:
        book: the open book.
        clock: what time it is (UTC, stored form).
        learned: what was worked out already and may be used again; shared with desks elsewhere.
    """

    def __init__(self, book: Book, clock: Callable[[], str], learned: dict[str, Any]) -> None:
        self.book = book
        self.clock = clock
        self._learned = learned

    @property
    def means(self) -> MeansCache:
        """What was learned of each aeroplane."""
        from logbook.services.plan_means import MeansCache

        kept: MeansCache = self._learned.setdefault("means", MeansCache())
        return kept

    def estimator(self, book: Book, aircraft: str) -> Estimator:
        """The estimator of an aeroplane, kept while the book stays as it is."""
        return self.means(book, aircraft).estimator

    def fleet(self) -> list[str]:
        """Aeroplanes that have packs, those flown last first."""
        facts = BookFacts(self.book)
        return [name for name in facts.fleet() if facts.aircraft(name).get("positions")]

    def form(self, aircraft: str, way: str, legs: int = 2) -> PlanForm:
        """The form for an aeroplane."""
        from logbook.services.plan_form import plan_form

        return plan_form(self.book, aircraft, way, legs=legs, now=self.clock())

    def ready(self, aircraft: str) -> bool:
        """Whether an answer comes at once; if not, `learn` first, elsewhere."""
        return self.means.ready(self.book, aircraft)

    def learn(self, aircraft: str) -> None:
        """Works out what the record says (slow: to be called elsewhere)."""
        self.means(self.book, aircraft)

    def lacking(self, form: PlanForm, values: Values, kept: Iterable[str] = ()) -> PlanView | None:
        """What must be typed or corrected before there can be an answer; None where nothing."""
        from logbook.services.plan_typed import plan_of

        typed = plan_of(form, values, frozenset(kept))
        return PlanView(lacking=typed.lacking, field=typed.field) if typed.plan is None else None

    def answer(self, form: PlanForm, values: Values, kept: Iterable[str] = ()) -> PlanView:
        """The answer to what is typed, or what is still lacking.

        Args:
            form: the form.
            values: what stands in its fields.
            kept: fields whose improbable value was confirmed.
        """
        from logbook.services.plan import plan_flight
        from logbook.services.plan_typed import plan_of

        typed = plan_of(form, values, frozenset(kept))
        if typed.plan is None:
            return PlanView(lacking=typed.lacking, field=typed.field)
        try:
            planned = plan_flight(self.book, typed.plan, means=self.means, clock=self.clock)
        except LogbookError as error:
            return PlanView(lacking=f"{error.problem} {error.next_step}")
        measures = measures_of(self.book)
        return PlanView(planned, told(measures, planned.to_json()), measures=measures)

    def draft(self) -> Draft | None:
        """What was typed and not cleared when the program ended, however it ended."""
        draft = next(iter(self._drafts.offered()), None)
        return draft and draft._replace(values=requoted(draft.values, measures_of(self.book)))

    def keep_draft(self, aircraft: str, way: str, values: Values) -> None:
        """Keeps what is typed in a file of its own, apart from unfinished entries: a plan waits for nobody.

        Raises:
            OSError: it cannot be written.
        """
        from logbook.services.drafts import Draft

        units = kept_units(measures_of(self.book))
        about = {"@aircraft": (aircraft, "form"), "@way": (way, "form"), DRAFT_KEY: (units, "form")}
        draft = Draft("plan", "plan", dict(values) | about, f"plan for {aircraft}", self.clock())
        if values:
            self._drafts.keep(draft)
        else:
            self._drafts.drop(draft)

    @property
    def _drafts(self) -> Drafts:
        from logbook.paths import state_folder
        from logbook.services.drafts import Drafts

        return Drafts(self.book.path, state_folder() / "plans")

    def keep(self, planned: Planned, title: str, by: str | None) -> str:
        """Keeps a plan with its forecast as given. Returns its id."""
        from logbook.services.plan import keep_plan

        return keep_plan(self.book, planned, title=title or None, by=by)

    def kept(self) -> list[PlanReview]:
        """Every kept plan, newest first."""
        from logbook.services.plan_kept import kept_plans

        return kept_plans(self.book)

    def review(self, plan_id: str) -> PlanReview:
        """One kept plan against the flight flown to it (slow: to be called elsewhere)."""
        from logbook.services.plan_kept import review_of

        return review_of(self.book, plan_id, self.estimator)

    def score(self, reviews: Iterable[PlanReview]) -> KeptScore:
        """How good the kept forecasts were."""
        from logbook.services.plan_kept import score_of

        return score_of(reviews)

    def flights_for(self, plan_id: str) -> list[Row]:
        """Flights that may have been flown to a plan."""
        from logbook.services.plan_kept import flights_for

        return flights_for(self.book, plan_id)

    def entry(self, review: PlanReview, entry: Entry) -> Entry:
        """A flight that is begun, with what its plan says of who flies, and the plan it is flown to; no reading."""
        from logbook.units import to_cell

        plan = review.plan
        given = {
            "pilot": plan.get("handled_by"),
            "aboard": plan.get("aboard"),
            "mass_kg": plan.get("mass_kg"),
            "kind": plan.get("kind"),
            "place_from": plan.get("place_from"),
        }
        values = {
            name: (typed_in(to_cell(value), name, entry.measures), "confirmed")
            for name, value in given.items()
            if value is not None
        }
        return entry._replace(values=entry.values | values | {"plan_id": (review.plan_id, "confirmed")})

    def link(self, plan_id: str, flight_id: str, by: str | None) -> None:
        """Says which flight was flown to a plan; that is a correction of the flight, and kept as one."""
        from logbook.services.correct import correct

        correct(self.book, "flight", flight_id, {"plan_id": plan_id}, by=by, why="flown to this plan")

    def text(self, title: str, shown: Row) -> str:
        """A plan's answer as a page of text."""
        import io

        from logbook.reports.plan_text import write_plan

        page = io.StringIO()
        write_plan(page, title, shown, measures_of(self.book))
        return page.getvalue()
