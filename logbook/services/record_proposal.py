"""A proposal recorded without the form: what it says, with the aeroplane and the pilot somebody names, as a closed flight.

The charges of a track stay empty: a flight without readings is complete for the law and stays out of the estimates. A
recording of the aeroplane brings readings of its packs, with the source `recorder`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from logbook.errors import DataRefused
from logbook.services.proposal import Proposal
from logbook.services.proposal_beside import in_the_book, told
from logbook.services.typed_time import local_day
from logbook.store.book_facts import BookFacts

if TYPE_CHECKING:
    from logbook.services.add import Added
    from logbook.store.database import Book

_NUMBERS: Final = frozenset({"circuits", "landings_day", "climb_ft", "level_min", "highest_ft"})


def flight_of(
    facts: BookFacts | None,
    proposal: Proposal,
    number: int,
    *,
    aircraft: str | None = None,
    pilot: str | None = None,
) -> dict[str, Any]:
    """The columns of a flight as `add flight` takes them; what is not known is left out.

    Its id is made from the file and its place in it, so that the same file recorded twice is the same flight.

    Args:
        facts: of the book, for the local day; None: the day in UTC.
        proposal: what the file says.
        number: which flight of the file, from 1.
        aircraft: registration.
        pilot: name.
    """
    found: dict[str, Any] = {}
    packs: dict[str, dict[str, Any]] = {}
    for field in proposal.fields:
        serial, point, column = field.name.rpartition(".")
        if point:
            pack = packs.setdefault(serial, {"serial_no": serial, "source": field.source})
            pack[column] = float(field.value)
        else:
            found[field.name] = int(field.value) if field.name in _NUMBERS else field.value
            if field.is_moment:
                found[f"{field.name}_source"] = field.source
    if packs:
        found["readings"] = list(packs.values())
    base = facts.aircraft(aircraft).get("base") if facts is not None and aircraft else None
    zone = facts.zone_of(found.get("place_from") or base) if facts is not None else "UTC"
    about = {"aircraft": aircraft, "pilot": pilot, "date": local_day(proposal.began, zone)}
    named = {name: value for name, value in about.items() if value}
    return {"flight_id": f"{proposal.kind}-{proposal.digest[:16]}-{number}"} | named | found


def record_proposal(
    book: Book, proposal: Proposal, number: int, *, aircraft: str, pilot: str | None, by: str | None
) -> Added:
    """Records a proposal as a closed flight.

    Raises:
        DataRefused: the book has a flight of that aeroplane at that time, or refuses this one; nothing was written then.
    """
    from logbook.services.add import add

    flight = flight_of(BookFacts(book), proposal, number, aircraft=aircraft, pilot=pilot)
    there = in_the_book(book, aircraft, proposal.began, proposal.ended, but=flight["flight_id"])
    if there is not None:
        raise DataRefused(
            f"The book has this flight already: {told(there)}.",
            next_step=f"It is {there['flight_id']}: correct that one.",
        )
    return add(book, "flight", flight, by=by)[0]
