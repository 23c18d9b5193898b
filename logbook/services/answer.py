"""Answering a flag of a flight, a charge, an observation or a maintenance entry: words, who and when; it counts until the figure behind the flag changes."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from logbook.errors import DataRefused
from logbook.services.add import now
from logbook.services.answers_given import OWNERS
from logbook.services.kinds import KINDS
from logbook.services.refresh import refresh
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import Flights
from logbook.store.records import Records

Row = dict[str, Any]


def answer(
    book: Book,
    record_id: str,
    rule: str,
    words: str,
    *,
    serial_no: str = "",
    figures: Mapping[str, Any] | None = None,
    by: str | None = None,
) -> str:
    """Answers a flag. Returns the id of the answer; the same words again are the same answer.

    No rule looks at records of two kinds, so that the rule tells of which kind an id means one.

    Args:
        book: the open book.
        record_id: the flight, the charging session, the observation, or the maintenance entry.
        rule: the flag's rule.
        words: what was found out.
        serial_no: which pack's flag, where several have it; empty: the first.
        figures: which flag, where a rule found several things in a record; None: the first that has no answer.
        by: who answers.

    Raises:
        DataRefused: no record of that id has such a flag, or there are no words.
    """
    from logbook.domain.record import read_record
    from logbook.rules.flag import Flag
    from logbook.services.add import put

    owner, flag = _flag(book, record_id, rule, serial_no, figures)
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


def _flag(
    book: Book, record_id: str, rule: str, serial_no: str, figures: Mapping[str, Any] | None
) -> tuple[str, Row]:
    """The flag meant, and by which column an answer belongs to it."""
    known = _flags(book, record_id)
    meant = [
        (OWNERS[kind], flag)
        for kind, flags in known.items()
        for flag in flags
        if flag["rule"] == rule
        and (not serial_no or flag["serial_no"] == serial_no)
        and (figures is None or flag["figures"] == figures)
    ]
    if not meant:
        kind = next(iter(known), "flight")
        raise DataRefused(
            f"The {kind} '{record_id}' has no flag '{rule}'.", next_step=f"See 'logbook show {kind}'."
        )
    first = meant[0][1]["serial_no"]
    return next((one for one in meant if one[1]["serial_no"] == first and not one[1]["answered"]), meant[0])


def _flags(book: Book, record_id: str) -> dict[str, list[Row]]:
    """The flags of every record of that id, by its kind."""
    from logbook.services.record_flags import flags_of

    n = Flights(book).number(record_id)
    found = {} if n is None else {"flight": Derived(book).flags([n])[n]}
    for kind in ("charge", "observation", "maintenance"):
        rows = Records(book, kind).find_all(record_id)
        if kind == "charge" and rows:
            from logbook.services.charge_cases import ChargeFlags

            packs = [row["serial_no"] for _, row in rows]
            found[kind] = ChargeFlags(book, packs, only=[record_id]).of_session(record_id)
        elif rows:
            found[kind] = flags_of(book, kind, [(record_id, None)])[0]
    return found
