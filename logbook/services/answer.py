"""Answering a flag of a flight or a charge: words, who and when; it counts until the figure behind the flag changes."""

from __future__ import annotations

import uuid
from typing import Any

from logbook.errors import DataRefused
from logbook.services.add import now
from logbook.services.kinds import KINDS
from logbook.services.refresh import refresh
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import Flights
from logbook.store.records import Records

Row = dict[str, Any]


def answer(
    book: Book, record_id: str, rule: str, words: str, *, serial_no: str = "", by: str | None = None
) -> str:
    """Answers a flag. Returns the id of the answer; the same words again are the same answer.

    No rule looks at flights and at charges, so that the rule tells which of the two an id means.

    Args:
        book: the open book.
        record_id: the flight, or the charging session.
        rule: the flag's rule.
        words: what was found out.
        serial_no: which pack's flag, where several have it; empty: the first.
        by: who answers.

    Raises:
        DataRefused: neither a flight nor a charge of that id has such a flag, or there are no words.
    """
    from logbook.domain.record import read_record
    from logbook.rules.flag import Flag
    from logbook.services.add import put

    owner, flag = _flag(book, record_id, rule, serial_no)
    if not words.strip():
        raise DataRefused("An answer needs words.", next_step="Say what was found out.", field="words")
    fingerprint = Flag(rule, flag["severity"], flag["words"], flag["figures"]).fingerprint
    data = {
        owner: record_id,
        "serial_no": flag["serial_no"] or None,
        "rule": rule,
        "figures": fingerprint,
        "words": words,
    }
    kind = KINDS["answer"]
    with book.writing(by=by, adding=True):
        for _, said in Records(book, "answer").select(f"{owner} = ? AND struck = 0", (record_id,)):
            if data.items() <= said.items():
                return str(said["answer_id"])
        new = data | {"answer_id": str(uuid.uuid4()), "by_whom": by, "at": now()}
        answer_id, _ = put(book, kind, read_record(kind.load(), new), {"entered_by": by, "entered_at": now()})
        refresh(book)
    return answer_id


def _flag(book: Book, record_id: str, rule: str, serial_no: str) -> tuple[str, Row]:
    """The flag meant, and by which column an answer belongs to it."""
    n = Flights(book).number(record_id)
    flags = {"flight_id": Derived(book).flags([n])[n] if n is not None else []}
    packs = [row["serial_no"] for _, row in Records(book, "charge").find_all(record_id)]
    if packs:
        from logbook.services.charge_cases import ChargeFlags

        flags["charge_id"] = ChargeFlags(book, packs, only=[record_id]).of_session(record_id)
    for owner, found in flags.items():
        for flag in found:
            if flag["rule"] == rule and (not serial_no or flag["serial_no"] == serial_no):
                return owner, flag
    kind = "charge" if packs and n is None else "flight"
    raise DataRefused(
        f"The {kind} '{record_id}' has no flag '{rule}'.", next_step=f"See 'logbook show {kind}'."
    )
