"""Answering a flag: words, who and when; it counts until the figure behind the flag changes."""

from __future__ import annotations

import uuid

from logbook.errors import DataRefused
from logbook.services.add import now
from logbook.services.kinds import KINDS
from logbook.services.refresh import refresh
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import Flights
from logbook.store.records import Records


def answer(
    book: Book, flight_id: str, rule: str, words: str, *, serial_no: str = "", by: str | None = None
) -> str:
    """Answers a flag of a flight. Returns the id of the answer; the same words again are the same answer.

    Raises:
        DataRefused: the flight has no such flag, or there are no words.
    """
    from logbook.domain.record import read_record
    from logbook.rules.flag import Flag
    from logbook.services.add import put

    n = Flights(book).number(flight_id)
    flags = Derived(book).flags([n])[n] if n is not None else []
    flag = next(
        (f for f in flags if f["rule"] == rule and (not serial_no or f["serial_no"] == serial_no)), None
    )
    if flag is None:
        raise DataRefused(
            f"The flight '{flight_id}' has no flag '{rule}'.", next_step="See 'logbook show flight'."
        )
    if not words.strip():
        raise DataRefused("An answer needs words.", next_step="Say what was found out.", field="words")
    fingerprint = Flag(rule, flag["severity"], flag["words"], flag["figures"]).fingerprint
    data = {
        "flight_id": flight_id,
        "serial_no": flag["serial_no"] or None,
        "rule": rule,
        "figures": fingerprint,
        "words": words,
    }
    kind = KINDS["answer"]
    with book.writing(by=by, adding=True):
        for _, said in Records(book, "answer").select("flight_id = ? AND struck = 0", (flight_id,)):
            if data.items() <= said.items():
                return str(said["answer_id"])
        new = data | {"answer_id": str(uuid.uuid4()), "by_whom": by, "at": now()}
        answer_id, _ = put(book, kind, read_record(kind.load(), new), {"entered_by": by, "entered_at": now()})
        refresh(book)
    return answer_id
