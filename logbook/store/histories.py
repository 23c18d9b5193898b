"""Everything recorded of one aeroplane and its packs, read in a few sweeps for the estimates."""

from __future__ import annotations

from typing import Any, NamedTuple

from logbook.store.database import Book


class FlownRow(NamedTuple):
    """One unstruck, closed flight that was flown, as recorded; people by name."""

    n: int
    flight_id: str
    off_blocks: str
    takeoff: str | None
    landing: str | None
    on_blocks: str | None
    kind: str | None
    circuits: int | None
    climb_ft: float | None
    highest_ft: float | None
    level_min: float | None
    level_kw: float | None
    mass_kg: float | None
    aboard: int | None
    handler: str | None
    outside_temp_c: float | None
    wind_dir: float | None
    wind_kt: float | None
    landings: int | None
    place_from: str | None
    place_to: str | None


class ReadRow(NamedTuple):
    """One pack's reading on one of those flights; without a serial number, one figure for the whole aeroplane."""

    flight: int
    serial_no: str | None
    soc_departure_pct: float | None
    soc_landing_pct: float | None
    soh_pct: float | None
    temp_departure_c: float | None
    temp_max_c: float | None
    temp_landing_c: float | None
    source: str


class Histories:
    """Sweeps over the flights, readings, charges and observations of one aeroplane."""

    def __init__(self, book: Book) -> None:
        self._run = book.connection.execute
        self._keys = book.keys

    def flights(self, aircraft: str) -> list[FlownRow]:
        """Flown flights in order of time."""
        n = self._keys.number("aircraft", aircraft, "aircraft")
        rows = self._run(
            """SELECT f.n, f.id, f.off_blocks, f.takeoff, f.landing, f.on_blocks, f.kind, f.circuits, f.climb_ft,
                f.highest_ft, f.level_min, f.level_kw, f.mass_kg, f.aboard, p.person, f.outside_temp_c, f.wind_dir,
                f.wind_kt, coalesce(f.landings_day + coalesce(f.landings_night, 0), f.landings_night),
                f.place_from, f.place_to
            FROM flight f LEFT JOIN person p ON p.n = coalesce(f.handled_by, f.pilot)
            WHERE f.aircraft = ? AND f.struck = 0 AND f.state = 'closed' AND f.outcome = 'flown'
                AND f.off_blocks IS NOT NULL
            ORDER BY f.off_blocks, f.n""",
            (n,),
        )
        return [FlownRow(*row) for row in rows.fetchall()]

    def readings(self, aircraft: str) -> list[ReadRow]:
        """Readings of single packs, and of the whole aeroplane, on those flights."""
        n = self._keys.number("aircraft", aircraft, "aircraft")
        rows = self._run(
            """SELECT r.flight, p.serial_no, r.soc_departure_pct, r.soc_landing_pct, r.soh_pct, r.temp_departure_c,
                r.temp_max_c, r.temp_landing_c, r.source
            FROM flight f JOIN reading r ON r.flight = f.n LEFT JOIN pack p ON p.n = r.serial_no
            WHERE f.aircraft = ? AND f.struck = 0 AND f.state = 'closed' AND f.outcome = 'flown'
            ORDER BY r.flight, r.n""",
            (n,),
        )
        return [ReadRow(*row) for row in rows.fetchall()]

    def packs(self, aircraft: str) -> list[str]:
        """Serial numbers of every pack that was ever fitted to, or read on, the aeroplane."""
        n = self._keys.number("aircraft", aircraft, "aircraft")
        rows = self._run(
            """SELECT serial_no FROM pack WHERE n IN (SELECT serial_no FROM installation WHERE aircraft = ? AND struck = 0)
            UNION
            SELECT p.serial_no FROM flight f JOIN reading r ON r.flight = f.n JOIN pack p ON p.n = r.serial_no
            WHERE f.aircraft = ? AND f.struck = 0 ORDER BY 1""",
            (n, n),
        )
        return [row[0] for row in rows.fetchall()]

    def charges(self, serials: list[str]) -> list[tuple[Any, ...]]:
        """id, serial number, started, ended, charger, purpose, SOC from and to, own kWh, shared kWh; in order of time."""
        marks = ",".join("?" * len(serials))
        rows = self._run(
            f"""SELECT c.id, p.serial_no, c.started, c.ended, c.charger, c.purpose, c.soc_start_pct, c.soc_end_pct,
                c.energy_kwh, c.shared_energy_kwh, c.temp_start_c, c.temp_end_c
            FROM charge c JOIN pack p ON p.n = c.serial_no
            WHERE c.struck = 0 AND p.serial_no IN ({marks}) ORDER BY c.started, c.n""",
            serials,
        )
        return rows.fetchall()

    def fittings(self, aircraft: str) -> list[tuple[str, str, str, str | None]]:
        """Serial number, position, fitted, removed; in order of time."""
        n = self._keys.number("aircraft", aircraft, "aircraft")
        rows = self._run(
            """SELECT p.serial_no, i.position, i.fitted, i.removed FROM installation i JOIN pack p ON p.n = i.serial_no
            WHERE i.aircraft = ? AND i.struck = 0 ORDER BY i.fitted""",
            (n,),
        )
        return rows.fetchall()

    def checks(self, serials: list[str]) -> list[tuple[Any, ...]]:
        """Serial number, when, kWh, kW of measured capacities."""
        marks = ",".join("?" * len(serials))
        rows = self._run(
            f"""SELECT p.serial_no, c.at, c.kwh, c.power_kw FROM capacity_check c JOIN pack p ON p.n = c.serial_no
            WHERE c.struck = 0 AND p.serial_no IN ({marks}) ORDER BY c.at""",
            serials,
        )
        return rows.fetchall()

    def breaks(self, serials: list[str]) -> list[tuple[Any, ...]]:
        """Serial number, when and why of baseline breaks."""
        marks = ",".join("?" * len(serials))
        rows = self._run(
            f"""SELECT p.serial_no, o.at, o.baseline_break FROM observation o JOIN pack p ON p.n = o.serial_no
            WHERE o.struck = 0 AND o.baseline_break IS NOT NULL AND p.serial_no IN ({marks}) ORDER BY o.at""",
            serials,
        )
        return rows.fetchall()

    def last_aircraft(self, serial_no: str) -> str | None:
        """Registration of the aeroplane a pack was last fitted to, else last read on; None if neither."""
        n = self._keys.number("pack", serial_no, "serial_no")
        row = self._run(
            """SELECT a.registration FROM (
                SELECT aircraft, fitted AS at, 1 AS sure FROM installation WHERE serial_no = ? AND struck = 0
                UNION ALL
                SELECT f.aircraft, e.at, 0 FROM pack_event e JOIN flight f ON f.n = e.n
                WHERE e.pack = ? AND e.what = 'flight'
            ) x JOIN aircraft a ON a.n = x.aircraft ORDER BY x.sure DESC, x.at DESC LIMIT 1""",
            (n, n),
        ).fetchone()
        return None if row is None else str(row[0])
