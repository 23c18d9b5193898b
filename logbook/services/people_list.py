"""The list of people, from what is kept of each, and the entries that wait for a countersignature."""

from __future__ import annotations

from typing import Any, NamedTuple

from logbook.rules.crew import effective_crew, teacher_of
from logbook.rules.person_totals import brought_forward
from logbook.services.people import aboard, ending_items, wants_signature
from logbook.services.people_kept import people_sums
from logbook.store.database import Book
from logbook.store.kept_people import PersonSums
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
    sums, ending = people_sums(book), ending_items(book, today)
    lines = [_line(row, sums[name], tuple(ending.get(name, ()))) for name, row in people.items()]
    return sorted(lines, key=lambda line: line.last_flight, reverse=True)


def _line(row: Row, sums: PersonSums, ending: tuple[Row, ...]) -> PersonLine:
    before = brought_forward(row)
    return PersonLine(
        person=row["person"],
        role=row["role_text"] or "",
        last_flight=sums.last_flight,
        total_min=sums.total_min + before.get("total_min", 0),
        pic_min=sums.pic_min + before.get("pic_min", 0),
        dual_min=sums.dual_min + before.get("dual_min", 0),
        solo_min=sums.solo_min,
        landings=sums.landings + before.get("landings_day", 0) + before.get("landings_night", 0),
        open_flags=sums.open_flags,
        waiting=sums.waiting,
        to_sign=sums.to_sign,
        ending=ending,
        student=bool(sums.dual_min or sums.solo_min),
    )


def teacher_named(book: Book, flight_id: str) -> str:
    """Who taught or commanded on a flight, other than the one who learned; empty where nobody is named.

    Raises:
        DataRefused: the book knows no such flight.
    """
    from logbook.services.questions import show_flight

    flight = show_flight(book, flight_id)
    everybody = effective_crew(flight, flight.get("crew") or ())
    learner = next((part for part in everybody if part.function in ("dual", "picus")), None)
    part = learner or next(iter(everybody), None)
    return "" if part is None else teacher_of(part, everybody) or ""


def waiting_entries(book: Book, name: str | None = None) -> list[WaitingEntry]:
    """Entries that wait for a countersignature, oldest first.

    Args:
        book: the open book.
        name: only those of this person, or on which this person was the instructor; absent: all.
    """
    signed = PeopleSweep(book).signed()
    found = []
    for one in aboard(book, name, sun=False, others=True):
        teacher = teacher_of(one.part, one.everybody) or ""
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
