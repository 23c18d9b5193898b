"""The chain of earlier states: each one hashed together with all before it.

Whoever keeps the head of the chain on paper or in a signature can tell later whether a state was taken away, changed or
slipped in before that point. States that came afterwards do not disturb it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterator
from typing import Final, NamedTuple

from logbook.store.database import Book

_START: Final = hashlib.sha256(b"logbook version chain 1").digest()


class ChainHead(NamedTuple):
    """How many earlier states a book holds, and the hash over all of them in their order (hexadecimal)."""

    states: int
    head: str


def chain_head(book: Book) -> ChainHead:
    """The head of the chain over all earlier states of a book.

    Each link is SHA-256 over the link before and the state as JSON: record, id, what it was, when, by whom, why.
    """
    states, link = 0, _START
    for states, link in enumerate(_links(book)):  # noqa: B007 - the last one is wanted
        pass
    return ChainHead(states, link.hex())


def chain_heads(book: Book, wanted: Collection[int]) -> dict[int, str]:
    """The heads over the first so many states, for each number that the book reaches; in one pass."""
    return {states: link.hex() for states, link in enumerate(_links(book)) if states in wanted}


def _links(book: Book) -> Iterator[bytes]:
    link = _START
    yield link
    rows = book.connection.execute(
        "SELECT record, record_id, was, at, by_whom, why FROM version ORDER BY seq"
    )
    while chunk := rows.fetchmany(1000):
        for row in chunk:
            text = json.dumps(row, ensure_ascii=False, separators=(",", ":"))
            link = hashlib.sha256(link + text.encode()).digest()
            yield link
