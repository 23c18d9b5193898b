"""What waits for somebody: unanswered flags, counted and newest first."""

from __future__ import annotations

from typing import Final

from logbook.store.database import Book

COUNTED: Final = 999
"""What waits is counted so far; beyond it, how many more there are would take longer to find out the longer the book is."""

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

    def stale(self, limit: int = 1_000_000_000) -> list[int]:
        """Flights (by number) whose figures must be computed again."""
        rows = self._run("SELECT flight FROM stale ORDER BY flight LIMIT ?", (limit,))
        return [row[0] for row in rows.fetchall()]

    def newest_flags(self, limit: int) -> list[tuple[str, str, str, str, str]]:
        """Flight id, date, aircraft, severity and words of unanswered flags that are more than notes, newest flights first."""
        newest = " UNION ALL ".join(
            f"""SELECT * FROM (SELECT flight, date, off_blocks FROM flight_index WHERE worst = '{worst}'
                ORDER BY date DESC, off_blocks DESC LIMIT ?1)"""
            for worst in ("serious", "check")
        )
        rows = self._run(
            f"""SELECT f.id, f.date, a.registration, g.severity, g.words
            FROM (SELECT flight FROM ({newest}) ORDER BY date DESC, off_blocks DESC LIMIT ?1) n
            JOIN flight f ON f.n = n.flight JOIN aircraft a ON a.n = f.aircraft
            JOIN flight_flag g ON g.flight = f.n AND g.answered = 0 AND g.severity <> 'note'
            ORDER BY f.date DESC, f.off_blocks DESC, CASE g.severity WHEN 'serious' THEN 0 ELSE 1 END LIMIT ?1""",
            (limit,),
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
            """SELECT p.serial_no, max(g.date) FROM pack p CROSS JOIN flight_flag g ON g.pack = p.n
            WHERE g.rule = 'temperature_limit' AND g.answered = 0
                AND g.off_blocks = (SELECT x.off_blocks FROM flight_flag x
                    WHERE x.rule = 'temperature_limit' AND x.answered = 0 AND x.pack = p.n AND x.off_blocks <= ?1
                        AND x.flight <> coalesce((SELECT n FROM flight WHERE id = ?2), 0)
                    ORDER BY x.off_blocks DESC LIMIT 1)
                AND g.flight <> coalesce((SELECT n FROM flight WHERE id = ?2), 0)
                AND +g.off_blocks > coalesce((SELECT max(m.completed) FROM maintenance m
                    WHERE m.serial_no = p.n AND m.struck = 0 AND m.completed <= ?1), '') GROUP BY p.n""",
            (until, but),
        )
        return dict(rows.fetchall())

    def flagged(self) -> int:
        """Flights with unanswered flags that are more than notes; counted up to one more than `COUNTED`."""
        sql = "SELECT count(*) FROM (SELECT 1 FROM flight_index WHERE worst IN ('serious', 'check') LIMIT ?)"
        return int(self._run(sql, (COUNTED + 1,)).fetchone()[0])

    def missing_readings(self) -> tuple[int, str]:
        """Flights whose charges were not read and whose flag for it is not answered: how many, and the newest's id.

        They are counted up to one more than `COUNTED`.
        """
        row = self._run(
            """SELECT (SELECT count(*) FROM (SELECT 1 FROM flight_index WHERE unread = 1 LIMIT ?)), (SELECT f.id FROM flight_index i JOIN flight f ON f.n = i.flight
                WHERE i.unread = 1 ORDER BY i.date DESC, i.off_blocks DESC LIMIT 1)""",
            (COUNTED + 1,),
        ).fetchone()
        return int(row[0]), str(row[1] or "")

    def any_flight(self) -> bool:
        """Whether there is a flight that is not struck out."""
        return bool(self._run("SELECT EXISTS (SELECT 1 FROM flight WHERE struck = 0)").fetchone()[0])

    def day_after(self, day: str, days: int) -> str:
        """The date some days after another."""
        return str(self._run("SELECT date(?, ?)", (day, f"+{days} days")).fetchone()[0])
