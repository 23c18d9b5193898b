"""All flights with the people aboard, in one sweep and in order of time: what totals, recency and records are made of."""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from typing import Any, Final

from logbook.store.database import Book

Row = dict[str, Any]

_COLUMNS = (
    "flight_id",
    "date",
    "outcome",
    "off_blocks",
    "takeoff",
    "landing",
    "on_blocks",
    "place_from",
    "place_to",
    "function",
    "second_function",
    "kind",
    "landings_day",
    "landings_night",
    "landings_night_full_stop",
    "exercise",
    "remarks",
    "aircraft",
    "pilot",
    "second_person",
    "handled_by",
    "safety_pilot",
    "night_min",
    "ifr_min",
    "instrument_min",
    "simulated_instrument_min",
    "ground_training_min",
    "approaches_text",
    "device_text",
)


_AT_ONCE: Final = 1000
"""So many flights are read together: the memory is for these, however long the record is."""


class PeopleSweep:
    """Reads flights and their crew rows together, a thousand at a time; no look-up for each flight."""

    def __init__(self, book: Book) -> None:
        self._run = book.connection.execute
        self._book = book

    def flights(self, person: str | None = None) -> Iterator[tuple[Row, list[Row]]]:
        """Every closed, unstruck flight, training device and attempt as (columns, crew rows), people by name.

        Args:
            person: only those on which this person was aboard.

        Raises:
            DataRefused: the book knows no such person.
        """
        where, parameters = "f.struck = 0 AND f.state = 'closed'", {}
        if person is not None:
            parameters = {"who": self._book.keys.number("person", person, "person")}
            where += (
                " AND (f.pilot = :who OR f.second_person = :who OR f.handled_by = :who"
                " OR f.n IN (SELECT flight FROM crew WHERE person = :who))"
            )
        found = self._run(
            f"SELECT f.n FROM flight f WHERE {where} ORDER BY coalesce(f.off_blocks, f.date), f.n", parameters
        )
        numbers = array("q", (row[0] for row in found.fetchall()))
        for start in range(0, len(numbers), _AT_ONCE):
            yield from self._some(numbers[start : start + _AT_ONCE].tolist())

    def _some(self, numbers: list[int]) -> Iterator[tuple[Row, list[Row]]]:
        """Some flights with their crew rows, in the order of the numbers."""
        marks = ",".join("?" * len(numbers))
        crew = self._crew(numbers)
        rows = self._run(
            f"""SELECT f.n, f.id, f.date, f.outcome, f.off_blocks, f.takeoff, f.landing, f.on_blocks, f.place_from,
                f.place_to, f.function, f.second_function, f.kind, f.landings_day, f.landings_night,
                f.landings_night_full_stop, f.exercise, f.remarks, f.aircraft, f.pilot, f.second_person, f.handled_by,
                f.safety_pilot, f.night_min, f.ifr_min, f.instrument_min, f.simulated_instrument_min,
                f.ground_training_min, f.approaches_text, f.device_text
            FROM flight f WHERE f.n IN ({marks})""",
            numbers,
        ).fetchall()
        place = {n: at for at, n in enumerate(numbers)}
        rows.sort(key=lambda row: place[row[0]])
        people, fleet = self._book.keys.names("person"), self._book.keys.names("aircraft")
        for n, *values in rows:
            row = dict(zip(_COLUMNS, values, strict=True))
            row["aircraft"] = fleet[row["aircraft"]]
            for name in ("pilot", "second_person", "handled_by", "safety_pilot"):
                if row[name] is not None:
                    row[name] = people[row[name]]
            yield row, crew.get(n, [])

    def _crew(self, numbers: list[int]) -> dict[int, list[Row]]:
        people = self._book.keys.names("person")
        found: dict[int, list[Row]] = {}
        cursor = self._run(
            f"""SELECT c.flight, c.person, c.function, c.handled, c.takeoffs_day, c.takeoffs_night, c.landings_day,
                c.landings_night, c.landings_night_full_stop
            FROM crew c WHERE c.flight IN ({",".join("?" * len(numbers))}) ORDER BY c.flight, c.n""",
            numbers,
        )
        names = [column[0] for column in cursor.description][1:]
        for flight, *values in cursor.fetchall():
            row = dict(zip(names, values, strict=True))
            row["person"] = people[row["person"]]
            found.setdefault(flight, []).append(row)
        return found

    def fleet(self) -> dict[str, tuple[str | None, str | None]]:
        """Type and class of each aeroplane, by registration."""
        rows = self._run('SELECT registration, type, "class" FROM aircraft').fetchall()
        return {registration: (kind, group) for registration, kind, group in rows}

    def spots(self) -> dict[str, tuple[float, float]]:
        """Latitude and longitude [°] of the places that have both, by name."""
        rows = self._run(
            """SELECT place, latitude_deg, longitude_deg FROM place
            WHERE struck = 0 AND latitude_deg IS NOT NULL AND longitude_deg IS NOT NULL"""
        ).fetchall()
        return {place: (latitude, longitude) for place, latitude, longitude in rows}

    def signed(self) -> dict[str, set[str]]:
        """Who countersigned each flight, by its id; whether the signatures hold is another question."""
        found: dict[str, set[str]] = {}
        for flight_id, person in self._run(
            "SELECT flight_id, person FROM signature WHERE struck = 0"
        ).fetchall():
            found.setdefault(flight_id, set()).add(person)
        return found

    def open_flags(self) -> dict[str, int]:
        """How many flags of each flight wait for an answer, by its id."""
        rows = self._run(
            """SELECT f.id, i.open_flags FROM flight_index i JOIN flight f ON f.n = i.flight WHERE i.open_flags > 0"""
        ).fetchall()
        return dict(rows)

    def energy(self) -> dict[str, float]:
        """Energy of each flight that knows its own [kWh], by id."""
        rows = self._run(
            """SELECT f.id, i.energy_kwh FROM flight_index i JOIN flight f ON f.n = i.flight
            WHERE i.energy_kwh IS NOT NULL"""
        ).fetchall()
        return dict(rows)
