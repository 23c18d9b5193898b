"""The flights of an aeroplane next to a given one, and everything the book knows of fittings and groundings."""

from __future__ import annotations

from typing import Any

from logbook.store.database import Book

_COLUMNS = "id, off_blocks, on_blocks, meter_start, meter_end"


def flight_before(book: Book, aircraft: str, off_blocks: str, flight_id: str) -> tuple[Any, ...] | None:
    """id, off blocks, on blocks, meter start and end of the flight of the aeroplane before a moment."""
    found: tuple[Any, ...] | None = book.connection.execute(
        f"""SELECT {_COLUMNS} FROM flight WHERE aircraft = ? AND off_blocks <= ? AND struck = 0 AND id <> ?
        ORDER BY off_blocks DESC LIMIT 1""",
        (book.keys.numbers("aircraft").get(aircraft), off_blocks, flight_id),
    ).fetchone()
    return found


def flight_after(book: Book, aircraft: str, off_blocks: str, flight_id: str) -> tuple[Any, ...] | None:
    """The same for the flight that follows."""
    found: tuple[Any, ...] | None = book.connection.execute(
        f"""SELECT {_COLUMNS} FROM flight WHERE aircraft = ? AND off_blocks > ? AND struck = 0 AND id <> ?
        ORDER BY off_blocks LIMIT 1""",
        (book.keys.numbers("aircraft").get(aircraft), off_blocks, flight_id),
    ).fetchone()
    return found
