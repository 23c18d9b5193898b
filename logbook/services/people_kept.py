"""What people flew and what waits for them is kept in the book, so that the list of people need not read the whole record.

A flight saved throws away the totals of the people aboard, and only those are summed up again when the list is next asked
for. Nothing here is a record: `logbook check` proves that what is kept equals a fresh sum, `check --mend` throws it away.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from logbook.errors import FileTrouble
from logbook.rules.crew import CrewPart, effective_crew, teacher_of
from logbook.rules.experience import AS_COMMANDER
from logbook.services.people import TO_COUNTERSIGN, aboard, wants_signature
from logbook.store.database import Book
from logbook.store.kept_people import PeopleTotals, PersonSums
from logbook.store.people_alike import Alike, flights_alike
from logbook.store.people_sweep import PeopleSweep
from logbook.store.records import Records

EDITION: Final = 1
"""To be raised whenever the sums of a person would come out otherwise."""

WORTH: Final = 4000
"""Sums over fewer flights than these are made anew each time, unless others are kept: a file that is only read is left as it is."""

_FEW: Final = 20
"""The flights of so many people are looked for one by one; for more, all flights are read."""


def people_sums(book: Book) -> dict[str, PersonSums]:
    """What everybody flew who is not struck out, by name: what is kept, and the rest summed up and then kept."""
    totals = PeopleTotals(book)
    with book.reading():
        people = _people(book)
        kept = totals.read(EDITION)
        missing = [name for name in people if name not in kept]
        adding = _Adding(people)
        for some in flights_alike(book, missing if len(missing) <= _FEW else None) if missing else ():
            adding.add_alike(some)
    learned = {name: adding.sums[name] for name in missing}
    if adding.flights >= WORTH or (
        learned and kept
    ):  # where it was worth it once, no look sums up what another did
        _keep(totals, learned)
    return kept | learned


def _keep(totals: PeopleTotals, learned: dict[str, PersonSums]) -> None:
    """Keeps what was summed up; a book that cannot be written is read all the same."""
    try:
        totals.write(EDITION, learned)
    except FileTrouble:
        return


def fresh_sums(book: Book) -> dict[str, PersonSums]:
    """The same sums from each flight by itself, for the proof that what is kept equals them."""
    sweep, adding = PeopleSweep(book), _Adding(_people(book))
    flags, signed = sweep.open_flags(), sweep.signed()
    for one in aboard(book, sun=False):
        part, given = one.part, one.experience
        landings = given.part.landings_day + given.part.landings_night if given.minutes else 0
        adding.add_part(part, given.minutes, landings, given.date if given.minutes else "")
        if part.function != "instructor":
            adding.add(part.person, open_flags=flags.get(one.flight["flight_id"], 0))
        if wants_signature(one, signed):
            adding.add_waiting(part, one.everybody, 1)
    return adding.sums


def _people(book: Book) -> list[str]:
    return [row["person"] for _, row in Records(book, "person").select("struck = 0", order="person")]


class _Adding:
    """Adds up for some people; what others did is left out.

    Attributes:
        flights: how many flights were added.
    """

    def __init__(self, people: Iterable[str]) -> None:
        self.sums = {name: PersonSums() for name in people}
        self.flights = 0

    def add(self, person: str, **more: int) -> None:
        """Adds to some of the sums of a person."""
        sums = self.sums.get(person)
        if sums is not None:
            self.sums[person] = sums._replace(**{name: getattr(sums, name) + n for name, n in more.items()})

    def add_part(self, part: CrewPart, minutes: int, landings: int, day: str) -> None:
        """Adds what a part in a flight, or in several that were alike, gives.

        Args:
            part: whose, and in which function.
            minutes: block time [min].
            landings: by day and night.
            day: local day of the newest of them, or empty where there was no flight.
        """
        sums = self.sums.get(part.person)
        if sums is None:
            return
        self.sums[part.person] = sums._replace(
            last_flight=max(sums.last_flight, day),
            total_min=sums.total_min + minutes,
            pic_min=sums.pic_min + (minutes if part.function in AS_COMMANDER else 0),
            dual_min=sums.dual_min + (minutes if part.function == "dual" else 0),
            solo_min=sums.solo_min + (minutes if part.function == "solo" else 0),
            landings=sums.landings + landings,
        )

    def add_waiting(self, part: CrewPart, everybody: Iterable[CrewPart], entries: int) -> None:
        """Adds entries of somebody that wait for a countersignature; nobody has to sign for one who is struck out."""
        if part.person in self.sums:
            self.add(part.person, waiting=entries)
            self.add(teacher_of(part, everybody) or "", to_sign=entries)

    def add_alike(self, some: Alike) -> None:
        """Adds flights that were alike, for everybody aboard."""
        self.flights += some.flights
        flown = some.timed and some.flight["outcome"] == "flown"
        certified = some.timed and some.flight["outcome"] in ("flown", "device")
        everybody = effective_crew(some.flight, some.crew)
        for part in everybody:
            if flown:
                self.add_part(part, some.minutes, part.landings_day + part.landings_night, some.last)
            if some.open_flags and part.function != "instructor":
                self.add(part.person, open_flags=some.open_flags)
            if certified and part.function in TO_COUNTERSIGN and not some.signers - {part.person}:
                self.add_waiting(part, everybody, some.flights)
