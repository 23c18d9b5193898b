"""Charges with a flag nobody answered, for Today; looked for in the whole record, and again only after a change."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from logbook.rules.flag import NOTE, ORDER
from logbook.services.charge_cases import ChargeFlags, bands
from logbook.store.database import Book
from logbook.store.marks import change_mark, newest_answer
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
    """The flags of charges that wait for an answer, notes left out: newest session first, the serious first in each."""

    flags: tuple[FlaggedCharge, ...] = ()

    @property
    def sessions(self) -> int:
        """How many sessions they belong to."""
        return len({flag.charge_id for flag in self.flags})


def flagged_charges(book: Book) -> FlaggedCharges:
    """Looks through every charge that is not struck out (slow in a long book: to be called elsewhere)."""
    flags = ChargeFlags(book)
    started: dict[str, str] = {}
    for _, row in Records(book, "charge").select("struck = 0"):
        known = started.get(row["charge_id"])
        started[row["charge_id"]] = row["started"] if known is None else min(known, row["started"])
    newest = sorted(started, key=lambda charge_id: (started[charge_id], charge_id), reverse=True)
    found: list[FlaggedCharge] = []
    for charge_id in newest:
        waiting = [f for f in flags.of_session(charge_id) if not f["answered"] and f["severity"] != NOTE]
        waiting.sort(key=lambda flag: ORDER.index(flag["severity"]))
        day = started[charge_id][:10]
        found += [FlaggedCharge(charge_id, day, f["serial_no"], f["severity"], f["words"]) for f in waiting]
    return FlaggedCharges(tuple(found))


def known_flagged(book: Book, learned: dict[str, Any]) -> FlaggedCharges | None:
    """What was found last, if neither the book nor the bands have changed since; else None."""
    kept = learned.get(_KEPT)
    return kept[1] if kept is not None and kept[0] == _mark(book) else None


def learn_flagged(book: Book, learned: dict[str, Any]) -> FlaggedCharges:
    """The flagged charges; they are kept in `learned` for the next look."""
    found = known_flagged(book, learned)
    if found is None:
        mark = _mark(book)
        found = flagged_charges(book)
        learned[_KEPT] = (mark, found)
    return found


def _mark(book: Book) -> tuple[object, ...]:
    return (*change_mark(book), newest_answer(book), bands(book))
