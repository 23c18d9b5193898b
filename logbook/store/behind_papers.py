"""Which flights, records and moments lie behind a paper: short questions over the tables."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from logbook.store.catalogue import PARTS, TABLES
from logbook.store.database import Book
from logbook.store.records import Records, Row

_WHEN: Final = {
    "installation": "fitted",
    "charge": "started",
    "observation": "at",
    "capacity_check": "at",
    "defect": "found",
    "maintenance": "completed",
    "component": "fitted",
}
"""The column that says to which moment a record belongs."""


def flights_of(
    book: Book, aircraft: Sequence[str] | None, until: str, *, by_local_day: bool = False
) -> list[int]:
    """Numbers of the flights of some aeroplanes, or of all, that went off blocks by a moment and are not struck out.

    Args:
        book: the open book.
        aircraft: registrations; None: all.
        until: the moment (UTC).
        by_local_day: those count, too, whose local day is not after it.
    """
    only = "1" if aircraft is None else f"aircraft IN ({_numbers(book, 'aircraft', aircraft)})"
    day = until[:10] if by_local_day else ""
    rows = book.connection.execute(
        f"SELECT n FROM flight WHERE struck = 0 AND (off_blocks <= ? OR date <= ?) AND {only}", (until, day)
    )
    return [row[0] for row in rows.fetchall()]


def about(
    book: Book, table: str, until: str, *, packs: Sequence[str] = (), aircraft: Sequence[str] = ()
) -> list[Row]:
    """Records that name one of some packs or aeroplanes, up to a moment; those struck out are left out.

    A part without a day on which it was fitted was there from the beginning.
    """
    named = [
        f'"{column}" IN ({_numbers(book, to, packs if to == "pack" else aircraft)})'
        for column, to in TABLES[table].refs.items()
    ]
    where = f"struck = 0 AND coalesce({_WHEN[table]}, '') <= ? AND ({' OR '.join(named)})"
    return [row for _, row in Records(book, table).select(where, (until,), "id, n")]


def newest_about(book: Book, packs: Sequence[str], aircraft: Sequence[str]) -> str:
    """The newest moment any record of some packs and aeroplanes belongs to (UTC); empty where there is none."""
    newest = [
        row[when] or ""
        for table, when in _WHEN.items()
        for row in about(book, table, "9", packs=packs, aircraft=aircraft)
    ]
    return max(newest, default="")


def changed_since(book: Book, moment: str) -> set[tuple[str, str]]:
    """Table and id of every record that was changed or entered at a moment or later; a part counts as its flight."""
    run = book.connection.execute
    found = {
        ("flight" if record in PARTS else str(record), str(record_id))
        for record, record_id in run(
            "SELECT DISTINCT record, record_id FROM version WHERE at >= ?", (moment,)
        ).fetchall()
    }
    for table in TABLES:
        if table not in PARTS:
            rows = run(f"SELECT id FROM {table} WHERE entered_at >= ?", (f"{moment[:16]}Z",)).fetchall()
            found |= {(table, str(row[0])) for row in rows}
    return found


def _numbers(book: Book, table: str, names: Sequence[str]) -> str:
    """Row numbers as a list for SQL; numbers of our own, so safe as text."""
    found: list[Any] = [book.keys.find(table, name) for name in names]
    return ",".join(str(n) for n in found if n is not None)
