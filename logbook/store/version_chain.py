"""The chain of earlier states: each one hashed together with all before it.

Whoever keeps the head of the chain on paper or in a signature can tell later whether a state was taken away, changed or
slipped in before that point. States that came afterwards do not disturb it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterator
from typing import Any, Final, NamedTuple

from logbook.store.catalogue import KEYS, PARTS, TABLES
from logbook.store.database import Book

_START: Final = hashlib.sha256(b"logbook version chain 1").digest()


class ChainHead(NamedTuple):
    """How many earlier states a book holds, and the hash over all of them in their order (hexadecimal)."""

    states: int
    head: str


def chain_head(book: Book) -> ChainHead:
    """The head of the chain over all earlier states of a book.

    Each link is SHA-256 over the link before and the state as JSON: record, id, what it was (known columns in order of
    their names, ids in the place of row numbers), when, by whom, why.
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
    told = _Told(book)
    rows = book.connection.execute(
        "SELECT record, record_id, was, at, by_whom, why FROM version ORDER BY seq"
    )
    while chunk := rows.fetchmany(1000):
        for record, record_id, was, at, by_whom, why in chunk:
            row = (record, record_id, told.state(record, was), at, by_whom, why)
            text = json.dumps(row, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
            link = hashlib.sha256(link + text.encode()).digest()
            yield link


class _Told:
    """What a state says, apart from how this one file stores it.

    Row numbers become ids, which never change, and numbers have one form; so the chain holds in a book that was made
    from a package of another, and when a name is corrected.
    """

    def __init__(self, book: Book) -> None:
        run = book.connection.execute
        self._ids = {table: dict(run(f"SELECT n, id FROM {table}").fetchall()) for table in KEYS}

    def state(self, record: str, was: str | None) -> dict[str, Any] | None:
        if was is None:
            return None
        refs = TABLES[record].refs if record in TABLES else {}
        found: dict[str, Any] = {}
        for column, value in json.loads(was).items():
            if value is None or (column == "flight" and record in PARTS):
                continue
            if column in refs:
                found[column] = self._ids[refs[column]].get(value, value)
            elif isinstance(value, float) and value.is_integer():
                found[column] = int(value)
            else:
                found[column] = value
        return found
