"""The line of events of each pack: what came before and after a flight, in one look each."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from logbook.store.database import Book


class LedgerRow(NamedTuple):
    """One event in a pack's life as recorded: a flight or a charge, with what was read before and after."""

    what: str
    record_id: str
    at: str
    until: str | None
    soc_before_pct: float | None
    soc_after_pct: float | None
    soh_pct: float | None
    source: str


_COLUMNS = """e.what, coalesce(f.id, c.id), e.at, coalesce(f.on_blocks, f.landing, c.ended),
    CASE e.what WHEN 'flight' THEN r.soc_departure_pct ELSE c.soc_start_pct END,
    CASE e.what WHEN 'flight' THEN r.soc_landing_pct ELSE c.soc_end_pct END,
    r.soh_pct, coalesce(r.source, 'read')"""

_JOINS = """FROM pack_event e
    LEFT JOIN flight f ON e.what = 'flight' AND f.n = e.n
    LEFT JOIN reading r ON r.flight = f.n AND coalesce(r.serial_no, 0) = e.pack
    LEFT JOIN charge c ON e.what = 'charge' AND c.n = e.n"""


_OTHERS = f"{_JOINS} WHERE e.pack = :pack AND NOT (e.what = 'flight' AND e.n = :n)"

_AROUND = f"""SELECT * FROM (SELECT 0, {_COLUMNS} {_OTHERS} AND e.at < :at AND e.at >= coalesce((SELECT at FROM pack_event
        WHERE pack = :pack AND what = 'flight' AND at <= :at AND (at < :at OR n < :n) ORDER BY at DESC, n DESC LIMIT 1), '')
    ORDER BY e.at DESC, e.what DESC, e.n DESC LIMIT 8)
    UNION ALL
    SELECT * FROM (SELECT 1, {_COLUMNS} {_OTHERS} AND e.at >= :at ORDER BY e.at, e.what, e.n LIMIT 1)"""
"""The newest eight events before a flight since the last flight, newest first, and the one that follows."""


class PackEvents:
    """Reads the derived table `pack_event`, which triggers keep."""

    def __init__(self, book: Book) -> None:
        self.book = book

    def line(self, serial_no: str, since: str = "", until: str = "9") -> list[LedgerRow]:
        """All events of a pack in order of time."""
        pack = self.book.keys.number("pack", serial_no, "serial_no")
        sql = f"SELECT {_COLUMNS} {_JOINS} WHERE e.pack = ? AND e.at >= ? AND e.at < ? ORDER BY e.at, e.what, e.n"
        return [LedgerRow(*row) for row in self.book.connection.execute(sql, (pack, since, until)).fetchall()]

    def around(self, pack: int, at: str, n: int) -> tuple[list[LedgerRow], LedgerRow | None]:
        """What lies around a flight: the last flight of the pack before it with the charges since, and the next event.

        Args:
            pack: the number of the pack.
            at: off blocks of the flight.
            n: the number of the flight, which is not part of the answer.
        """
        rows = self.book.connection.execute(_AROUND, {"pack": pack, "at": at, "n": n}).fetchall()
        before = [LedgerRow(*raw[1:]) for raw in rows if raw[0] == 0]
        after = [LedgerRow(*raw[1:]) for raw in rows if raw[0] == 1]
        return before[::-1], after[0] if after else None

    def charges_in_time(self) -> Iterator[tuple[str, LedgerRow]]:
        """Every unstruck charge with the pack's serial number, in order of time."""
        cursor = self.book.connection.execute(
            """SELECT p.serial_no, c.id, c.started, c.ended, c.soc_start_pct, c.soc_end_pct FROM charge c
            CROSS JOIN pack p ON p.n = c.serial_no WHERE c.struck = 0 ORDER BY c.started, c.n"""
        )
        while rows := cursor.fetchmany(1000):
            for serial, charge_id, started, ended, before, after in rows:
                yield serial, LedgerRow("charge", charge_id, started, ended, before, after, None, "read")

    def rebuild(self) -> None:
        """Throws the table away and builds it from the records (inside a transaction)."""
        for statement in (
            "DELETE FROM pack_event",
            """INSERT OR IGNORE INTO pack_event (pack, at, what, n)
            SELECT r.serial_no, f.off_blocks, 'flight', f.n FROM reading r JOIN flight f ON f.n = r.flight
            WHERE r.serial_no IS NOT NULL AND f.off_blocks IS NOT NULL AND f.struck = 0""",
            """INSERT OR IGNORE INTO pack_event (pack, at, what, n)
            SELECT serial_no, started, 'charge', n FROM charge WHERE struck = 0""",
        ):
            self.book.connection.execute(statement)

    def all_rows(self) -> list[tuple[Any, ...]]:
        """The table as it is, for the proof that it equals a fresh one."""
        return self.book.connection.execute("SELECT pack, at, what, n FROM pack_event").fetchall()
