"""The list of people, and the entries that wait for a countersignature; each in one sweep over the flights."""

from __future__ import annotations

from typing import Any, NamedTuple

from logbook.rules.person_totals import PersonTotals, brought_forward
from logbook.services.people import aboard, ending_items, wants_signature
from logbook.services.student import instructor_of
from logbook.store.database import Book
from logbook.store.people_sweep import PeopleSweep
from logbook.store.records import Records

Row = dict[str, Any]


class PersonLine(NamedTuple):
    """One person at a glance.

    Attributes:
        role: as written down.
        last_flight: day of the newest flight, or empty.
        total_min: block time with what was brought forward; likewise the others [min].
        dual_min: time under instruction; `solo_min` alone, in this book only.
        landings: by day and night, with what was brought forward.
        open_flags: unanswered, on flights they did not teach on.
        waiting: their own entries that nobody else has countersigned.
        to_sign: entries of others on which they were the instructor, and which wait.
        ending: items that end within thirty days or have ended.
        student: they flew under instruction, or alone as a student, in this book.
    """

    person: str
    role: str
    last_flight: str
    total_min: float
    pic_min: float
    dual_min: float
    solo_min: float
    landings: float
    open_flags: int
    waiting: int
    to_sign: int
    ending: tuple[Row, ...]
    student: bool


class WaitingEntry(NamedTuple):
    """An entry that somebody must certify and nobody else has countersigned."""

    flight_id: str
    date: str
    aircraft: str
    person: str
    function: str
    instructor: str
    minutes: int
    landings: int
    words: str


def people_lines(book: Book, today: str) -> list[PersonLine]:
    """Everybody in the book, who flew last first; who has never flown comes last, by name.

    Args:
        book: the open book.
        today: the day from which items run out (local).
    """
    people = {row["person"]: row for _, row in Records(book, "person").select("struck = 0", order="person")}
    totals = {name: PersonTotals(brought_forward=brought_forward(row)) for name, row in people.items()}
    sweep = PeopleSweep(book)
    flags, signed = sweep.open_flags(), sweep.signed()
    counts = {name: {"flags": 0, "waiting": 0, "to_sign": 0} for name in people}
    for one in aboard(book, sun=False):
        person = one.part.person
        if person not in counts:
            continue
        totals[person].add(one.experience)
        if one.part.function != "instructor":
            counts[person]["flags"] += flags.get(one.flight["flight_id"], 0)
        if wants_signature(one, signed):
            counts[person]["waiting"] += 1
            teacher = instructor_of(one)
            if teacher in counts:
                counts[teacher]["to_sign"] += 1
    ending = ending_items(book, today)
    lines = [
        _line(row, totals[name], counts[name], tuple(ending.get(name, ()))) for name, row in people.items()
    ]
    return sorted(lines, key=lambda line: line.last_flight, reverse=True)


def _line(row: Row, totals: PersonTotals, counts: dict[str, int], ending: tuple[Row, ...]) -> PersonLine:
    whole = totals.with_brought_forward()
    return PersonLine(
        person=row["person"],
        role=row["role_text"] or "",
        last_flight=totals.last_flight or "",
        total_min=whole["total_min"],
        pic_min=whole["pic_min"],
        dual_min=whole["dual_min"],
        solo_min=totals.by_function.get("solo", 0),
        landings=whole["landings_day"] + whole["landings_night"],
        open_flags=counts["flags"],
        waiting=counts["waiting"],
        to_sign=counts["to_sign"],
        ending=ending,
        student=bool(totals.by_function.get("dual") or totals.by_function.get("solo")),
    )


def waiting_entries(book: Book, name: str | None = None) -> list[WaitingEntry]:
    """Entries that wait for a countersignature, oldest first.

    Args:
        book: the open book.
        name: only those of this person, or on which this person was the instructor; absent: all.
    """
    signed = PeopleSweep(book).signed()
    found = []
    for one in aboard(book, name, sun=False, others=True):
        teacher = instructor_of(one) or ""
        if (name is not None and name not in (one.part.person, teacher)) or not wants_signature(one, signed):
            continue
        part, flight = one.part, one.flight
        said = [flight["exercise"] or "", flight["remarks"] or ""]
        found.append(
            WaitingEntry(
                flight["flight_id"],
                flight["date"],
                flight["aircraft"],
                part.person,
                part.function or "",
                teacher,
                one.experience.minutes or one.experience.device_min,
                part.landings_day + part.landings_night,
                "; ".join(words for words in said if words),
            )
        )
    return found
