"""Kept plans: what was forecast, what came, and how good the forecasts given before flights were."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from logbook.reports.plan_review import score_words
from logbook.ui.actions import bindings_of
from logbook.ui.base_app import STYLES
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.plan_lines import SIGNS
from logbook.ui.widgets.columns import Column
from logbook.ui.widgets.list_rows import ListRows
from logbook.ui.widgets.plain import PlainText
from logbook.ui.widgets.record_table import RecordTable
from logbook.units import down

if TYPE_CHECKING:
    from logbook.services.plan_kept import PlanReview


def _forecast(review: PlanReview) -> str:
    weaker = review.weaker
    return (
        ""
        if weaker is None or weaker.low is None
        else f"{weaker.mid:.0f} ({down(weaker.low)}-{weaker.high:.0f})"
    )


def _came(review: PlanReview) -> str:
    weaker = review.weaker
    return "" if weaker is None or weaker.actual is None else f"{weaker.actual:g}"


def _off(review: PlanReview) -> str:
    weaker = review.weaker
    if weaker is None or weaker.error is None:
        return ""
    return f"{weaker.error:+.0f}{'' if weaker.inside else ' !'}"


def _own(review: PlanReview) -> str:
    return "" if review.own_error is None else f"{review.own_error:+.0f}"


def _verdict(review: PlanReview) -> str:
    return SIGNS.get(str(review.answer.get("verdict")), "").split(" ", 1)[-1].lower()


_COLUMNS: tuple[Column[PlanReview], ...] = (
    Column("made", "Made", lambda r: r.made_at[:10], 10),
    Column("aircraft", "Plane", lambda r: r.aircraft, 7, most=12),
    Column("title", "Plan", lambda r: r.title, 10, most=40, priority=1),
    Column("verdict", "Verdict", _verdict, 12),
    Column("forecast", "Forecast %", _forecast, 11, right=True),
    Column("came", "Came", _came, 4, right=True, priority=3),
    Column("off", "Off", _off, 5, right=True, tone=lambda r: "warning" if "!" in _off(r) else ""),
    Column("own", "Own guess off", _own, 13, right=True, priority=2),
)


class PlansScreen(BookScreen):
    """A list; Enter opens one."""

    NAME = "plans"
    SECTION = "plan"
    HEADING = "Kept plans"
    AUTO_FOCUS = "RecordTable"
    CSS_PATH = STYLES / "plans.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("plans")]

    def __init__(self) -> None:
        super().__init__()
        self.reviews: list[PlanReview] = []

    def body(self) -> Iterable[Widget]:
        """The score, and the list."""
        yield PlainText("", id="score")
        yield RecordTable(_COLUMNS, empty="No plan was kept yet: F2 in Plan keeps one.", id="plans")

    def fill(self) -> None:
        """Reads the kept plans."""
        planning = self.desk.planning
        self.reviews = planning.kept()
        score = planning.score(self.reviews)._asdict()
        words = score_words(score, len(self.reviews)) if self.reviews else ""
        self.query_one("#score", PlainText).show(words)
        self.query_one(RecordTable).show(ListRows(self.reviews), range(len(self.reviews)))

    def on_record_table_selected(self, event: RecordTable.Selected) -> None:
        """Opens a plan."""
        event.stop()
        self.logbook.open_record("plan", self.reviews[event.record].plan_id)
