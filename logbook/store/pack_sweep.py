"""Sweeps over everything that happened to packs: a few queries for one pack or for the whole fleet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final, NamedTuple

from logbook.store.database import Book


class FlownWith(NamedTuple):
    """One pack on one flight that is not struck out, as read."""

    serial_no: str
    flight_id: str
    aircraft: str
    outcome: str
    off_blocks: str
    until: str
    soc_departure_pct: float | None
    soc_landing_pct: float | None
    soh_pct: float | None
    temp_departure_c: float | None
    temp_max_c: float | None
    temp_landing_c: float | None
    outside_temp_c: float | None
    source: str


class Charged(NamedTuple):
    """One pack in one charging session that is not struck out."""

    serial_no: str
    charge_id: str
    started: str
    ended: str | None
    place: str | None
    charger: str | None
    purpose: str | None
    soc_start_pct: float | None
    soc_end_pct: float | None
    temp_start_c: float | None
    temp_end_c: float | None
    energy_kwh: float | None
    shared_energy_kwh: float | None


class Seen(NamedTuple):
    """One observation of a pack outside flight and charge."""

    serial_no: str
    observation_id: str
    at: str
    soc_pct: float | None
    soh_pct: float | None
    cell_min_v: float | None
    cell_max_v: float | None
    temp_min_c: float | None
    temp_max_c: float | None
    insulation_mohm: float | None
    counter_hours: float | None
    counter_cycles: float | None
    software: str | None
    baseline_break: str | None
    text: str | None


class Flown(NamedTuple):
    """One closed, flown flight as it counts for time in service."""

    aircraft: str
    flight_id: str
    off_blocks: str
    takeoff: str | None
    landing: str | None
    on_blocks: str | None
    meter_start: float | None
    meter_end: float | None
    landings_day: int | None
    landings_night: int | None


class Fitting(NamedTuple):
    """One installation that is not struck out."""

    serial_no: str
    aircraft: str
    position: str
    fitted: str
    removed: str | None
    reason: str | None
    aircraft_hours: float | None


_LIVES: Final = "pack p CROSS JOIN pack_event e ON e.pack = p.n"
"""Pack by pack, each from the moment asked for: left to itself SQLite goes through all flights, or all charges, there are."""


class PackSweep:
    """Everything that happened to some packs, or to all, up to a moment.

    Args:
        book: the open book.
        serials: the packs; None for all.
        until: the last instant that counts (UTC); absent: everything.
        since: the first instant of flights, charges and observations (UTC); absent: from the beginning.
    """

    def __init__(
        self, book: Book, serials: Sequence[str] | None = None, until: str = "9", since: str = ""
    ) -> None:
        self._run = book.connection.execute
        self._until, self._since = until, since
        self._keys = book.keys
        self._only: list[int] | None = None
        if serials is not None:
            self._only = [book.keys.number("pack", serial, "serial_no") for serial in serials]

    def _some(self, column: str) -> str:
        """The condition that narrows a query to the packs asked for; numbers of our own, so safe as text."""
        return "1" if self._only is None else f"{column} IN ({','.join(map(str, self._only))})"

    def flights(self) -> Iterator[FlownWith]:
        """Readings of the packs, in order of pack and time."""
        rows = self._run(
            f"""SELECT p.serial_no, f.id, a.registration, f.outcome, f.off_blocks,
                coalesce(f.on_blocks, f.landing, f.takeoff, f.off_blocks), r.soc_departure_pct, r.soc_landing_pct,
                r.soh_pct, r.temp_departure_c, r.temp_max_c, r.temp_landing_c, f.outside_temp_c, r.source
            FROM {_LIVES} JOIN flight f ON f.n = e.n JOIN aircraft a ON a.n = f.aircraft
                JOIN reading r ON r.flight = f.n AND r.serial_no = e.pack
            WHERE e.what = 'flight' AND e.at BETWEEN ? AND ? AND {self._some("p.n")} ORDER BY e.pack, e.at, e.n""",
            (self._since, self._until),
        )
        return map(FlownWith._make, rows.fetchall())

    def charges(self) -> Iterator[Charged]:
        """Charges of the packs, in order of pack and time."""
        rows = self._run(
            f"""SELECT p.serial_no, c.id, c.started, c.ended, c.place, c.charger, c.purpose, c.soc_start_pct, c.soc_end_pct,
                c.temp_start_c, c.temp_end_c, c.energy_kwh, c.shared_energy_kwh
            FROM {_LIVES} JOIN charge c ON c.n = e.n
            WHERE e.what = 'charge' AND e.at BETWEEN ? AND ? AND {self._some("p.n")} ORDER BY e.pack, e.at, e.n""",
            (self._since, self._until),
        )
        return map(Charged._make, rows.fetchall())

    def observations(self) -> Iterator[Seen]:
        """Observations of the packs, in order of pack and time."""
        rows = self._run(
            f"""SELECT p.serial_no, o.id, o.at, o.soc_pct, o.soh_pct, o.cell_min_v, o.cell_max_v, o.temp_min_c,
                o.temp_max_c, o.insulation_mohm, o.counter_hours, o.counter_cycles, o.software, o.baseline_break, o.text
            FROM observation o JOIN pack p ON p.n = o.serial_no
            WHERE o.struck = 0 AND o.at BETWEEN ? AND ? AND {self._some("o.serial_no")} ORDER BY o.serial_no, o.at, o.n""",
            (self._since, self._until),
        )
        return map(Seen._make, rows.fetchall())

    def fittings(self) -> list[Fitting]:
        """Installations of the packs, in order of time; one that ended later is open at the moment asked for."""
        rows = self._run(
            f"""SELECT p.serial_no, a.registration, i.position, i.fitted,
                CASE WHEN i.removed <= ?1 THEN i.removed END, i.reason, i.aircraft_hours
            FROM installation i JOIN pack p ON p.n = i.serial_no JOIN aircraft a ON a.n = i.aircraft
            WHERE i.struck = 0 AND i.fitted <= ?1 AND {self._some("i.serial_no")} ORDER BY i.fitted, i.n""",
            (self._until,),
        )
        return [Fitting(*row) for row in rows.fetchall()]

    def flown(self, aircraft: Sequence[str] | None = None) -> Iterator[Flown]:
        """Closed, flown flights of some aeroplanes or of all, in order of aeroplane and off blocks."""
        marks = "" if aircraft is None else f"AND a.registration IN ({','.join('?' * len(aircraft))})"
        rows = self._run(
            f"""SELECT a.registration, f.id, f.off_blocks, f.takeoff, f.landing, f.on_blocks, f.meter_start, f.meter_end,
                f.landings_day, f.landings_night
            FROM flight f JOIN aircraft a ON a.n = f.aircraft
            WHERE f.struck = 0 AND f.state = 'closed' AND f.outcome = 'flown'
                AND f.off_blocks BETWEEN ? AND ? {marks}
            ORDER BY f.aircraft, f.off_blocks, f.n""",
            (self._since, self._until, *(aircraft or ())),
        )
        return map(Flown._make, rows.fetchall())

    def flag_counts(self, rule: str) -> dict[str, int]:
        """How many flights of each pack a rule spoke about."""
        rows = self._run(
            f"""SELECT g.pack, count(*) FROM flight_flag g
            WHERE g.rule = ? AND g.off_blocks <= ? AND g.pack > 0 AND {self._some("g.pack")} GROUP BY g.pack""",
            (rule, self._until),
        )
        return {self._keys.name("pack", pack): count for pack, count in rows.fetchall()}

    def flagged(self, rules: Sequence[str]) -> list[tuple[str, str, str, str, str, str]]:
        """Serial number, flight, off blocks, rule, severity and words of what some rules said, newest first."""
        marks = ",".join("?" * len(rules))
        rows = self._run(
            f"""SELECT p.serial_no, f.id, f.off_blocks, g.rule, g.severity, g.words
            FROM flight_flag g JOIN flight f ON f.n = g.flight JOIN pack p ON p.n = g.pack
            WHERE g.rule IN ({marks}) AND f.off_blocks <= ? AND {self._some("g.pack")} ORDER BY f.off_blocks DESC, f.n DESC""",
            (*rules, self._until),
        )
        return rows.fetchall()

    def companions(self) -> list[str]:
        """The packs asked for and all that ever flew or were charged together with them."""
        rows = self._run(
            f"""SELECT DISTINCT p.serial_no FROM pack_event e JOIN pack_event o ON o.what = e.what AND o.n = e.n
                JOIN pack p ON p.n = o.pack WHERE {self._some("e.pack")} AND e.what = 'flight' ORDER BY 1"""
        )
        found: Sequence[Any] = rows.fetchall()
        own = [self._keys.name("pack", n) for n in self._only or ()]
        return sorted({row[0] for row in found} | set(own))

    def charged_together(self) -> list[str]:
        """The packs asked for and all that ever shared a charging session with them."""
        rows = self._run(
            f"""SELECT DISTINCT p.serial_no FROM charge c JOIN pack p ON p.n = c.serial_no
            WHERE c.struck = 0 AND c.id IN (SELECT id FROM charge WHERE struck = 0 AND {self._some("serial_no")})"""
        )
        return sorted(
            {row[0] for row in rows.fetchall()} | {self._keys.name("pack", n) for n in self._only or ()}
        )

    def newest(self) -> str | None:
        """The newest instant in the life of any pack asked for; None where nothing happened."""
        row = self._run(
            f"""SELECT max(at) FROM (
            SELECT (SELECT max(e.at) FROM pack_event e WHERE e.pack = p.n) AS at FROM pack p WHERE {self._some("p.n")}
            UNION ALL SELECT (SELECT max(o.at) FROM observation o WHERE o.serial_no = p.n AND o.struck = 0)
                FROM pack p WHERE {self._some("p.n")}
            UNION ALL SELECT max(off_blocks) FROM flight WHERE struck = 0)"""
        ).fetchone()
        return None if row[0] is None else str(row[0])
