"""What is computed from the records and kept for speed: figures and flags of each flight, and what is stale."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from logbook.store.attention import Attention
from logbook.store.database import Book


class IndexRow(NamedTuple):
    """The figures of one flight that lists and totals use."""

    flight: int
    block_min: int | None
    air_min: int | None
    energy_kwh: float | None
    energy_sd_kwh: float | None
    landing_soc_pct: float | None
    minutes_left: float | None
    open_flags: int
    worst: str | None
    date: str
    off_blocks: str | None
    unread: int


class FlagRow(NamedTuple):
    """One flag of one flight; `pack` is the row of the pack, 0 for the aeroplane."""

    flight: int
    rule: str
    pack: int
    severity: str
    words: str
    figures: str
    answered: int
    date: str
    off_blocks: str | None


class Derived:
    """The tables `flight_index`, `flight_flag` and `stale`."""

    def __init__(self, book: Book) -> None:
        self.book = book

    def stale(self, limit: int = 1_000_000_000) -> list[int]:
        """Flights whose figures must be computed again."""
        return Attention(self.book).stale(limit)

    def mark_all(self) -> None:
        """Everything is to be computed again (inside a transaction)."""
        self.book.connection.execute("INSERT OR IGNORE INTO stale SELECT n FROM flight")

    def put(self, index: Iterable[IndexRow], flags: Iterable[FlagRow], flights: Sequence[int]) -> None:
        """Replaces the figures and flags of some flights, which are then no longer stale (inside a transaction)."""
        among = f"flight IN ({','.join('?' * len(flights))})"
        for table in ("flight_flag", "flight_index", "stale"):
            self.book.connection.execute(f"DELETE FROM {table} WHERE {among}", flights)
        self.put_fresh(index, flags)

    def flight_count(self) -> int:
        """How many flights the book holds, struck ones included."""
        return int(self.book.connection.execute("SELECT count(*) FROM flight").fetchone()[0])

    def clear(self) -> None:
        """Throws all figures and flags away (inside a transaction)."""
        for table in ("flight_flag", "flight_index", "stale"):
            self.book.connection.execute(f"DELETE FROM {table}")

    def put_fresh(self, index: Iterable[IndexRow], flags: Iterable[FlagRow]) -> None:
        """Writes figures and flags of flights that have none (inside a transaction)."""
        run = self.book.connection.executemany
        run("INSERT INTO flight_index VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", index)
        run("INSERT INTO flight_flag VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", flags)

    def flags(self, flights: Sequence[int]) -> dict[int, list[dict[str, Any]]]:
        """The flags of some flights, by flight, the serious first."""
        found: dict[int, list[dict[str, Any]]] = {n: [] for n in flights}
        self._add_flags(found, "g.flight", "flight_flag g", flights)
        return found

    def flags_by_id(self, flights: Sequence[str]) -> dict[str, list[dict[str, Any]]]:
        """The same for flights known by their ids."""
        found: dict[str, list[dict[str, Any]]] = {flight_id: [] for flight_id in flights}
        self._add_flags(found, "f.id", "flight f JOIN flight_flag g ON g.flight = f.n", flights)
        return found

    def flags_for_charges(self, charges: Sequence[tuple[str, str]]) -> dict[str, list[dict[str, Any]]]:
        """Unanswered flags of flights next to charges which say that their readings do not meet, by the id of the charge.

        Args:
            charges: id and start of each. The flight before it landed with another charge, or the one after it started
                with another; looked for within a month of the charge.
        """
        found: dict[str, list[dict[str, Any]]] = {}
        for charge_id, started in charges:
            rows = self.book.connection.execute(
                """SELECT DISTINCT flight FROM flight_flag WHERE rule IN ('charge_start_differs', 'ledger_gap') AND answered = 0
                AND date BETWEEN date(?1, '-31 days') AND date(?1, '+31 days')
                AND ?2 IN (json_extract(figures, '$.charge'), json_extract(figures, '$.last'))""",
                (started, charge_id),
            ).fetchall()
            flags = self.flags([row[0] for row in rows]) if rows else {}
            found[charge_id] = [
                flag
                for some in flags.values()
                for flag in some
                if charge_id in (flag["figures"].get("charge"), flag["figures"].get("last"))
            ]
        return found

    def _add_flags(
        self, found: dict[Any, list[dict[str, Any]]], column: str, tables: str, flights: Sequence[object]
    ) -> None:
        self.book.keys.look()
        for start in range(0, len(flights), 500):
            chunk = flights[start : start + 500]
            rows = self.book.connection.execute(
                f"""SELECT {column}, g.rule, g.pack, g.severity, g.words, g.figures, g.answered FROM {tables}
                WHERE {column} IN ({",".join("?" * len(chunk))})
                ORDER BY g.flight, CASE g.severity WHEN 'serious' THEN 0 WHEN 'check' THEN 1 ELSE 2 END, g.rule, g.pack""",
                chunk,
            ).fetchall()
            for flight, rule, pack, severity, words, figures, answered in rows:
                found[flight].append(
                    {
                        "rule": rule,
                        "severity": severity,
                        "words": words,
                        "figures": json.loads(figures),
                        "serial_no": self.book.keys.name("pack", pack) if pack else "",
                        "answered": bool(answered),
                    }
                )

    def everything(self) -> tuple[list[tuple[Any, ...]], list[tuple[Any, ...]]]:
        """Both tables as they are, for the proof that they equal fresh ones."""
        run = self.book.connection.execute
        return (
            run("SELECT * FROM flight_index ORDER BY flight").fetchall(),
            run("SELECT * FROM flight_flag ORDER BY flight, rule, pack").fetchall(),
        )
