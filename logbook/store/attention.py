"""What waits for somebody: unanswered flags, counted and newest first."""

from __future__ import annotations

from typing import Final

from logbook.store.database import Book

NEWEST_OF_WORK: Final = """n IN (
    SELECT CAST(substr(max(completed || printf('%012d', n)), -12) AS INTEGER) FROM maintenance
    WHERE struck = 0 AND work <> '' AND completed <= ?1 GROUP BY aircraft, serial_no, component_id, work
    UNION ALL SELECT n FROM maintenance WHERE struck = 0 AND coalesce(work, '') = '' AND completed <= ?1)"""
"""A condition on maintenance entries: of each work on each thing the one completed last, of two at once the one entered
later; an entry that names no work stands for itself. The first parameter is the moment (UTC) after which nothing counts."""


class Attention:
    """Small questions over the derived tables."""

    def __init__(self, book: Book) -> None:
        self._run = book.connection.execute

    def newest_flags(self, limit: int) -> list[tuple[str, str, str, str, str]]:
        """Flight id, date, aircraft, severity and words of unanswered flags that are more than notes, newest flights first."""
        rows = self._run(
            """SELECT f.id, f.date, a.registration, g.severity, g.words
            FROM (SELECT flight FROM flight_index
                WHERE worst IN ('serious', 'check') ORDER BY date DESC, off_blocks DESC LIMIT ?) n
            JOIN flight f ON f.n = n.flight JOIN aircraft a ON a.n = f.aircraft
            JOIN flight_flag g ON g.flight = f.n AND g.answered = 0 AND g.severity <> 'note'
            ORDER BY f.date DESC, f.off_blocks DESC, CASE g.severity WHEN 'serious' THEN 0 ELSE 1 END LIMIT ?""",
            (limit, limit),
        )
        return rows.fetchall()

    def overheated(self, until: str, but: str = "") -> dict[str, str]:
        """Packs that reached their temperature limit, and nobody has said anything since: serial number to date.

        An answer to the flag ends it, and so does a maintenance entry on the pack after the flight.

        Args:
            until: flights and entries up to here (UTC); what is dated later has not been done yet.
            but: the id of a flight that does not count: the one that is being entered.
        """
        rows = self._run(
            """SELECT p.serial_no, max(f.date) FROM flight_flag g
            JOIN flight f ON f.n = g.flight JOIN pack p ON p.n = g.pack
            LEFT JOIN (SELECT serial_no, max(completed) AS seen FROM maintenance
                WHERE struck = 0 AND serial_no IS NOT NULL AND completed <= ?1 GROUP BY serial_no) m ON m.serial_no = g.pack
            WHERE g.rule = 'temperature_limit' AND g.answered = 0 AND f.off_blocks <= ?1 AND f.id <> ?2
                AND f.off_blocks > coalesce(m.seen, '') GROUP BY p.n""",
            (until, but),
        )
        return dict(rows.fetchall())

    def flagged(self) -> int:
        """Flights with unanswered flags that are more than notes."""
        return int(
            self._run("SELECT count(*) FROM flight_index WHERE worst IN ('serious', 'check')").fetchone()[0]
        )

    def missing_readings(self) -> tuple[int, str]:
        """Flights whose charges were not read and whose flag for it is not answered: how many, and the newest's id."""
        row = self._run(
            """SELECT count(*), (SELECT f.id FROM flight_index i JOIN flight f ON f.n = i.flight
                WHERE i.unread = 1 ORDER BY i.date DESC, i.off_blocks DESC LIMIT 1)
            FROM flight_index WHERE unread = 1"""
        ).fetchone()
        return int(row[0]), str(row[1] or "")

    def any_flight(self) -> bool:
        """Whether there is a flight that is not struck out."""
        return bool(self._run("SELECT EXISTS (SELECT 1 FROM flight WHERE struck = 0)").fetchone()[0])

    def day_after(self, day: str, days: int) -> str:
        """The date some days after another."""
        return str(self._run("SELECT date(?, ?)", (day, f"+{days} days")).fetchone()[0])
