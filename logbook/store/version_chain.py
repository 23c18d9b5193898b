"""The chain of earlier states: each one hashed together with all before it.

Whoever keeps the head of the chain on paper or in a signature can tell later whether a state was taken away, changed or
slipped in before that point. States that came afterwards do not disturb it.
"""

from __future__ import annotations

import hashlib
import json
from typing import Final, NamedTuple

from logbook.store.database import Book

_START: Final = hashlib.sha256(b"logbook version chain 1").digest()


class ChainHead(NamedTuple):
    """How many earlier states a book holds, and the hash over all of them in their order (hexadecimal)."""

    states: int
    head: str


def chain_head(book: Book, states: int | None = None) -> ChainHead:
    """The head of the chain over all earlier states, or over the first so many.

    Each link is SHA-256 over the link before and the state as JSON: record, id, what it was, when, by whom, why.
    """
    rows = book.connection.execute(
        "SELECT record, record_id, was, at, by_whom, why FROM version ORDER BY seq LIMIT ?",
        (-1 if states is None else states,),
    )
    link, number = _START, 0
    while chunk := rows.fetchmany(1000):
        for row in chunk:
            text = json.dumps(row, ensure_ascii=False, separators=(",", ":"))
            link = hashlib.sha256(link + text.encode()).digest()
        number += len(chunk)
    return ChainHead(number, link.hex())
