"""The flights of an aeroplane next to a given one."""

from __future__ import annotations

from typing import Any

from logbook.store.database import Book

_COLUMNS = "id, off_blocks, on_blocks, meter_start, meter_end"
_OTHERS = f"SELECT {{way}}, {_COLUMNS} FROM flight WHERE aircraft = :aircraft AND struck = 0 AND id <> :id"
_BESIDE = f"""SELECT * FROM ({_OTHERS.format(way=0)} AND off_blocks <= :at ORDER BY off_blocks DESC LIMIT 1)
    UNION ALL
    SELECT * FROM ({_OTHERS.format(way=1)} AND off_blocks > :at ORDER BY off_blocks LIMIT 1)"""


def flights_beside(
    book: Book, aircraft: str, off_blocks: str, flight_id: str
) -> tuple[tuple[Any, ...] | None, tuple[Any, ...] | None]:
    """The flight of an aeroplane before a moment, and the one after it.

    Each is id, off blocks, on blocks, meter start and end; None where there is none.

    Args:
        book: the open book.
        aircraft: its registration.
        off_blocks: the moment (UTC).
        flight_id: the flight that begins then, which is not part of the answer.
    """
    asked = {"aircraft": book.keys.find("aircraft", aircraft), "at": off_blocks, "id": flight_id}
    found: dict[int, tuple[Any, ...]] = {
        way: tuple(row) for way, *row in book.connection.execute(_BESIDE, asked).fetchall()
    }
    return found.get(0), found.get(1)
