"""Flights that name a pack where no fitting has it."""

from __future__ import annotations

from typing import NamedTuple

from logbook.store.database import Book


class Unfitted(NamedTuple):
    """A flight with a reading of a pack that the book does not have in that aeroplane then."""

    flight_id: str
    off_blocks: str
    aircraft: str


def unfitted_flights(book: Book, serial_no: str) -> list[Unfitted]:
    """The flights that name a pack which was not fitted in their aeroplane at off blocks, in order of time."""
    rows = book.connection.execute(
        """SELECT DISTINCT f.id, f.off_blocks, a.registration FROM pack p CROSS JOIN reading r ON r.serial_no = p.n
        JOIN flight f ON f.n = r.flight JOIN aircraft a ON a.n = f.aircraft
        WHERE p.serial_no = ? AND f.struck = 0 AND f.off_blocks IS NOT NULL
            AND NOT EXISTS (SELECT 1 FROM installation i WHERE i.serial_no = r.serial_no AND i.aircraft = f.aircraft
                AND i.struck = 0 AND i.fitted <= f.off_blocks AND (i.removed IS NULL OR i.removed > f.off_blocks))
        ORDER BY f.off_blocks, f.id""",
        (serial_no,),
    )
    return [Unfitted(*row) for row in rows.fetchall()]


def present_fitting(book: Book, serial_no: str) -> tuple[str, str, str] | None:
    """The fitting a pack is in: since when (UTC), in which aeroplane, and since when it was in no other (empty: always)."""
    row = book.connection.execute(
        """SELECT i.fitted, a.registration, coalesce((SELECT max(o.removed) FROM installation o
            WHERE o.serial_no = i.serial_no AND o.struck = 0 AND o.removed <= i.fitted), '')
        FROM installation i JOIN pack p ON p.n = i.serial_no JOIN aircraft a ON a.n = i.aircraft
        WHERE p.serial_no = ? AND i.struck = 0 AND i.removed IS NULL""",
        (serial_no,),
    ).fetchone()
    return None if row is None else (str(row[0]), str(row[1]), str(row[2]))


def fitted_only_later(book: Book, registration: str, at: str) -> list[tuple[str, str, str]]:
    """Packs in positions in which nothing was fitted at a moment (UTC), and are fitted since later.

    Returns: Position, serial number and since when, of each the earliest.
    """
    rows = book.connection.execute(
        """SELECT i.position, p.serial_no, min(i.fitted) FROM aircraft a JOIN installation i ON i.aircraft = a.n
        JOIN pack p ON p.n = i.serial_no
        WHERE a.registration = ?1 AND i.struck = 0 AND i.fitted > ?2 AND NOT EXISTS (SELECT 1 FROM installation o
            WHERE o.aircraft = i.aircraft AND o.position = i.position AND o.struck = 0
                AND o.fitted <= ?2)
        GROUP BY i.position ORDER BY i.position""",
        (registration, at),
    )
    return [(str(position), str(serial), str(fitted)) for position, serial, fitted in rows.fetchall()]
