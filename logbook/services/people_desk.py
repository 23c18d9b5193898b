"""What the screens of people ask for and do: lists, one person, a student's history, countersigning, the pilot's pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.measures import USUAL, Measures
from logbook.services.liked_units import measures_of
from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.services.people_list import PersonLine, WaitingEntry

Row = dict[str, Any]


class PersonView(NamedTuple):
    """One person whole.

    Attributes:
        shown: the record, as `questions.show` gives it.
        totals: as `people.totals_row` gives them.
        standings: recency by rule, as `recency.recency_rows` gives it; `flight` says whether a flight keeps it.
        items: dated items that are not struck out, the newest end first.
        newest: ids of the items that count: no newer one of the same kind is there.
        waiting: entries that wait for a countersignature of theirs or for theirs.
        today: the day it is as of.
        measures: the units figures are shown in.
    """

    shown: Row
    totals: Row
    standings: list[Row]
    items: list[Row]
    newest: frozenset[str]
    waiting: int
    today: str
    measures: Measures = USUAL


class Signer(NamedTuple):
    """Somebody who may sign: whether their key is on this computer, and its fingerprint in groups (or empty)."""

    person: str
    key_here: bool
    fingerprint: str


class PeopleDesk:
    """People of one open book; slow questions are for a desk elsewhere."""

    def __init__(self, book: Book, clock: Callable[[], str], operator: str | None) -> None:
        self._book, self._clock, self._operator = book, clock, operator

    @property
    def today(self) -> str:
        """The day it is (UTC)."""
        return self._clock()[:10]

    def lines(self) -> list[PersonLine]:
        """Everybody at a glance (slow on a long record)."""
        from logbook.services.people_list import people_lines

        return people_lines(self._book, self.today)

    def view(self, name: str) -> PersonView:
        """One person whole (slow on a long record).

        Raises:
            DataRefused: the book knows no such person.
        """
        from logbook.services.people import totals_of, totals_row
        from logbook.services.people_list import waiting_entries
        from logbook.services.questions import show
        from logbook.services.recency import recency_rows
        from logbook.store.flights import Flights

        shown = show(self._book, "person", name)
        name = shown["person"]
        flights = Flights(self._book)
        standings = [
            row | {"flight": bool(row["kept_by"]) and flights.number(row["kept_by"]) is not None}
            for row in recency_rows(self._book, name, self.today)
        ]
        items = self.items(name)
        newest: dict[tuple[str, str | None], Row] = {}
        for item in reversed(items):
            newest[item["item"].casefold(), item["aircraft"]] = item
        return PersonView(
            shown,
            totals_row(totals_of(self._book, name)),
            standings,
            items,
            frozenset(item["item_id"] for item in newest.values()),
            len(waiting_entries(self._book, name)),
            self.today,
            measures_of(self._book),
        )

    def items(self, name: str) -> list[Row]:
        """What a person holds or held, the newest end first; what never ends comes first of all."""
        from logbook.services.questions import list_records
        from logbook.store.flights import FlightFilter

        rows = [
            row
            for row in list_records(self._book, "person-item", FlightFilter(person=name))
            if row["person"] == name and not row["struck"]
        ]
        return sorted(rows, key=lambda row: (row["valid_until"] or "9", row["item"]), reverse=True)

    def student(self, name: str, *, forecasts: bool) -> Row:
        """A student's history as `student.student_of` gives it (slow with forecasts)."""
        from logbook.services.student import student_of

        return student_of(self._book, name, hindcasts=forecasts)

    # -- countersigning ------------------------------------------------------------------------------------------------

    def waiting(self, name: str | None) -> list[WaitingEntry]:
        """Entries that wait for a countersignature, of one person or of all."""
        from logbook.services.people_list import waiting_entries

        return waiting_entries(self._book, name)

    def teachers(self, flight_ids: Sequence[str]) -> dict[str, str]:
        """Who taught or commanded on each flight, as its record says; empty where nobody else than the pilot did.

        Raises:
            DataRefused: the book knows no such flight.
        """
        from logbook.services.people_list import teacher_named

        return {flight_id: teacher_named(self._book, flight_id) for flight_id in flight_ids}

    def signed_by(self, flight_id: str) -> list[str]:
        """Who has countersigned a flight, whatever became of it since; each name once."""
        from logbook.store.records import Records

        rows = Records(self._book, "signature").select("flight_id = ? AND struck = 0", (flight_id,))
        return sorted({row["person"] for _, row in rows})

    def signers(self) -> list[Signer]:
        """Everybody in the book, those whose key is on this computer first."""
        from logbook.errors import DataRefused
        from logbook.services.keys import grouped, own_fingerprint
        from logbook.store.records import Records

        found = []
        for _, row in Records(self._book, "person").select("struck = 0", order="person"):
            try:
                fingerprint = grouped(own_fingerprint(row["public_key"]))
            except DataRefused:  # no key of theirs is here, which is an answer
                fingerprint = ""
            found.append(Signer(row["person"], bool(fingerprint), fingerprint))
        return sorted(found, key=lambda one: not one.key_here)

    def make_key(self, name: str, passphrase: str) -> str:
        """Makes a signing key for a person; gives its fingerprint in groups (slow: a guess must cost something).

        Raises:
            DataRefused: the passphrase is too short.
        """
        from logbook.services.keys import grouped
        from logbook.services.sign import make_key

        return grouped(make_key(self._book, name, passphrase, by=self._operator).fingerprint)

    def sign(self, flight_ids: Sequence[str], name: str, passphrase: str) -> str:
        """Countersigns entries as they are now; gives what was done, in words (slow, as `make_key`).

        Raises:
            DataRefused: an entry cannot be signed, the key is not here, or the passphrase does not open it.
        """
        from logbook.services.sign import sign

        done = sign(self._book, flight_ids, name, passphrase, clock=self._clock)
        fresh = sum(one.fate == "new" for one in done)
        words = f"{_entries(fresh)} signed by {name}."
        same = len(done) - fresh
        if not fresh:
            return f"Nothing to sign: {_entries(same)} had been signed by {name} before, unchanged since."
        return f"{words} {_entries(same)} had been signed before, unchanged since." if same else words


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"
