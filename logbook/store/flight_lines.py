"""The list of flights, page by page."""

from __future__ import annotations

from array import array
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from logbook.store.database import Book
from logbook.store.flights import FlightFilter, Flights

_ORDERS: Final = {
    "date": "f.date {way}, f.off_blocks {way}, f.n {way}",
    "aircraft": "a.registration {way}, f.date DESC, f.off_blocks DESC, f.n DESC",
    "block_min": "i.block_min IS NULL, i.block_min {way}, f.n DESC",
    "energy_kwh": "i.energy_kwh IS NULL, i.energy_kwh {way}, f.n DESC",
    "landing_soc_pct": "i.landing_soc_pct IS NULL, i.landing_soc_pct {way}, f.n DESC",
    "minutes_left": "i.minutes_left IS NULL, i.minutes_left {way}, f.n DESC",
}

_WITH_FIGURES: Final = "flight f LEFT JOIN flight_index i ON i.flight = f.n"
_TABLES: Final = {
    "date": "flight f",
    "aircraft": "aircraft a CROSS JOIN flight f ON f.aircraft = a.n",  # one aeroplane after the other, each by its index
}


def _first_by_figure(order: str, way: str, limit: int) -> str:
    """A condition that looks for the first so many in the table of figures alone, where only flights that count stand."""
    by = _ORDERS[order].format(way=way).replace("f.n", "i.flight")
    return f"f.n IN (SELECT i.flight FROM flight_index i ORDER BY {by} LIMIT {limit})"


class FlightLine(NamedTuple):
    """One line of the list; charges as (serial number, from, to) in the order of the readings."""

    n: int
    flight_id: str
    date: str
    aircraft: str
    state: str
    outcome: str
    kind: str | None
    off_blocks: str | None
    on_blocks: str | None
    pilot: str | None
    second_person: str | None
    place_from: str | None
    place_to: str | None
    block_min: int | None
    air_min: int | None
    energy_kwh: float | None
    landing_soc_pct: float | None
    minutes_left: float | None
    open_flags: int
    worst: str | None
    struck: int
    remarks: str | None
    charges: tuple[tuple[str | None, float | None, float | None], ...] = ()


class FlightLines:
    """Reads the columns that a list of flights shows."""

    def __init__(self, book: Book) -> None:
        self.book = book

    def ids(self, wanted: FlightFilter, order: str = "date", *, descending: bool = True) -> array[int]:
        """Row numbers in an order, eight bytes each."""
        way = "DESC" if descending else "ASC"
        where, parameters = Flights(self.book).conditions(wanted, way if order == "date" else "")
        if wanted == FlightFilter(limit=wanted.limit) and wanted.limit is not None and order not in _TABLES:
            where += f" AND {_first_by_figure(order, way, wanted.limit)}"
        limit = "" if wanted.limit is None else f" LIMIT {int(wanted.limit)}"
        sql = f"SELECT f.n FROM {_TABLES.get(order, _WITH_FIGURES)} WHERE {where} ORDER BY {_ORDERS[order].format(way=way)}{limit}"
        found = array("q")
        cursor = self.book.connection.execute(sql, parameters)
        while chunk := cursor.fetchmany(20_000):
            found.extend(row[0] for row in chunk)
        return found

    def lines(self, ids: Sequence[int]) -> Mapping[int, FlightLine]:
        """The lines of some flights by row number."""
        marks = ",".join("?" * len(ids))
        run = self.book.connection.execute
        rows = run(
            f"""SELECT f.n, f.id, f.date, a.registration, f.state, f.outcome, f.kind, f.off_blocks, f.on_blocks, p.person,
                s.person, f.place_from, f.place_to, i.block_min, i.air_min, i.energy_kwh, i.landing_soc_pct,
                i.minutes_left, coalesce(i.open_flags, 0), i.worst, f.struck, f.remarks
            FROM flight f JOIN aircraft a ON a.n = f.aircraft
            LEFT JOIN person p ON p.n = f.pilot LEFT JOIN person s ON s.n = f.second_person
            LEFT JOIN flight_index i ON i.flight = f.n WHERE f.n IN ({marks})""",
            list(ids),
        ).fetchall()
        charges: dict[int, list[tuple[str | None, float | None, float | None]]] = {}
        for flight, serial, before, after in run(
            f"""SELECT r.flight, p.serial_no, r.soc_departure_pct, r.soc_landing_pct
            FROM reading r LEFT JOIN pack p ON p.n = r.serial_no WHERE r.flight IN ({marks}) ORDER BY r.flight, r.n""",
            list(ids),
        ).fetchall():
            charges.setdefault(flight, []).append((serial, before, after))
        return {row[0]: FlightLine._make((*row, tuple(charges.get(row[0], ())))) for row in rows}
