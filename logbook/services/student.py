"""A student's history: how they managed energy, landing by landing, and whether their own estimates got better."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.rules.crew import teacher_of
from logbook.rules.halves import halves_of
from logbook.rules.person_totals import total_up
from logbook.services.answers_given import answers_of
from logbook.services.estimates import estimator_of
from logbook.services.people import (
    Aboard,
    aboard,
    person_row,
    totals_row,
    wants_signature,
)
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import Flights
from logbook.store.people_sweep import PeopleSweep
from logbook.store.records import Records

Row = dict[str, Any]


def student_of(book: Book, name: str, *, hindcasts: bool = True) -> Row:
    """The history of one student (or of any pilot): flights in order, totals, progress.

    Args:
        book: the open book.
        name: the person.
        hindcasts: also the program's own forecast of each flight, from earlier records only (slow on long records).

    Raises:
        DataRefused: the book knows no such person.
    """
    person = person_row(book, name)
    mine = list(aboard(book, name))
    learning = [one for one in mine if one.part.function != "instructor"]
    rows = _rows(book, learning)
    forecasts = _forecasts(book, learning) if hindcasts else {}
    rows = [_with_forecast(row, forecasts.get(row["flight_id"], _NO_FORECAST)) for row in rows]
    return {
        "person": name,
        "totals": totals_row(total_up((one.experience for one in mine), person)),
        "flights": rows,
        "progress": {
            "estimate_error_pct": _progress([row["estimate_error_pct"] for row in rows], size_only=True),
            "margin_pct": _progress([row["margin_pct"] for row in rows], size_only=False),
        },
        "below_reserve": _below(rows),
        "open_flags": sum(not flag["answered"] for row in rows for flag in row["flags"]),
        "to_countersign": [row["flight_id"] for row in rows if row["wants_signature"]],
    }


def _below(rows: list[Row]) -> Row:
    """How many landings can be held against the reserve in percent, and the days of those below it, in percent and in minutes."""
    margins = [(row["date"], row["margin_pct"]) for row in rows if row["margin_pct"] is not None]
    return {
        "judged": len(margins),
        "pct": [day for day, margin in margins if margin < 0],
        "minutes": [row["date"] for row in rows if any(flag["rule"] == _SHORT for flag in row["flags"])],
    }


_SHORT: Final = "final_reserve_short"
_NO_FORECAST: Row = {"program_low_pct": None, "program_mid_pct": None, "program_high_pct": None}


def _with_forecast(row: Row, forecast: Row) -> Row:
    error = _less(row["landing_soc_pct"], forecast["program_mid_pct"])
    return row | forecast | {"program_error_pct": error}


def _progress(values: list[float | None], *, size_only: bool) -> Row:
    """First half against second half; of an error its size counts, not its direction."""
    known = [abs(value) if size_only else value for value in values if value is not None]
    found = halves_of(known)
    return {
        "flights": len(known),
        "first": found.first._asdict(),
        "second": found.second._asdict(),
        "difference": found.difference._asdict(),
        "state": found.state,
    }


def _rows(book: Book, mine: list[Aboard]) -> list[Row]:
    flights, derived, sweep = Flights(book), Derived(book), PeopleSweep(book)
    numbers = [flights.number(one.flight["flight_id"]) or 0 for one in mine]
    whole = dict(zip(numbers, flights.read(numbers), strict=True))
    flags, signed = derived.flags(numbers), sweep.signed()
    fleet = {row["registration"]: row for _, row in Records(book, "aircraft").select()}
    return [
        _row(one, whole[n], fleet[one.flight["aircraft"]])
        | {
            "flags": _with_answers(book, one.flight["flight_id"], flags[n]),
            "wants_signature": wants_signature(one, signed),
        }
        for one, n in zip(mine, numbers, strict=True)
    ]


def _with_answers(book: Book, flight_id: str, flags: list[Row]) -> list[Row]:
    """Flags with the last answer each was given (`answer`); None where there is none."""
    if not any(flag["answered"] for flag in flags):
        return [flag | {"answer": None} for flag in flags]
    said = {
        (one["rule"], one["serial_no"] or ""): {"words": one["words"], "by_whom": one["by_whom"]}
        for one in sorted(answers_of(book, flight_id, "flight_id"), key=lambda one: str(one["at"]))
    }
    return [
        flag | {"answer": said.get((flag["rule"], flag["serial_no"])) if flag["answered"] else None}
        for flag in flags
    ]


def _row(one: Aboard, flight: Row, aircraft: Row) -> Row:
    """One flight: the weaker pack decides; the reserve is the one in force then; only a flight that flew has landed."""
    landed = (
        []
        if flight["outcome"] != "flown"
        else [
            (reading["soc_landing_pct"], reading["serial_no"] or "")
            for reading in flight["readings"]
            if reading["soc_landing_pct"] is not None
        ]
    )
    charge, serial = min(landed, default=(None, None))
    reserve = flight["reserve_soc_pct"]
    if reserve is None:
        reserve = aircraft["reserve_soc_pct"]
    own = flight["pilot_estimate_soc_pct"] if _own_estimate(one) else None
    return {
        "flight_id": flight["flight_id"],
        "date": flight["date"],
        "aircraft": flight["aircraft"],
        "outcome": flight["outcome"],
        "function": one.part.function,
        "handled": one.part.handled,
        "instructor": instructor_of(one),
        "exercise": flight["exercise"],
        "minutes": one.experience.minutes,
        "night_min": one.experience.night_min,
        "night_recorded": one.experience.night_recorded,
        "device_min": one.experience.device_min,
        "device_text": one.flight["device_text"],
        "ground_min": one.experience.ground_min,
        "simulated_min": one.experience.simulated_min,
        "landings": one.experience.part.landings_day + one.experience.part.landings_night,
        "landing_soc_pct": charge,
        "weaker_pack": serial,
        "reserve_soc_pct": reserve,
        "margin_pct": _less(charge, reserve),
        "own_estimate_pct": own,
        "estimate_error_pct": _less(charge, own),
        "remarks": flight["remarks"],
        "debrief": flight["debrief"],
    }


def _less(value: float | None, other: float | None) -> float | None:
    return None if value is None or other is None else round(value - other, 2)


def _own_estimate(one: Aboard) -> bool:
    """The estimate is the pilot's; where an instructor stands as the pilot, it is the student's."""
    pilot = one.flight["pilot"]
    teaching = any(part.person == pilot and part.function == "instructor" for part in one.everybody)
    return teaching or pilot == one.part.person


def instructor_of(one: Aboard) -> str | None:
    """Who taught or commanded, other than the person themselves; None where nobody did."""
    return teacher_of(one.part, one.everybody)


def _forecasts(book: Book, mine: list[Aboard]) -> Mapping[str, Row]:
    """For each flight the forecast of the pack that was expected to land with least, from earlier records only."""
    wanted = {one.flight["flight_id"] for one in mine}
    found: dict[str, Row] = {}
    for aircraft in sorted({one.flight["aircraft"] for one in mine if one.experience.minutes}):
        for row in estimator_of(book, aircraft).hindcasts().rows:
            known = found.get(row.flight_id)
            if row.flight_id in wanted and (known is None or row.mid < known["program_mid_pct"]):
                found[row.flight_id] = {
                    "program_low_pct": row.low,
                    "program_mid_pct": row.mid,
                    "program_high_pct": row.high,
                }
    return found
