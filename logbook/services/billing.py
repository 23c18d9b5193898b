"""Hours and energy of a month, by person: what a club's treasurer asks for."""

from __future__ import annotations

from typing import Any, Final

from logbook.errors import UsageError
from logbook.services.people import Aboard, aboard
from logbook.store.database import Book
from logbook.store.people_sweep import PeopleSweep
from logbook.units import between, canonical_date

Row = dict[str, Any]

COLUMNS: Final = (
    "month",
    "person",
    "aircraft",
    "flights",
    "block_hours",
    "air_hours",
    "landings",
    "energy_kwh",
    "flights_without_energy",
)
"""Columns of the table; energy is what the packs gave, as derived from their readings, not what a meter charged."""


def billing(book: Book, month: str) -> list[Row]:
    """Each person's flights of a month (local dates), by aeroplane.

    A flight is charged to its pilot; where an instructor stands as the pilot, to the other person.

    Args:
        book: the open book.
        month: `YYYY-MM`.

    Raises:
        UsageError: that is no month.
    """
    try:
        canonical_date(f"{month}-01")
    except ValueError:
        raise UsageError(f"'{month}' is not a month.", next_step="Write it as 2031-05.") from None
    energy = PeopleSweep(book).energy()
    rows: dict[tuple[str, str], Row] = {}
    for one in aboard(book, sun=False):
        if one.flight["date"][:7] == month and one.experience.minutes and one.part.person == charged_to(one):
            _count(rows, month, one, energy.get(one.flight["flight_id"]))
    return [_rounded(rows[key]) for key in sorted(rows)]


def charged_to(one: Aboard) -> str | None:
    """Whose flight it is to pay for."""
    pilot: str | None = one.flight["pilot"]
    function = next((part.function for part in one.everybody if part.person == pilot), None)
    if function == "instructor" or pilot is None:
        others = [part.person for part in one.everybody if part.person != pilot]
        return others[0] if others else pilot
    return pilot


def _count(rows: dict[tuple[str, str], Row], month: str, one: Aboard, energy_kwh: float | None) -> None:
    person, aircraft = one.part.person, one.flight["aircraft"]
    blank = dict.fromkeys(COLUMNS, 0) | {"month": month, "person": person, "aircraft": aircraft}
    row = rows.setdefault((person, aircraft), blank)
    row["flights"] += 1
    row["block_hours"] += one.experience.minutes / 60
    row["air_hours"] += (between(one.flight["takeoff"], one.flight["landing"]) or 0) / 60
    row["landings"] += sum(part.landings_day + part.landings_night for part in one.everybody)
    row["energy_kwh"] += energy_kwh or 0
    row["flights_without_energy"] += energy_kwh is None


def _rounded(row: Row) -> Row:
    return row | {name: round(row[name], 3) for name in ("block_hours", "air_hours", "energy_kwh")}
