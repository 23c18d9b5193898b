"""Who did what on a flight: the one rule by which functions, take-offs and landings belong to people.

What a crew row says goes first, person by person; what it is silent on comes from the flight's own columns.
Landings and take-offs belong to whoever handled the controls, else to the pilot. A take-off that nobody wrote down is
counted with the landing it belongs to: every circuit, and every flight, has one of each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, NamedTuple

COMMAND: Final = frozenset({"pic", "solo"})
"""Functions of which a flight has one at most."""

_COUNTS: Final = (
    "takeoffs_day",
    "takeoffs_night",
    "landings_day",
    "landings_night",
    "landings_night_full_stop",
)


class CrewPart(NamedTuple):
    """One person's part in one flight.

    Attributes:
        person: the name.
        function: `pic`, `dual`, `instructor`, `solo`, `picus`, `copilot`, or None where nobody wrote it down.
        handled: whether they had the controls.
        takeoffs_day: their take-offs by day; likewise by night, and the landings.
        landings_night_full_stop: of the landings by night, those to a full stop; where nobody wrote it down, a flight
            whose landings were all by night ended with one.
        takeoffs_written: False where take-offs were not written down but counted with the landings.
    """

    person: str
    function: str | None
    handled: bool
    takeoffs_day: int
    takeoffs_night: int
    landings_day: int
    landings_night: int
    landings_night_full_stop: int
    takeoffs_written: bool


def effective_crew(flight: Mapping[str, Any], crew: Sequence[Mapping[str, Any]] = ()) -> tuple[CrewPart, ...]:
    """Everybody's part in a flight, the pilot first.

    Args:
        flight: its recorded columns, people by name.
        crew: its crew rows; they win over the columns, person by person.
    """
    rows = {row["person"]: row for row in crew}
    functions = _functions(flight)
    people = [*functions, *(person for person in rows if person not in functions)]
    handler = handler_of(flight, crew)
    if handler is not None and handler not in people:
        people.append(handler)
    shared = any(row.get(name) is not None for row in crew for name in _COUNTS)
    return tuple(
        _part(person, rows.get(person, {}), functions.get(person), flight, handler=handler, shared=shared)
        for person in people
    )


def handler_of(flight: Mapping[str, Any], crew: Sequence[Mapping[str, Any]] = ()) -> str | None:
    """Who had the controls: the one crew row that says so, else `handled_by`, else the pilot."""
    said = [row["person"] for row in crew if row.get("handled")]
    if len(said) == 1:
        return str(said[0])
    name = flight.get("handled_by") or flight.get("pilot")
    return None if name is None else str(name)


def teacher_of(part: CrewPart, everybody: Iterable[CrewPart]) -> str | None:
    """Who taught or commanded while somebody had this part; None where nobody else did."""
    return next(
        (
            other.person
            for other in everybody
            if other.person != part.person and other.function in ("instructor", "pic")
        ),
        None,
    )


def _functions(flight: Mapping[str, Any]) -> dict[str, str | None]:
    """The people of the flight's own columns with their functions; nobody twice."""
    found: dict[str, str | None] = {}
    for who, what in (("pilot", "function"), ("second_person", "second_function")):
        person = flight.get(who)
        if person is not None and person not in found:
            found[person] = flight.get(what)
    return found


def _part(
    person: str,
    row: Mapping[str, Any],
    function: str | None,
    flight: Mapping[str, Any],
    *,
    handler: str | None,
    shared: bool,
) -> CrewPart:
    if shared:
        landings: Mapping[str, Any] = row
    else:
        landings = flight if person == handler else {}
    day, night = int(landings.get("landings_day") or 0), int(landings.get("landings_night") or 0)
    stops = landings.get("landings_night_full_stop")
    if stops is None:
        stops = int(night > 0 and day == 0 and not shared)
    written = row.get("takeoffs_day") is not None or row.get("takeoffs_night") is not None
    return CrewPart(
        person=person,
        function=row.get("function") or function,
        handled=bool(row.get("handled")) or person == handler,
        takeoffs_day=int(row.get("takeoffs_day") or 0) if written else day,
        takeoffs_night=int(row.get("takeoffs_night") or 0) if written else night,
        landings_day=day,
        landings_night=night,
        landings_night_full_stop=int(stops),
        takeoffs_written=written,
    )
