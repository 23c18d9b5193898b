"""Charges with a flag nobody answered, for Today: the newest are looked through, and again only after a change.

Flags of charges are worked out when they are asked for. A look through the whole record would take seconds in a long book,
after each save; the list of charges shows the flags of the older ones.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from logbook.rules.flag import NOTE, ORDER
from logbook.services.charge_cases import NEWEST, ChargeFlags, bands
from logbook.services.upkeep_flags import UpkeepFlag, listed_flags
from logbook.store.database import Book
from logbook.store.marks import change_mark, newest_answer, newest_entry
from logbook.store.records import Records

_KEPT: Final = "flagged charges"


class FlaggedCharge(NamedTuple):
    """One unanswered flag of a charging session, as `attention.newest_flags` has those of flights."""

    charge_id: str
    day: str
    serial_no: str
    severity: str
    words: str


class FlaggedCharges(NamedTuple):
    """The flags of charges that wait for an answer, notes left out: newest session first, the serious first in each.

    Attributes:
        flags: those found.
        looked_at: sessions that were looked through, the newest ones; None where that were all.
        upkeep: beside them, flags of observations and maintenance entries that wait for an answer.
    """

    flags: tuple[FlaggedCharge, ...] = ()
    looked_at: int | None = None
    upkeep: tuple[UpkeepFlag, ...] = ()

    @property
    def sessions(self) -> int:
        """How many sessions they belong to."""
        return len({flag.charge_id for flag in self.flags})


def flagged_charges(book: Book) -> FlaggedCharges:
    """Looks through the newest charges that are not struck out."""
    started: dict[str, str] = {}
    rows = [
        row for _, row in Records(book, "charge").select("struck = 0", (), "started DESC, n DESC", NEWEST)
    ]
    for row in rows:
        started[row["charge_id"]] = row[
            "started"
        ]  # of packs that were plugged in one after the other, the first
    flags = ChargeFlags(book, only=list(started))
    found: list[FlaggedCharge] = []
    for charge_id, at in started.items():
        waiting = [f for f in flags.of_session(charge_id) if not f["answered"] and f["severity"] != NOTE]
        waiting.sort(key=lambda flag: ORDER.index(flag["severity"]))
        found += [
            FlaggedCharge(charge_id, at[:10], f["serial_no"], f["severity"], f["words"]) for f in waiting
        ]
    return FlaggedCharges(tuple(found), len(started) if len(rows) == NEWEST else None)


def known_flagged(book: Book, learned: dict[str, Any]) -> FlaggedCharges | None:
    """What was found last, if neither the book nor the bands have changed since; else None."""
    kept = learned.get(_KEPT)
    return kept[1] if kept is not None and kept[0] == _mark(book) else None


def learn_flagged(book: Book, learned: dict[str, Any]) -> FlaggedCharges:
    """The flagged charges, and what else waits beside them; they are kept in `learned` for the next look."""
    found = known_flagged(book, learned)
    if found is None:
        mark = _mark(book)
        upkeep = tuple(flag for flag in listed_flags(book) if not flag.answered)
        found = flagged_charges(book)._replace(upkeep=upkeep)
        learned[_KEPT] = (mark, found)
    return found


def _mark(book: Book) -> tuple[object, ...]:
    return (*change_mark(book), newest_answer(book), newest_entry(book), bands(book))
