"""Everything the Rates screen shows of one aeroplane: rates, how good the forecasts were, entries that do not fit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from typing import Any, Final, NamedTuple

from logbook.energy.estimate import Z90
from logbook.measures import USUAL, Measures
from logbook.services.estimates import Source, estimator_of, forecasts_of, rates_of
from logbook.services.liked_units import measures_of
from logbook.store.database import Book
from logbook.store.records import Records

Row = dict[str, Any]
FEW: Final = 20
"""With fewer flights the interval comes more from the handbook than from the record."""
FIELD_WORDS: Final = {
    "soc_landing_pct": "landing charge",
    "soc_departure_pct": "departure charge",
    "level_min": "level minutes",
    "climb_ft": "feet climbed",
    "circuits": "circuits",
    "takeoff": "take-off",
    "landing": "landing",
    "air_min": "air time",
    "mass_kg": "mass",
}
RATE_WORDS: Final = {
    "ground": "Start and taxi",
    "climb": "Climb",
    "level": "Level",
    "circuit": "Circuit",
    "departure": "Leaving circuit",
}


class Graded(NamedTuple):
    """One group of flights and how good their forecasts were."""

    name: str
    score: Row


class ForecastRow(NamedTuple):
    """One pack on one flight: forecast from earlier records only, given what was flown [%]."""

    flight_id: str
    date: str
    kind: str
    person: str
    serial_no: str
    low: float
    mid: float
    high: float
    actual: float
    handbook: float
    suspect: str
    """Why its entry is suspected; empty where it is not."""

    @property
    def error(self) -> float:
        """What came less what was forecast [points]: positive when more was left."""
        return self.actual - self.mid

    @property
    def inside(self) -> bool:
        """Whether what came lies between low and high."""
        return self.low <= self.actual <= self.high


class SuspectRow(NamedTuple):
    """One entry that does not fit the rest of the record."""

    flight_id: str
    date: str
    what: str
    serial_no: str
    recorded: float
    fits: float
    z: float
    why: str


class RatesView(NamedTuple):
    """What there is to show.

    Attributes:
        rates: as `services.estimates.rates_of` gives it.
        graded: all flights, the last fifty, each kind, each person.
        rows: newest first.
        suspects: newest first.
        words: what to make of it, in sentences.
        tenths: forecasts with and without the stated energy by tenths of charge; None where none is stated.
        measures: the units figures are shown in.
    """

    aircraft: str
    rates: Row
    graded: tuple[Graded, ...]
    rows: tuple[ForecastRow, ...]
    suspects: tuple[SuspectRow, ...]
    words: tuple[str, ...]
    tenths: Row | None = None
    measures: Measures = USUAL


def rates_view(book: Book, aircraft: str, *, source: Source = estimator_of) -> RatesView:
    """All of it, for one aeroplane.

    Raises:
        DataRefused: the book knows no such aeroplane.
    """
    rates = rates_of(book, aircraft, source=source)
    found = forecasts_of(book, aircraft, rows=True, source=source)
    dates = _dates(book, aircraft)
    doubted = {one["flight_id"]: one["why"] for one in found["suspects"]}
    rows = [
        ForecastRow(
            row["flight_id"],
            dates.get(row["flight_id"], ""),
            row["kind"],
            row["handled_by"],
            row["serial_no"],
            row["low"],
            row["mid"],
            row["high"],
            row["actual"],
            row["handbook"],
            doubted.get(row["flight_id"], ""),
        )
        for row in reversed(found["rows"])
    ]
    suspects = [_suspect(one, dates) for one in found["suspects"]]
    suspects.sort(key=lambda one: one.date, reverse=True)
    graded = _graded(found)
    return RatesView(
        aircraft,
        rates,
        graded,
        tuple(rows),
        tuple(suspects),
        tuple(_words(rates, graded[0].score)),
        found.get("energy_by_decile"),
        measures_of(book),
    )


def _suspect(one: Row, dates: Mapping[str, str]) -> SuspectRow:
    return SuspectRow(
        one["flight_id"],
        dates.get(one["flight_id"], ""),
        FIELD_WORDS.get(one["field"], one["field"].replace("_", " ")),
        one["serial_no"],
        one["recorded"],
        one["fits"],
        one["z"],
        one["why"],
    )


def _dates(book: Book, aircraft: str) -> dict[str, str]:
    number = book.keys.number("aircraft", aircraft, "aircraft")
    rows = Records(book, "flight").select("aircraft = ? AND struck = 0", (number,))
    return {row["flight_id"]: row["date"] for _, row in rows}


def _graded(found: Row) -> tuple[Graded, ...]:
    groups = [("all flights", found), ("last 50", found["last_50"])]
    groups += [(name or "kind not stated", score) for name, score in found["by_kind"].items()]
    groups += [(name or "nobody named", score) for name, score in found["by_person"].items()]
    return tuple(Graded(name, score) for name, score in groups if score["flights"]) or (
        Graded("all flights", found),
    )


def chance_range(n: int) -> tuple[int, int]:
    """Between which shares [%] a perfect 90 % interval falls nine times in ten, on so many flights."""
    half = Z90 * sqrt(0.9 * 0.1 / max(n, 1))
    return round(100 * max(0.9 - half, 0.0)), round(100 * min(0.9 + half, 1.0))


def _words(rates: Row, score: Row) -> list[str]:
    """What to make of the figures, and what would make them better."""
    flights = rates["flights"]
    if not flights:
        return [f"No flight with charges of every pack is recorded yet: {_start(rates)}"]
    found = []
    start = "the handbook" if _stated(rates) else "a rough start"
    if flights < FEW:
        found.append(
            f"{flights} flight{'' if flights == 1 else 's'} so far: the intervals still come more from {start} than from the record. Each flight narrows them."
        )
    if score["flights"]:
        low, high = chance_range(score["flights"])
        inside = round(100 * score["inside_90"])
        found.append(
            f"{inside} % of landings lay inside their interval of 90 %; by chance alone {low} to {high} % may, on {score['flights']} flights."
        )
        found += _better(score, start)
    if rates["changed"]:
        found.append(
            "Use has changed lately: forecasts were wrong in one sense. Look for what changed: propeller, cooling, habits."
        )
    return found + [
        f"{reason[:1].upper()}{reason[1:]}." for reason in rates["why"] if "changed lately" not in reason
    ]


def _stated(rates: Row) -> bool:
    """Whether the book has any figure of the handbook."""
    return any(rate["handbook"] is not None for rate in rates["rates"].values())


def _start(rates: Row) -> str:
    """Where the figures come from before the first flight: nobody may take a rough start for the handbook's word."""
    stated = [rate["handbook"] is not None for rate in rates["rates"].values()]
    if all(stated):
        return "all figures are the handbook's, as wide as handbooks are."
    if any(stated):
        return "figures beside ◇ are the handbook's, the others a rough start from other figures. Setup, Aeroplanes takes those that lack."
    return "no figure of the handbook is entered either: this is a rough start, not to plan with. Setup, Aeroplanes takes the handbook's."


def _better(score: Row, start: str) -> Sequence[str]:
    """Whether the forecasts are worth having, beside the two simple ways; `start` is where the first figures come from."""
    mine, book, plain = (score[name] for name in ("mae_pct", "handbook_mae_pct", "average_mae_pct"))
    beside = f"{start} alone {book:.1f}, a plain average per minute {plain:.1f}"
    if mine <= min(book, plain):
        return [f"They were off by {mine:.1f} points in the mean; {beside}."]
    return [
        f"They were off by {mine:.1f} points in the mean, which is no better than the simple ways so far: {beside}."
    ]
