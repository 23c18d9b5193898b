"""The one figure read for a whole aeroplane, last."""

from __future__ import annotations

from logbook.store.book_facts import LastReading
from logbook.store.database import Book


def last_together(book: Book, aircraft: str, packs: list[str]) -> LastReading | None:
    """What one gauge last showed of an aeroplane; None where its last flight with readings had them pack by pack.

    Args:
        book: the open book.
        aircraft: its registration.
        packs: serial numbers fitted now; once one of them was charged after that flight, the charge is unknown again.
    """
    n = book.keys.find("aircraft", aircraft)
    row = book.connection.execute(
        """SELECT r.serial_no IS NULL, coalesce(f.on_blocks, f.off_blocks), coalesce(r.soc_landing_pct, r.soc_departure_pct),
            r.soh_pct
        FROM flight f JOIN reading r ON r.flight = f.n
        WHERE f.aircraft = ? AND f.struck = 0 AND f.off_blocks IS NOT NULL
        ORDER BY f.off_blocks DESC, f.n DESC, r.serial_no IS NULL LIMIT 1""",
        (n,),
    ).fetchone()
    if row is None or not row[0]:
        return None
    _, at, soc, soh = row
    numbers = [book.keys.find("pack", serial) for serial in packs]
    marks = ",".join("?" * len(numbers))
    charged = book.connection.execute(
        f"SELECT 1 FROM charge WHERE serial_no IN ({marks}) AND struck = 0 AND started >= ? LIMIT 1",
        (*numbers, at),
    ).fetchone()
    known = charged is None and soc is not None
    return LastReading(soc if known else None, at if known else None, soh, at if soh is not None else None)
