"""Flags of records other than flights: charges, observations and maintenance entries; worked out when asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from logbook.services.charge_cases import ChargeFlags
from logbook.services.upkeep_flags import upkeep_flags
from logbook.store.database import Book

Row = dict[str, Any]
KINDS: Final = ("charge", "observation", "maintenance")
"""The kinds that can have flags beside flights."""


def flagged(book: Book, kind: str, rows: Iterable[Row]) -> Iterator[Row]:
    """Rows of a list, each with its `flags`.

    Args:
        book: the open book.
        kind: one of `KINDS`.
        rows: as the store gives them.
    """
    listed = list(rows)
    if not listed:
        return
    if kind == "charge":
        serials = sorted({row["serial_no"] for row in listed})
        charges = ChargeFlags(book, serials, only=[row["charge_id"] for row in listed])
        for row in listed:
            yield row | {"flags": charges.of(row["charge_id"], row["serial_no"])}
        return
    flags = upkeep_flags(book)
    key = "observation_id" if kind == "observation" else "entry_id"
    for row in listed:
        yield row | {"flags": flags.get((kind, row[key]), [])}


def flags_of(book: Book, kind: str, named: Sequence[tuple[str, str | None]]) -> list[list[Row]]:
    """The flags of some records.

    Args:
        book: the open book.
        kind: one of `KINDS`.
        named: their ids, each with the serial number of its pack if it has one.
    """
    if kind == "charge":
        serials = sorted({serial for _, serial in named if serial is not None})
        charges = ChargeFlags(book, serials, only=[record_id for record_id, _ in named])
        return [charges.of(record_id, serial or "") for record_id, serial in named]
    flags = upkeep_flags(book)
    return [flags.get((kind, record_id), []) for record_id, _ in named]
