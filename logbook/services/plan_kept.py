"""Kept plans: the list of them, and each against the flight that was flown to it.

A kept forecast was given before the flight, for what was planned; it is scored here and never mixed with the hindcasts,
which are given what was flown.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.errors import DataRefused
from logbook.planning.words import pack_starts
from logbook.services.plan_compare import Difference, differences
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.records import Records

if TYPE_CHECKING:
    from collections.abc import Callable

    from logbook.energy.estimator import Estimator

Row = dict[str, Any]


class PackReview(NamedTuple):
    """One pack of a kept plan [%]; None is unknown."""

    serial_no: str
    departure: float | None
    low: float | None
    mid: float | None
    high: float | None
    needed: float | None
    departed: float | None = None
    """Charge the flight really departed with."""
    actual: float | None = None
    given_flown: float | None = None
    """What the estimates would have said had they known what was flown, from earlier records only."""

    @property
    def error(self) -> float | None:
        """What came less what was forecast [points]: positive when more was left."""
        return None if self.actual is None or self.mid is None else self.actual - self.mid

    @property
    def inside(self) -> bool | None:
        """Whether what came lies between low and high."""
        if self.actual is None or self.low is None or self.high is None:
            return None
        return self.low <= self.actual <= self.high


class PlanReview(NamedTuple):
    """A kept plan, and the flight flown to it where there is one.

    Attributes:
        plan: as it was typed.
        answer: as it was given.
        flight_id: the flight flown to it; None where none is known.
        flown_on: its date.
        own_estimate: the pilot's own estimate of the landing charge of the weaker pack [%].
        block_min: block time as flown [min].
        differences: what was flown otherwise than planned.
        words: what can be learned from it, in sentences.
    """

    plan_id: str
    title: str
    made_at: str
    aircraft: str
    plan: Row
    answer: Row
    packs: tuple[PackReview, ...]
    flight_id: str | None = None
    flown_on: str | None = None
    own_estimate: float | None = None
    block_min: float | None = None
    differences: tuple[Difference, ...] = ()
    words: tuple[str, ...] = ()

    @property
    def weaker(self) -> PackReview | None:
        """The pack with the lowest forecast."""
        return min((p for p in self.packs if p.low is not None), key=lambda p: p.low or 0.0, default=None)

    @property
    def own_error(self) -> float | None:
        """What came on the weaker pack less the pilot's own estimate [points]."""
        landed = [pack.actual for pack in self.packs if pack.actual is not None]
        return min(landed) - self.own_estimate if landed and self.own_estimate is not None else None

    def to_json(self) -> Row:
        """As plain values."""
        packs = [pack._asdict() | {"error": pack.error, "inside": pack.inside} for pack in self.packs]
        found = self._asdict() | {
            "packs": packs,
            "verdict": self.answer.get("verdict"),
            "own_error": self.own_error,
        }
        return found | {"differences": [one._asdict() for one in self.differences], "words": list(self.words)}


class KeptScore(NamedTuple):
    """How good the forecasts of kept plans were; zeros where no plan was flown yet."""

    plans: int = 0
    mae_pct: float = 0.0
    bias_pct: float = 0.0
    inside_90: float = 0.0
    own_plans: int = 0
    own_mae_pct: float = 0.0


def kept_plans(book: Book, aircraft: str | None = None) -> list[PlanReview]:
    """Every kept plan that is not struck out, newest first, with the flight flown to it."""
    rows = [row for _, row in Records(book, "plan").select("struck = 0", order="made_at DESC, n DESC")]
    flights = _flown(book)
    return [
        _review(row, flights.get(row["plan_id"]))
        for row in rows
        if aircraft is None or row["aircraft"] == aircraft
    ]


def review_of(
    book: Book, plan_id: str, estimator: Callable[[Book, str], Estimator] | None = None
) -> PlanReview:
    """One kept plan, whole.

    Args:
        book: the open book.
        plan_id: of the plan.
        estimator: with it, the forecast is given what was flown as well, so that flying otherwise and using otherwise
            can be told apart.

    Raises:
        DataRefused: there is no such plan.
    """
    found = Records(book, "plan").find(plan_id)
    if found is None:
        raise DataRefused(f"There is no plan '{plan_id}' in the book.", next_step="See 'logbook plans'.")
    flight = _flown(book, plan_id).get(plan_id)
    given: dict[str, float] = {}
    if flight is not None and estimator is not None:
        rows = estimator(book, flight["aircraft"]).hindcasts().rows
        given = {row.serial_no: row.mid for row in rows if row.flight_id == flight["flight_id"]}
    return _review(found[1], flight, given)


def score_of(reviews: Iterable[PlanReview]) -> KeptScore:
    """Errors of the kept forecasts, each pack once; the pilot's own estimate beside them."""
    flown = [review for review in reviews if any(pack.error is not None for pack in review.packs)]
    errors = [pack.error for review in flown for pack in review.packs if pack.error is not None]
    inside = [pack.inside for review in flown for pack in review.packs if pack.inside is not None]
    own = [abs(review.own_error) for review in flown if review.own_error is not None]
    if not errors:
        return KeptScore()
    return KeptScore(
        len(flown),
        sum(map(abs, errors)) / len(errors),
        sum(errors) / len(errors),
        sum(inside) / len(inside),
        len(own),
        sum(own) / len(own) if own else 0.0,
    )


def flights_for(book: Book, plan_id: str, most: int = 8) -> list[Row]:
    """Flights that may have been flown to a plan: same aeroplane, since it was made, with no plan of their own."""
    found = Records(book, "plan").find(plan_id)
    if found is None:
        return []
    plan = found[1]
    number = book.keys.number("aircraft", plan["aircraft"], "aircraft")
    wanted = "struck = 0 AND aircraft = ? AND plan_id IS NULL AND state = 'closed' AND off_blocks >= ?"
    since = (plan["made_at"] or "")[:10]
    return [row for _, row in Records(book, "flight").select(wanted, (number, since), "off_blocks", most)]


def _flown(book: Book, plan_id: str | None = None) -> dict[str, Row]:
    """The flights flown to plans, by plan; of several the first."""
    wanted, values = "struck = 0 AND plan_id IS NOT NULL AND state = 'closed'", ()
    if plan_id is not None:
        wanted, values = "struck = 0 AND plan_id = ? AND state = 'closed'", (plan_id,)  # type: ignore[assignment]
    numbers = [n for n, _ in Records(book, "flight").select(wanted, values, "off_blocks DESC, n DESC")]
    return {flight["plan_id"]: flight for flight in Flights(book).read(numbers)}


def _review(row: Row, flight: Row | None, given: dict[str, float] | None = None) -> PlanReview:
    plan, answer = _json(row["inputs"]), _json(row["answer"])
    readings = {} if flight is None else {reading["serial_no"]: reading for reading in flight["readings"]}
    packs = tuple(
        _pack(pack, readings.get(pack.get("serial_no") or None, {}), given or {})
        for pack in answer.get("packs") or ()
    )
    review = PlanReview(
        row["plan_id"], row["title"] or "", row["made_at"] or "", row["aircraft"], plan, answer, packs
    )
    if flight is None:
        return review
    from logbook.units import between

    review = review._replace(
        flight_id=flight["flight_id"],
        flown_on=flight["date"],
        own_estimate=flight["pilot_estimate_soc_pct"],
        block_min=between(flight["off_blocks"], flight["on_blocks"]),
        differences=tuple(differences(plan, answer, flight)),
    )
    return review._replace(words=tuple(_words(review)))


def _json(text: str | None) -> Row:
    """What was kept; a text that no program of ours wrote counts as nothing."""
    try:
        found = json.loads(text or "{}")
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _pack(pack: Row, reading: Row, given: dict[str, float]) -> PackReview:
    landing = pack.get("landing_soc_pct") or {}
    return PackReview(
        str(pack.get("serial_no") or ""),
        pack.get("soc_departure_pct"),
        landing.get("low"),
        landing.get("mid"),
        landing.get("high"),
        pack.get("needed_soc_pct"),
        reading.get("soc_departure_pct"),
        reading.get("soc_landing_pct"),
        given.get(str(pack.get("serial_no"))),
    )


def _words(review: PlanReview) -> list[str]:
    """Whether the flight came as forecast, and if not, whether because of what was flown or of what it used."""
    known = [pack for pack in review.packs if pack.error is not None]
    if not known:
        return ["The flight has no landing charge of these packs: nothing can be compared."]
    worst = min(known, key=lambda pack: pack.error or 0.0)
    error = worst.error or 0.0
    came = f"{pack_starts(worst.serial_no)} landed with {worst.actual:g} %, {_points(error)} than the middle forecast"
    words = [f"{came}, {'inside' if worst.inside else 'outside'} its interval."]
    if (
        worst.departed is not None
        and worst.departure is not None
        and abs(worst.departed - worst.departure) >= 1
    ):
        words.append(
            f"It departed with {worst.departed:g} %, {_points(worst.departed - worst.departure)} than planned."
        )
    words += _split(worst)
    words += [one.words for one in review.differences]
    if review.own_error is not None:
        words.append(
            f"Your own estimate was {abs(review.own_error):.0f} points off, the forecast {abs(error):.0f}."
        )
    return words


def _split(pack: PackReview) -> list[str]:
    """The error in two: flown otherwise than planned, and used otherwise than expected for what was flown."""
    if pack.given_flown is None or pack.mid is None or pack.actual is None:
        return []
    flown, used = pack.given_flown - pack.mid, pack.actual - pack.given_flown
    return [
        f"Of that, what was flown and departed with makes {flown:+.0f}, what it used beside the expected {used:+.0f} points."
    ]


def _points(value: float) -> str:
    rounded = abs(round(value))
    return f"{rounded} point{'' if rounded == 1 else 's'} {'more' if value >= 0 else 'less'}"
