"""A proposal beside the form: what was found, what is typed, where they differ, and what taking a field would write."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.measures import Measures, quantity_of
from logbook.services.flight_form import Form, Values, taken
from logbook.services.liked_units import column_of, typed_in
from logbook.services.proposal import Proposal, ProposedField
from logbook.services.typed_time import clock_text, local_day
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.units import minutes_of

DAY: Final = "@day"
"""The line of the day on which the flight was: times can be taken only where the form is of that day."""
EMPTY: Final = "empty"
SAME: Final = "same"
DIFFERS: Final = "differs"
OTHER_DAY: Final = "other day"
NOT_ASKED: Final = "not asked"


class Beside(NamedTuple):
    """One line: a field, what the file says, what the form says.

    Attributes:
        name: of the field; `@day` for the day.
        words: the field in words.
        found: as it would be typed.
        typed: what stands in the form, a time on its clock; empty where nothing does.
        state: `empty`, `same`, `differs`, `other day` (take the day first), `not asked` (the form has no such field).
        note: by how much they differ, or where the value comes from.
        source: what it counts as once it is taken.
    """

    name: str
    words: str
    found: str
    typed: str
    state: str
    note: str
    source: str = "read"


def beside(form: Form, values: Values, proposal: Proposal) -> list[Beside]:
    """The proposal line by line beside what is typed, the day first."""
    day = local_day(proposal.began, form.clock.home_zone)
    same_day = day == form.clock.day
    lines = [
        Beside(
            DAY, "Day", day, form.clock.day, SAME if same_day else DIFFERS,
            "" if same_day else "times can be taken once the form is of that day",
        )
    ]  # fmt: skip
    return lines + [_line(form, values, field, same_day=same_day) for field in proposal.fields]


def _line(form: Form, values: Values, field: ProposedField, *, same_day: bool) -> Beside:
    found = typed_in(field.typed(form.clock.zone), field.name, form.measures)
    stands = taken(values, field.name)
    line = Beside(field.name, field.words, found, stands, EMPTY, field.origin, field.source)
    if field.name not in form.names:
        return line._replace(
            state=NOT_ASKED, note="the form has no such field for this aeroplane and outcome"
        )
    if field.is_moment and not same_day:
        return line._replace(state=OTHER_DAY)
    if not stands:
        return line
    reader = form.reader(field.name, values)
    there, value = reader(stands).value, field.value if field.is_moment else reader(found).value
    if field.is_moment and there:
        line = line._replace(typed=clock_text(there, form.clock.zone))
    if there == value:
        return line._replace(state=SAME)
    return line._replace(state=DIFFERS, note=f"{_apart(there, value, field, form.measures)}{field.origin}")


def _apart(there: Any, value: Any, field: ProposedField, measures: Measures) -> str:
    """By how much what is typed and what was found differ, in front of where it comes from."""
    if field.is_moment and isinstance(there, str):
        return f"{abs(minutes_of(field.value) - minutes_of(there))} min apart; "
    if isinstance(there, (int, float)) and isinstance(value, (int, float)):
        quantity = quantity_of(column_of(field.name))
        difference = abs(value - there)
        return f"{measures.step(difference, quantity) if quantity else format(difference, 'g')} apart; "
    return ""


def to_take(lines: list[Beside], name: str) -> dict[str, tuple[str, str]]:
    """What one key takes: the field with what was found, whether something stands there or not."""
    return {
        line.name: (line.found, line.source)
        for line in lines
        if line.name == name and line.state in (EMPTY, DIFFERS) and line.name != DAY
    }


def all_empty(lines: list[Beside]) -> dict[str, tuple[str, str]]:
    """What `a` takes: every field in which nothing stands."""
    return {line.name: (line.found, line.source) for line in lines if line.state == EMPTY}


def in_the_book(book: Book, aircraft: str, began: str, ended: str, but: str = "") -> Mapping[str, Any] | None:
    """A flight of that aeroplane in the book at that time, if there is one.

    Args:
        book: the open book.
        aircraft: registration.
        began: first moment of the flight that may be there already (UTC, stored form).
        ended: its last.
        but: a flight that does not count: the one that is being typed.
    """
    return next(
        (row for row in BookFacts(book).flights_during(aircraft, began, ended) if row["flight_id"] != but),
        None,
    )


def told(flight: Mapping[str, Any]) -> str:
    """A flight of the book in a few words: aeroplane, day, block times (UTC), pilot."""
    times = " to ".join(
        clock_text(flight[name], "UTC") for name in ("off_blocks", "on_blocks") if flight[name]
    )
    pilot = f", {flight['pilot']}" if flight.get("pilot") else ""
    return f"{flight['aircraft']} {flight['date']}, {times} UTC{pilot}"
