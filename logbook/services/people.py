"""People: what they flew in which function, and the instructor's table of all students."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any, Final, NamedTuple

from logbook.errors import DataRefused
from logbook.rules.crew import CrewPart, effective_crew
from logbook.rules.experience import Experience, experience_of
from logbook.rules.night import Spot
from logbook.rules.person_totals import PersonTotals, total_up
from logbook.store.database import Book
from logbook.store.people_sweep import PeopleSweep
from logbook.store.records import Records
from logbook.units import minutes_of

Row = dict[str, Any]

RUNNING_OUT_DAYS: Final = 30
"""Items that end within this time are named in the table of students [d]."""

TO_COUNTERSIGN: Final = frozenset({"dual", "picus"})
"""Functions whose time an instructor or commander certifies (AMC1 FCL.050(b); 14 CFR 61.51(h)(2))."""


class Aboard(NamedTuple):
    """One person on one flight: its columns, their part, everybody's parts, and what it gives them."""

    flight: Row
    part: CrewPart
    everybody: tuple[CrewPart, ...]
    experience: Experience


def person_row(book: Book, name: str) -> Row:
    """The record of a person.

    Raises:
        DataRefused: the book knows no such person.
    """
    found = Records(book, "person").find(name)
    if found is None:
        raise DataRefused(
            f"The book knows no person '{name}'.", next_step="See 'logbook list people'.", field="person"
        )
    return found[1]


def aboard(
    book: Book, name: str | None = None, *, sun: bool = True, others: bool = False
) -> Iterator[Aboard]:
    """Everybody on every closed flight in order of time, or one person's flights only; linear in those flights.

    Args:
        book: the open book.
        name: one person; absent: everybody.
        others: those who were aboard with this person too.
        sun: look up where the Sun stood; without it no night is known, which is quicker on a large book.
    """
    sweep = PeopleSweep(book)
    fleet = sweep.fleet()
    spots = {place: Spot(*where) for place, where in sweep.spots().items()} if sun else {}
    for flight, crew in sweep.flights(name):
        everybody = effective_crew(flight, crew)
        for part in everybody:
            if others or name is None or part.person == name:
                found = experience_of(flight, part, everybody, fleet[flight["aircraft"]], spots)
                yield Aboard(flight, part, everybody, found)


def experience(book: Book, name: str, until: str | None = None) -> list[Experience]:
    """What each flight gave a person, oldest first, up to a day (local, included)."""
    person_row(book, name)
    return [one.experience for one in aboard(book, name) if until is None or one.experience.date <= until]


def totals_of(book: Book, name: str, until: str | None = None) -> PersonTotals:
    """Totals of one person up to a day (local, included).

    Raises:
        DataRefused: the book knows no such person.
    """
    return total_up(experience(book, name, until), person_row(book, name))


def totals_row(totals: PersonTotals) -> Row:
    """Totals as plain values, with and without what was brought forward."""
    return asdict(totals) | {"with_brought_forward": totals.with_brought_forward()}


def students(book: Book, today: str) -> list[Row]:
    """The instructor's table: everybody who flew dual or solo, who flew last first.

    Each row: person, last flight, dual and solo minutes, landings, unanswered flags on their flights, entries that
    wait for a countersignature, and items that run out within thirty days or have run out.
    """
    sweep = PeopleSweep(book)
    flags, signed = sweep.open_flags(), sweep.signed()
    rows: dict[str, Row] = {}
    for one in aboard(book, sun=False):
        person, function = one.part.person, one.part.function
        row = rows.setdefault(person, _blank(person))
        row["last_flight"] = (
            max(row["last_flight"], one.flight["date"]) if one.experience.minutes else row["last_flight"]
        )
        for name in ("dual", "solo"):
            row[f"{name}_min"] += one.experience.minutes if function == name else 0
        row["landings"] += one.experience.part.landings_day + one.experience.part.landings_night
        if function != "instructor":
            row["open_flags"] += flags.get(one.flight["flight_id"], 0)
        row["to_countersign"] += wants_signature(one, signed)
    ending = ending_items(book, today)
    chosen = [
        row | {"ending": ending.get(row["person"], [])}
        for row in rows.values()
        if row["dual_min"] or row["solo_min"]
    ]
    return sorted(chosen, key=lambda row: (row["last_flight"], row["person"]), reverse=True)


def _blank(person: str) -> Row:
    return {
        "person": person,
        "last_flight": "",
        "dual_min": 0,
        "solo_min": 0,
        "landings": 0,
        "open_flags": 0,
        "to_countersign": 0,
    }


def wants_signature(one: Aboard, signed: dict[str, set[str]]) -> bool:
    """Whether nobody else aboard has countersigned time that somebody must certify."""
    if one.part.function not in TO_COUNTERSIGN or not (one.experience.minutes or one.experience.device_min):
        return False
    return not signed.get(one.flight["flight_id"], set()) - {one.part.person}


def ending_items(book: Book, today: str) -> dict[str, list[Row]]:
    """Items of people that end soon or have ended, by person; a newer item of the same kind replaces the older."""
    newest: dict[tuple[str, str, str | None], Row] = {}
    for _, row in Records(book, "person_item").select(
        "struck = 0 AND valid_until IS NOT NULL", order="valid_until"
    ):
        newest[row["person"], row["item"], row["aircraft"]] = row
    found: dict[str, list[Row]] = {}
    now = minutes_of(f"{today}T00:00Z")
    for row in newest.values():
        days = (minutes_of(f"{row['valid_until']}T00:00Z") - now) // 1440
        if days <= RUNNING_OUT_DAYS:
            item = {
                "item": row["item"],
                "aircraft": row["aircraft"],
                "valid_until": row["valid_until"],
                "days": days,
            }
            found.setdefault(row["person"], []).append(item)
    return found
