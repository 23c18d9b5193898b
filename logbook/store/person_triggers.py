"""Triggers that throw away kept totals of people (`person_total`) which no longer hold, whoever writes to the book.

What somebody flew, and what waits for them, rests on the flights they were aboard, the crew written down for these, their
open flags and their countersignatures. Everybody aboard is concerned: a crew row of one shares out the landings of all, and
an instructor has to sign what a student flew. Another name, or a person struck out, concerns anybody.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

_OF_A_FLIGHT: Final = """date, state, outcome, off_blocks, on_blocks, pilot, function, second_person, second_function, handled_by,
            landings_day, landings_night, struck"""
"""The columns of a flight that the totals are made of."""

_PARTS: Final = ("pilot", "second_person", "handled_by")
_EVENTS: Final = (("INSERT", ("NEW",)), ("UPDATE", ("OLD", "NEW")))


def person_triggers() -> Iterator[str]:
    """The triggers, as SQL statements."""
    for event, rows in _EVENTS:
        of = f" OF {_OF_A_FLIGHT}" if event == "UPDATE" else ""
        people = ", ".join(f"{row}.{part}" for row in rows for part in _PARTS)
        crew = (
            "" if event == "INSERT" else " SELECT person FROM crew WHERE flight = NEW.n"
        )  # it follows the flight
        named = _gone(f"IN ({people})") + (_gone(f"IN ({crew.strip()})") if crew else "")
        yield _trigger(f"flight_person_{event.lower()}", f"{event}{of} ON flight", named)
        yield _trigger(f"crew_person_{event.lower()}", f"{event} ON crew", " ".join(map(_of_crew, rows)))
        signed = " ".join(_aboard(f"(SELECT n FROM flight WHERE id = {row}.flight_id)") for row in rows)
        yield _trigger(f"signature_person_{event.lower()}", f"{event} ON signature", signed)
    for event, row in (("INSERT", "NEW"), ("DELETE", "OLD")):
        when = f"{event} ON flight_index WHEN {row}.open_flags > 0"
        yield _trigger(f"flight_index_person_{event.lower()}", when, _aboard(f"{row}.flight"))
    yield _trigger(
        "flight_index_person_update", "UPDATE OF flight, open_flags ON flight_index", _aboard("NEW.flight")
    )
    yield _trigger("person_person", "UPDATE OF person, struck ON person", "DELETE FROM person_total;")


def _trigger(name: str, when: str, body: str) -> str:
    return f"CREATE TRIGGER {name} AFTER {when} BEGIN {body} END"


def _gone(people: str) -> str:
    return f"DELETE FROM person_total WHERE person {people};"


def _of_crew(row: str) -> str:
    return f"{_gone(f'= {row}.person')} {_aboard(f'{row}.flight')}"


def _aboard(flight: str) -> str:
    """Totals of everybody aboard a flight."""
    parts = " UNION ALL ".join(f"SELECT {part} FROM flight WHERE n = {flight}" for part in _PARTS)
    return _gone(f"IN ({parts} UNION ALL SELECT person FROM crew WHERE flight = {flight})")
