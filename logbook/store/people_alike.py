"""Flights put together that were alike for the people aboard: sums of them are made by SQLite, and few rows come out of it.

Alike are flights with the same people in the same functions, the same outcome and the same countersignatures. Flights with
crew of their own stand for themselves.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any, Final, NamedTuple

from logbook.store.database import Book

Row = dict[str, Any]


class Alike(NamedTuple):
    """Some closed flights, none struck out, that were alike.

    Attributes:
        flight: what they have in common and the sums of their landings, by the names of a flight's columns.
        crew: the crew rows, of a flight that has any.
        signers: who countersigned them.
        flights: how many they are.
        timed: whether they have a block time: all of them, or none.
        minutes: block time, together [min].
        last: local day of the newest.
        open_flags: unanswered flags, together.
    """

    flight: Row
    crew: list[Row]
    signers: frozenset[str]
    flights: int
    timed: bool
    minutes: int
    last: str
    open_flags: int


_PEOPLE: Final = ("pilot", "second_person", "handled_by")
_CREW_AT_ONCE: Final = 500
_ALIKE: Final = """
    SELECT outcome, pilot, function, second_person, second_function, handled_by, sum(landings_day), sum(landings_night),
        alone, signers, count(*), minutes <> 0, sum(minutes), max(date), sum(open_flags)
    FROM (SELECT f.outcome, f.pilot, f.function, f.second_person, f.second_function, f.handled_by, f.landings_day,
            f.landings_night, f.date, coalesce(i.open_flags, 0) AS open_flags,
            coalesce((strftime('%s', f.on_blocks) - strftime('%s', f.off_blocks)) / 60, 0) AS minutes,
            CASE WHEN EXISTS (SELECT 1 FROM crew c WHERE c.flight = f.n) THEN f.n END AS alone,
            CASE WHEN EXISTS (SELECT 1 FROM signature s WHERE s.flight_id = f.id)  -- of most nobody ever signed: no list is sorted
                THEN (SELECT json_group_array(person) FROM (SELECT DISTINCT s.person FROM signature s
                    WHERE s.flight_id = f.id AND s.struck = 0 ORDER BY s.person)) ELSE '[]' END AS signers
        FROM flight f LEFT JOIN flight_index i ON i.flight = f.n
        WHERE f.struck = 0 AND f.state = 'closed' {among})
    GROUP BY outcome, minutes <> 0, pilot, function, second_person, second_function, handled_by, alone, signers"""
_AMONG: Final = """AND f.n IN (SELECT n FROM flight WHERE pilot IN (SELECT value FROM json_each(:who))
        UNION SELECT n FROM flight WHERE second_person IN (SELECT value FROM json_each(:who))
        UNION SELECT n FROM flight WHERE handled_by IN (SELECT value FROM json_each(:who))
        UNION SELECT flight FROM crew WHERE person IN (SELECT value FROM json_each(:who)))"""


def flights_alike(book: Book, people: Sequence[str] | None = None) -> Iterator[Alike]:
    """Groups of flights that were alike for everybody aboard.

    Args:
        book: the open book.
        people: only flights that some of these were aboard; None for all flights.

    Raises:
        DataRefused: the book knows no such person.
    """
    among, given = ("", {}) if people is None else (_AMONG, {"who": _numbers(book, people)})
    rows = book.connection.execute(_ALIKE.format(among=among), given).fetchall()
    crew = _crew(book, [row[8] for row in rows if row[8] is not None])
    names = book.keys.names("person")
    for (
        outcome,
        pilot,
        function,
        second,
        second_function,
        handler,
        day,
        night,
        alone,
        signers,
        flights,
        timed,
        *sums,
    ) in rows:
        flight = {
            "outcome": outcome,
            "function": function,
            "second_function": second_function,
            "landings_day": day,
            "landings_night": night,
        }
        flight |= {
            part: None if n is None else names[n]
            for part, n in zip(_PEOPLE, (pilot, second, handler), strict=True)
        }
        yield Alike(flight, crew.get(alone, []), frozenset(json.loads(signers)), flights, bool(timed), *sums)


def _numbers(book: Book, people: Sequence[str]) -> str:
    return json.dumps([book.keys.number("person", name, "person") for name in people])


def _crew(book: Book, flights: Sequence[int]) -> dict[int, list[Row]]:
    """Crew rows of some flights, in the order they were written down."""
    names, found = book.keys.names("person"), dict[int, list[Row]]()
    for start in range(0, len(flights), _CREW_AT_ONCE):
        some = flights[start : start + _CREW_AT_ONCE]
        rows = book.connection.execute(
            f"""SELECT flight, person, function, handled, takeoffs_day, takeoffs_night, landings_day, landings_night,
                landings_night_full_stop FROM crew WHERE flight IN ({",".join("?" * len(some))}) ORDER BY flight, n""",
            some,
        ).fetchall()
        for flight, person, function, handled, *counts in rows:
            row = {"person": names[person], "function": function, "handled": handled}
            row |= zip(_COUNTS, counts, strict=True)
            found.setdefault(flight, []).append(row)
    return found


_COUNTS: Final = (
    "takeoffs_day",
    "takeoffs_night",
    "landings_day",
    "landings_night",
    "landings_night_full_stop",
)
