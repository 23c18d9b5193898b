"""Flights with their parts: written whole, found by what people ask for, read in one go."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from logbook.store.catalogue import PARTS
from logbook.store.database import Book
from logbook.store.records import Records, Row

_CHUNK = 500


class FlightFilter(NamedTuple):
    """What a list of flights is narrowed to; None leaves a condition out. Days are local dates, both included."""

    since: str | None = None
    until: str | None = None
    aircraft: str | None = None
    person: str | None = None
    pack: str | None = None
    flag: str | None = None
    text: str | None = None
    kind: str | None = None
    outcome: str | None = None
    struck: bool = False
    limit: int | None = None


class Totals(NamedTuple):
    """Sums over a list of flights; times in minutes, energy in kWh over the flights that know theirs."""

    flights: int
    block_min: int
    air_min: int
    landings: int
    energy_kwh: float | None
    """None where no flight knows its own."""
    open_flags: int


class Flights:
    """The flight table and the tables of its parts."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.rows = Records(book, "flight")
        self.parts = {name: Records(book, name) for name in PARTS}

    def insert(self, columns: Row) -> int:
        """Writes a flight and its parts; to be called inside a transaction that is adding. Returns its number."""
        n = self.rows.insert(columns)
        for name, key in (("reading", "readings"), ("crew", "crew"), ("phase", "phases")):
            for part in columns.get(key) or ():
                self.insert_part(name, n, part)
        return n

    def insert_part(self, name: str, flight: int, columns: Row) -> None:
        """Writes one reading, crew row or phase of a flight."""
        part = self.parts[name]
        row = part.inward(columns) | {"flight": flight}
        names = ", ".join(f'"{column}"' for column in row)
        marks = ", ".join("?" * len(row))
        part.run(f"INSERT INTO {name} ({names}) VALUES ({marks})", tuple(row.values()))

    def number(self, flight_id: str) -> int | None:
        """The row number of a flight, by its id."""
        row = self.book.connection.execute("SELECT n FROM flight WHERE id = ?", (flight_id,)).fetchone()
        return None if row is None else int(row[0])

    def same_start(self, aircraft: str, off_blocks: str) -> str | None:
        """The id of an unstruck flight of the aircraft with the same off blocks."""
        a = self.book.keys.find("aircraft", aircraft)
        row = self.book.connection.execute(
            "SELECT id FROM flight WHERE aircraft = ? AND off_blocks = ? AND struck = 0", (a, off_blocks)
        ).fetchone()
        return None if row is None else str(row[0])

    def find(self, wanted: FlightFilter, *, newest_first: bool = True) -> list[int]:
        """Numbers of the flights that meet a filter, by date."""
        way = "DESC" if newest_first else "ASC"
        where, parameters = self.conditions(wanted, way)
        limit = "" if wanted.limit is None else f" LIMIT {int(wanted.limit)}"
        sql = f"SELECT f.n FROM flight f WHERE {where} ORDER BY f.date {way}, f.off_blocks {way}, f.n {way}{limit}"
        return [row[0] for row in self.book.connection.execute(sql, parameters).fetchall()]

    def days(self) -> tuple[str, str] | None:
        """The first and the last day on which anything was flown; None in a book without flights."""
        first, last = self.book.connection.execute(
            "SELECT (SELECT min(date) FROM flight WHERE struck = 0), (SELECT max(date) FROM flight WHERE struck = 0)"
        ).fetchone()
        return None if first is None else (first, last)

    def in_time(self) -> list[int]:
        """Numbers of all flights, struck ones included, by off blocks; those without come first."""
        return [
            row[0]
            for row in self.book.connection.execute("SELECT n FROM flight ORDER BY off_blocks, n").fetchall()
        ]

    def totals(self, wanted: FlightFilter) -> Totals:
        """Sums over all flights that meet a filter."""
        where, parameters = self.conditions(wanted)
        row = self.book.connection.execute(
            f"""SELECT count(*), coalesce(sum(i.block_min), 0), coalesce(sum(i.air_min), 0),
                coalesce(sum(coalesce(f.landings_day, 0) + coalesce(f.landings_night, 0)), 0),
                sum(i.energy_kwh), coalesce(sum(i.open_flags), 0)
            FROM flight f {_way_through(wanted)} LEFT JOIN flight_index i ON i.flight = f.n WHERE {where}""",
            parameters,
        ).fetchone()
        return Totals(*row)

    def read(self, numbers: Sequence[int]) -> list[Row]:
        """Flights with `readings`, `crew` and `phases`, in the order of the numbers."""
        found: dict[int, Row] = {}
        for chunk in _chunks(numbers):
            marks = ",".join("?" * len(chunk))
            for n, row in self.rows.select(f"n IN ({marks})", chunk):
                row["readings"], row["crew"], row["phases"] = [], [], []
                found[n] = row
            for name, key in (("reading", "readings"), ("crew", "crew"), ("phase", "phases")):
                part = self.parts[name]
                sql = f"SELECT * FROM {name} WHERE flight IN ({marks}) ORDER BY flight, n"
                at = list(part.columns).index("flight")
                for raw in self.book.connection.execute(sql, chunk).fetchall():
                    values = part.plain(raw)
                    found[raw[at]][key].append(values)
        return [found[n] for n in numbers if n in found]

    def conditions(self, wanted: FlightFilter, way: str = "") -> tuple[str, list[Any]]:
        """The filter as SQL of our own making and its parameters.

        Args:
            wanted: the filter.
            way: `DESC` or `ASC` where the flights are taken by date, so that a limit can be used early; else empty.
        """
        # written out, not a parameter: the indexes of flights that count hold only those
        conditions: list[tuple[str, list[Any]]] = [(f"f.struck = {int(wanted.struck)}", [])]
        for condition, value in (
            ("f.date >= ?", wanted.since),
            ("f.date <= ?", wanted.until),
            ("f.kind = ?", wanted.kind),
            ("f.outcome = ?", wanted.outcome),
        ):
            if value is not None:
                conditions.append((condition, [value]))
        conditions += self._named(wanted, way)
        if wanted.flag is not None:
            from logbook.store.flagged import first_flagged, flagged  # nothing at start-up asks for a flag

            if way and wanted.limit is not None and not wanted.struck and _alone(wanted, "flag"):
                first = wanted.limit, wanted.since, wanted.until
                conditions.append(first_flagged(wanted.flag, way, *first))
            else:
                conditions.append(flagged(wanted.flag))
        if wanted.text is not None:
            conditions.append(_holding(wanted.text))
        return " AND ".join(sql for sql, _ in conditions), [
            value for _, values in conditions for value in values
        ]

    def _named(self, wanted: FlightFilter, way: str) -> list[tuple[str, list[Any]]]:
        """Conditions that name an aeroplane, a person or a pack; unknown names are refused, not found empty."""
        found: list[tuple[str, list[Any]]] = []
        number = self.book.keys.number
        if wanted.aircraft is not None:
            found.append(("f.aircraft = ?", [number("aircraft", wanted.aircraft, "aircraft")]))
        if wanted.person is not None:
            from logbook.store.aboard import aboard, first_aboard

            person = number("person", wanted.person, "person")
            if way and wanted.limit is not None and _alone(wanted, "person"):
                days = wanted.since, wanted.until
                found.append(first_aboard(person, way, wanted.limit, *days, struck=wanted.struck))
            else:
                found.append(aboard(person))
        if wanted.pack is not None:
            pack = number("pack", wanted.pack, "pack")
            found.append(("f.n IN (SELECT flight FROM reading WHERE serial_no = ?)", [pack]))
        return found


def _alone(wanted: FlightFilter, name: str) -> bool:
    """Whether, but for days, one condition alone narrows the flights."""
    return wanted._replace(since=None, until=None, struck=False, limit=None, **{name: None}) == FlightFilter()


def _way_through(wanted: FlightFilter) -> str:
    """Where most flights count, the table from end to end is quicker than jumping about in it by an index."""
    narrow = (wanted.since, wanted.until, wanted.aircraft, wanted.person, wanted.pack, wanted.flag)
    return "NOT INDEXED" if not wanted.struck and all(one is None for one in narrow) else ""


_TEXTS = ("f.remarks", "f.debrief", "f.exercise", "f.place_from", "f.place_to", "f.id")


def _holding(text: str) -> tuple[str, list[Any]]:
    """A text anywhere in what people wrote; the signs that LIKE treats specially count as themselves."""
    pattern = "%" + text.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_") + "%"
    likes = " OR ".join(f"{column} LIKE ? ESCAPE '\\'" for column in _TEXTS)
    return f"({likes})", [pattern] * len(_TEXTS)


def _chunks(numbers: Sequence[int]) -> Iterable[Sequence[int]]:
    for start in range(0, len(numbers), _CHUNK):
        yield numbers[start : start + _CHUNK]
