"""Small questions that screens ask at once: what is fitted, what was read last, who is out."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import partial
from typing import Any, Final, NamedTuple

from logbook.store.database import Book
from logbook.store.records import Records, Row

_FLOWN_LAST: Final = """(SELECT f.off_blocks FROM flight f WHERE f.aircraft = a.n AND f.struck = 0
    AND f.off_blocks IS NOT NULL ORDER BY f.off_blocks DESC LIMIT 1) DESC, a.registration"""


class FittedPack(NamedTuple):
    """A pack in an aeroplane now; `state` is what somebody set, if anything."""

    serial_no: str
    position: str
    state: str | None


def _place_of(place: dict[str, int], pack: FittedPack) -> tuple[int, str]:
    return place.get(pack.position, 99), pack.position


class LastReading(NamedTuple):
    """What was last read on a pack, and when (UTC)."""

    soc_pct: float | None = None
    soc_at: str | None = None
    soh_pct: float | None = None
    soh_at: str | None = None
    temp_c: float | None = None
    temp_at: str | None = None


class _Newest:
    """The newest of each figure of one pack, from rows that come newest first."""

    def __init__(self) -> None:
        self._found: dict[str, Any] = {}
        self._seen, self._oldest = 0, ""

    def add(self, at: str, soc: float | None, soh: float | None, temp: float | None) -> None:
        self._seen, self._oldest = self._seen + 1, at
        for name, value in (("soc_pct", soc), ("soh_pct", soh), ("temp_c", temp)):
            if value is not None and name not in self._found:
                self._found |= {name: value, f"{name.partition('_')[0]}_at": at}

    @property
    def whole(self) -> bool:
        return len(self._found) == len(LastReading._fields)

    def says_all(self, other: LastReading | None = None) -> bool:
        """Whether rows older than those added can change nothing.

        Args:
            other: what was read elsewhere: a figure read there no earlier than the oldest row here stands.
        """
        if self.whole or self._seen <= _NEWEST:
            return True
        return other is not None and all(
            name in self._found or (at or "") >= self._oldest
            for name, at in (("soc_pct", other.soc_at), ("soh_pct", other.soh_at), ("temp_c", other.temp_at))
        )

    def reading(self) -> LastReading:
        return LastReading(**self._found)


_NEWEST: Final = 3
"""So many events after the newest one nearly always hold charge, health and temperature: a flight, and the charges around it."""

_READ: Final = """SELECT e.pack, coalesce(f.on_blocks, c.ended, e.at),
        CASE e.what WHEN 'flight' THEN coalesce(r.soc_landing_pct, r.soc_departure_pct) ELSE coalesce(c.soc_end_pct, c.soc_start_pct) END,
        r.soh_pct,
        CASE e.what WHEN 'flight' THEN coalesce(r.temp_landing_c, r.temp_max_c) ELSE c.temp_end_c END
    FROM pack_event e
    LEFT JOIN flight f ON e.what = 'flight' AND f.n = e.n
    LEFT JOIN reading r ON r.flight = f.n AND +r.serial_no = e.pack
    LEFT JOIN charge c ON e.what = 'charge' AND c.n = e.n"""
"""When and what was read in each event of a pack."""

_SEEN: Final = "SELECT o.serial_no, o.at, o.soc_pct, o.soh_pct, o.temp_max_c FROM observation o"
"""When and what was read on a pack outside flight and charge."""


def _later(one: LastReading, other: LastReading) -> LastReading:
    """Of each figure the one that was read later; of two read at once the first."""
    found: dict[str, Any] = {}
    for figure, at in (("soc_pct", "soc_at"), ("soh_pct", "soh_at"), ("temp_c", "temp_at")):
        newest = other if (getattr(other, at) or "") > (getattr(one, at) or "") else one
        found |= {figure: getattr(newest, figure), at: getattr(newest, at)}
    return LastReading(**found)


def _by_pack(rows: list[tuple[Any, ...]]) -> dict[int | None, _Newest]:
    found: dict[int | None, _Newest] = {}
    for pack, *row in rows:
        found.setdefault(pack, _Newest()).add(*row)
    return found


class BookFacts:
    """Answers from a look or two at the tables; nothing heavy is loaded for them."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._run = book.connection.execute

    def aircraft(self, registration: str) -> Row:
        """The recorded columns of an aeroplane; empty if there is none."""
        found = Records(self.book, "aircraft").find(registration)
        return {} if found is None else found[1]

    def fleet(self) -> list[str]:
        """Registrations, those flown last first."""
        rows = self._run(f"SELECT a.registration FROM aircraft a WHERE a.struck = 0 ORDER BY {_FLOWN_LAST}")
        return [row[0] for row in rows.fetchall()]

    def people(self) -> list[str]:
        """Names, in order."""
        rows = self._run("SELECT person FROM person WHERE struck = 0 ORDER BY person")
        return [row[0] for row in rows.fetchall()]

    def places(self) -> list[str]:
        """Names of places, in order."""
        rows = self._run("SELECT place FROM place WHERE struck = 0 ORDER BY place")
        return [row[0] for row in rows.fetchall()]

    def zone_of(self, place: str | None) -> str:
        """The time zone of a place; UTC where none is known."""
        row = self._run("SELECT zone FROM place WHERE place = ? AND struck = 0", (place,)).fetchone()
        return str(row[0]) if row and row[0] else "UTC"

    def zones(self) -> dict[str, str]:
        """The time zones of the places that have one."""
        return dict(
            self._run("SELECT place, zone FROM place WHERE zone IS NOT NULL AND struck = 0").fetchall()
        )

    def last_flight(self, registration: str, until: str | None = None) -> Row:
        """The newest closed flight of an aeroplane, up to a moment if one is given; empty if there is none."""
        n = self.book.keys.find("aircraft", registration)
        for _, row in Records(self.book, "flight").select(
            "aircraft = ? AND struck = 0 AND state = 'closed' AND off_blocks IS NOT NULL AND off_blocks <= ?",
            (n, until or "9"),
            "off_blocks DESC",
            1,
        ):
            return row
        return {}

    def flights_during(self, registration: str, start: str, end: str) -> list[Row]:
        """The flights of an aeroplane whose block time shares a minute with a stretch of time, in order."""
        n = self.book.keys.numbers("aircraft").get(registration)
        condition = "aircraft = ? AND struck = 0 AND off_blocks < ? AND on_blocks > ?"
        return [
            row for _, row in Records(self.book, "flight").select(condition, (n, end, start), "off_blocks")
        ]

    def placed(self) -> list[tuple[str, float, float]]:
        """Places with coordinates: name, latitude and longitude [°]."""
        rows = self._run(
            """SELECT place, latitude_deg, longitude_deg FROM place
            WHERE struck = 0 AND latitude_deg IS NOT NULL AND longitude_deg IS NOT NULL ORDER BY place"""
        )
        return [
            (str(name), float(latitude), float(longitude)) for name, latitude, longitude in rows.fetchall()
        ]

    def fitted_now(self, registration: str) -> list[tuple[str, str]]:
        """Serial number and position of the packs in an aeroplane, by position as the aeroplane lists them."""
        n = self.book.keys.find("aircraft", registration)
        order = list(self.aircraft(registration).get("positions") or ())
        rows = self._run(
            """SELECT p.serial_no, i.position FROM installation i JOIN pack p ON p.n = i.serial_no
            WHERE i.aircraft = ? AND i.removed IS NULL AND i.struck = 0""",
            (n,),
        ).fetchall()
        place = {position: index for index, position in enumerate(order)}
        return sorted(
            ((serial, position) for serial, position in rows),
            key=lambda pair: (place.get(pair[1], 99), pair[1]),
        )

    def fleet_fitted(self) -> list[tuple[str, str, list[FittedPack]]]:
        """Registration, type and fitted packs of every aeroplane, those flown last first; in two looks for all of them."""
        packs: dict[int, list[FittedPack]] = {}
        for n, *fitted in self._run(
            """SELECT i.aircraft, p.serial_no, i.position, p.state FROM installation i JOIN pack p ON p.n = i.serial_no
            WHERE i.removed IS NULL AND i.struck = 0"""
        ).fetchall():
            packs.setdefault(n, []).append(FittedPack(*fitted))
        found = []
        for n, registration, kind, positions in self._run(
            f"SELECT a.n, a.registration, a.type, a.positions FROM aircraft a WHERE a.struck = 0 ORDER BY {_FLOWN_LAST}"
        ).fetchall():
            place = {position: index for index, position in enumerate(json.loads(positions))}
            order = partial(_place_of, place)
            found.append((registration, kind or "", sorted(packs.get(n, ()), key=order)))
        return found

    def last_reading(self, serial_no: str, until: str | None = None) -> LastReading:
        """The newest charge, state of health and temperature read on a pack, up to a moment if one is given.

        Flights, charges and observations count alike; of an observation the warmest temperature.
        """
        n = self.book.keys.find("pack", serial_no)
        events = f"{_READ} WHERE e.pack = ? AND e.at <= ? ORDER BY e.at DESC, e.what DESC, e.n DESC LIMIT 60"
        seen = f"{_SEEN} WHERE o.serial_no = ? AND o.struck = 0 AND o.at <= ? ORDER BY o.at DESC, o.n DESC LIMIT 60"
        return _later(self._newest_of(events, n, until), self._newest_of(seen, n, until))

    def _newest_of(self, sql: str, pack: int | None, until: str | None) -> LastReading:
        rows = self._run(sql, (pack, until or "9"))
        found = _Newest()
        for _, *row in rows:
            found.add(*row)
            if found.whole:
                break
        rows.close()  # an open reader would keep others from writing
        return found.reading()

    def last_readings(self, serials: Sequence[str]) -> dict[str, LastReading]:
        """The same for many packs: in one look at the newest events of each, and one more where those do not say all."""
        marks = ",".join("?" * len(serials))
        rows = self._run(
            f"""{_READ} JOIN pack p ON p.n = e.pack WHERE p.serial_no IN ({marks})
            AND e.at >= coalesce((SELECT x.at FROM pack_event x WHERE x.pack = p.n ORDER BY x.at DESC LIMIT 1 OFFSET {_NEWEST}), '')
            ORDER BY e.pack, e.at DESC, e.what DESC, e.n DESC""",
            tuple(serials),
        ).fetchall()
        seen = self._run(
            f"""{_SEEN} JOIN pack p ON p.n = o.serial_no WHERE p.serial_no IN ({marks}) AND o.struck = 0
            AND o.at >= coalesce((SELECT x.at FROM observation x WHERE x.serial_no = p.n AND x.struck = 0
                ORDER BY x.at DESC LIMIT 1 OFFSET {_NEWEST}), '') ORDER BY o.serial_no, o.at DESC, o.n DESC""",
            tuple(serials),
        ).fetchall()
        numbers = {serial: self.book.keys.find("pack", serial) for serial in serials}
        both = _by_pack(rows), _by_pack(seen)
        return {
            serial: self._newest(serial, [one.get(n, _Newest()) for one in both])
            for serial, n in numbers.items()
        }

    def _newest(self, serial_no: str, found: list[_Newest]) -> LastReading:
        """What both sorts of events say together; the rest is only looked for where it can change that."""
        events, seen = found
        if not events.says_all() or not seen.says_all(events.reading()):
            return self.last_reading(serial_no)
        return _later(events.reading(), seen.reading())

    def last_together(self, registration: str) -> LastReading | None:
        """What the one gauge of an aeroplane last showed; None where its last flight with readings had them pack by pack.

        Once a pack that is fitted now was charged after that flight, the charge is unknown again.
        """
        n = self.book.keys.find("aircraft", registration)
        row = self._run(
            """SELECT r.serial_no IS NULL, coalesce(f.on_blocks, f.off_blocks),
                coalesce(r.soc_landing_pct, r.soc_departure_pct), r.soh_pct
            FROM flight f JOIN reading r ON r.flight = f.n
            WHERE f.aircraft = ? AND f.struck = 0 AND f.off_blocks IS NOT NULL
            ORDER BY f.off_blocks DESC, f.n DESC, r.serial_no IS NULL LIMIT 1""",
            (n,),
        ).fetchone()
        if row is None or not row[0]:
            return None
        _, at, soc, soh = row
        charged = self._run(
            """SELECT 1 FROM charge c JOIN installation i ON i.serial_no = c.serial_no
            WHERE i.aircraft = ? AND i.removed IS NULL AND i.struck = 0 AND c.struck = 0 AND c.started >= ? LIMIT 1""",
            (n, at),
        ).fetchone()
        known = soc is not None and charged is None
        return LastReading(
            soc if known else None, at if known else None, soh, at if soh is not None else None
        )

    def open_flights(self) -> list[Row]:
        """Flights that were opened and not closed."""
        return [
            row
            for _, row in Records(self.book, "flight").select("state = 'open' AND struck = 0", (), "date, n")
        ]
