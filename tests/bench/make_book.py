"""Makes a large book for the measurements: `python -m tests.bench.make_book FLIGHTS PATH [--fleet-of N]`.

The same arguments give the same records. A school grows with its book: an aeroplane for each 5,000 flights (2 to 200), five
packs for two aeroplanes, a person for each 300 flights (5 to 3,000); `--fleet-of N` gives a book the fleet of one of N
flights, so that the number of flights alone differs. Every book ends on the same day, its aeroplanes fly five times a day.
Rows go in by `executemany`, as the store's own bulk path does: triggers set aside, derived tables computed at the end.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Final, NamedTuple

from logbook.rules.edition import EDITION
from logbook.services.add import add
from logbook.services.refresh import refresh_all
from logbook.store.database import Book
from logbook.store.loading import triggers_aside
from logbook.store.settings import Settings
from logbook.units import instant_of, minutes_of
from tests.bench.school import (
    School,
    aircraft_row,
    fitting_rows,
    item_rows,
    middle_of,
    pack_row,
    person_row,
)

Row = dict[str, Any]
LAST_DAY: Final = date(2026, 6, 30)
NOW: Final = "2026-06-30T20:00Z"
"""The moment at which questions are asked of these books."""
A_DAY: Final = 5
_TEXTS: Final = (None, None, None, "gusty on final", "first solo, went well", "practised flapless landings")


class Flown(NamedTuple):
    """One flight with its readings and, if the packs were charged after it, its charges, as rows for SQL."""

    flight: Row
    readings: list[Row]
    charges: list[Row]


def make_book(path: Path, flights: int, *, fleet_of: int | None = None, seed: int = 1) -> School:
    """Makes a book at a path that does not exist.

    Args:
        path: where.
        flights: how many.
        fleet_of: the fleet is that of a school with so many flights; absent: of its own.
        seed: another seed, other readings.
    """
    school = School.of(fleet_of or flights)
    with Book.open(path, create=True) as book:
        _people_and_things(book, school, _first_day(flights, school))
        with book.writing(adding=True), triggers_aside(book):
            _load(book, _flown(flights, school, seed))
            _upkeep(book, flights, school)
        with book.writing():
            Settings(book).set("rules_edition", EDITION)
            refresh_all(book)
    return school


def _first_day(flights: int, school: School) -> date:
    return LAST_DAY - timedelta(days=-(-flights // (school.aircraft * A_DAY)) - 1)


def _people_and_things(book: Book, school: School, first: date) -> None:
    add(book, "place", {"place": "HOME", "latitude_deg": 48.0, "longitude_deg": 11.0, "zone": "UTC"})
    add(book, "aircraft", [aircraft_row(n) for n in range(school.aircraft)])
    add(book, "pack", [pack_row(n) for n in range(school.packs)])
    add(book, "person", [person_row(n) for n in range(school.people)])
    add(book, "installation", fitting_rows(school, first, LAST_DAY))
    add(book, "person-item", item_rows(school, LAST_DAY))


def _flown(flights: int, school: School, seed: int) -> Iterator[Flown]:
    """All flights in order of time; a pack's state of health falls with what it flew."""
    draw = random.Random(seed)  # noqa: S311 - repeatable chance is wanted
    begin = _first_day(flights, school)
    first, middle = minutes_of(f"{begin}T06:00Z"), minutes_of(f"{middle_of(begin, LAST_DAY)}T00:00Z")
    flown = [0] * school.packs
    for number in range(flights):
        turn, aircraft = divmod(number, school.aircraft)
        day, slot = divmod(turn, A_DAY)
        off = first + day * 1440 + slot * 150 + aircraft % 10
        packs = school.fitted(aircraft, late=off >= middle)
        for pack in packs:
            flown[pack] += 1
        healths = [(pack, 100 - flown[pack] * 0.008) for pack in packs]
        yield _one(draw, number, (aircraft, off), healths, school)


def _one(
    draw: random.Random, number: int, turn: tuple[int, int], packs: list[tuple[int, float]], school: School
) -> Flown:
    """One flight; `turn` is the aeroplane and off blocks, `packs` each with its state of health."""
    aircraft, off = turn
    circuits, away = draw.randrange(2, 7), draw.random() < 0.3
    level = draw.randrange(8, 25) if away else 0
    air = circuits * 6 + level + draw.randrange(3)
    dual = draw.random() < 0.4
    pilot = draw.randrange(school.people)
    instructor = draw.randrange(1 + school.people // 20) if dual else None
    flight = {
        "id": f"B{number:07d}",
        "date": instant_of(off)[:10],
        "aircraft": aircraft + 1,
        "state": "closed",
        "outcome": "flown",
        "off_blocks": instant_of(off),
        "takeoff": instant_of(off + 5),
        "landing": instant_of(off + 5 + air),
        "on_blocks": instant_of(off + 9 + air),
        "place_from": "HOME",
        "place_to": "HOME",
        "pilot": pilot + 1,
        "function": "dual" if dual else "pic",
        "second_person": None if instructor is None or instructor == pilot else instructor + 1,
        "second_function": None if instructor is None or instructor == pilot else "instructor",
        "kind": "local" if away else "circuits",
        "landings_day": circuits,
        "landings_night": 0,
        "circuits": circuits,
        "climb_ft": 1500 if away else 0,
        "level_min": level,
        "aboard": 2 if dual else 1,
        "mass_kg": draw.randrange(480, 600),
        "outside_temp_c": draw.randrange(-5, 30),
        "wind_dir": draw.randrange(0, 360, 10),
        "wind_kt": draw.randrange(18),
        "remarks": draw.choice(_TEXTS),
        "entered_by": "Bench",
    }
    drop = 4 + circuits * 6.2 + level * 1.3 + (4 if away else 0) + draw.gauss(0, 1.5)
    unread = draw.random() < 0.01
    readings, charges = [], []
    for pack, soh in packs:
        left = round(max(97 - drop * (1 + (100 - soh) / 400) + draw.gauss(0, 0.7), 1))
        readings.append(_reading(draw, number, (pack, soh), None if unread else left))
        charges.append(_charge(number, pack, off + air + 15, left, round(2 * drop * 0.12, 1)))
    return Flown(flight, readings, charges)


def _reading(draw: random.Random, number: int, pack: tuple[int, float], left: int | None) -> Row:
    return {
        "flight": number + 1,
        "serial_no": pack[0] + 1,
        "soc_departure_pct": 97,
        "soc_landing_pct": left,
        "soh_pct": round(pack[1]),
        "temp_departure_c": draw.randrange(10, 25),
        "temp_max_c": draw.randrange(30, 49),
        "temp_landing_c": draw.randrange(25, 45),
        "source": "read",
    }


def _charge(number: int, pack: int, started: int, left: int, kwh: float) -> Row:
    return {
        "id": f"C{number:07d}",
        "serial_no": pack + 1,
        "started": instant_of(started),
        "ended": instant_of(started + 45),
        "place": "HOME",
        "charger": "wall",
        "purpose": "full",
        "soc_start_pct": left,
        "soc_end_pct": 97,
        "shared_energy_kwh": kwh,
    }


def _load(book: Book, flown: Iterable[Flown]) -> None:
    inserts: dict[str, Callable[[Iterable[Row]], None]] = {}

    def insert(table: str, rows: list[Row]) -> None:
        if table not in inserts:
            inserts[table] = _insert(book, table, list(rows[0]))
        inserts[table](rows)

    batch: list[Flown] = []
    for one in flown:
        batch.append(one)
        if len(batch) == 5000:
            _put(batch, insert)
            batch.clear()
    if batch:
        _put(batch, insert)


def _put(batch: list[Flown], insert: Callable[[str, list[Row]], None]) -> None:
    insert("flight", [one.flight for one in batch])
    insert("reading", [reading for one in batch for reading in one.readings])
    insert("charge", [charge for one in batch for charge in one.charges])


def _insert(book: Book, table: str, names: list[str]) -> Callable[[Iterable[Row]], None]:
    sql = f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"

    def insert(rows: Iterable[Row]) -> None:
        book.connection.executemany(sql, (tuple(row.values()) for row in rows))

    return insert


def _upkeep(book: Book, flights: int, school: School) -> None:
    """An inspection for each 100 flights, a look at a pack for each 200, a defect for each 500 (one in fifty open)."""
    last = minutes_of(f"{LAST_DAY}T18:00Z")
    span = (flights // (school.aircraft * A_DAY)) * 1440

    def moments(count: int) -> Iterator[tuple[int, str]]:
        return ((n, instant_of(last - span * (count - n) // (count + 1))) for n in range(count))

    work: list[Row] = [
        {
            "id": f"M{n:06d}",
            "aircraft": n % school.aircraft + 1,
            "work": f"{50 * (n // school.aircraft % 4 + 1)} h inspection",
            "text": "as the maintenance programme says",
            "completed": at,
            "next_due_date": str(LAST_DAY + timedelta(days=n % 300 - 20)),
        }
        for n, at in moments(max(flights // 100, 4))
    ]
    seen = [
        {"id": f"O{n:06d}", "serial_no": n % school.packs + 1, "at": at, "soc_pct": 60, "temp_max_c": 18}
        for n, at in moments(max(flights // 200, 4))
    ]
    defects = [
        {
            "id": f"D{n:06d}",
            "aircraft": n % school.aircraft + 1,
            "found": at,
            "text": "a light is out",
            "state": "closed" if n % 50 else "open",
            "needs_inspection": 0,
        }
        for n, at in moments(max(flights // 500, 2))
    ]
    for table, rows in (("maintenance", work), ("observation", seen), ("defect", defects)):
        _insert(book, table, list(rows[0]))(rows)


def main() -> None:
    """Makes one book and says how long it took."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("flights", type=int)
    options.add_argument("path", type=Path)
    options.add_argument("--fleet-of", type=int, metavar="N")
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    start = time.perf_counter()
    school = make_book(chosen.path, chosen.flights, fleet_of=chosen.fleet_of, seed=chosen.seed)
    sys.stdout.write(
        f"{chosen.flights} flights, {school.aircraft} aeroplanes, {school.packs} packs, {school.people} people: "
        f"{time.perf_counter() - start:.1f} s, {chosen.path.stat().st_size / 1e6:.1f} MB\n"
    )


if __name__ == "__main__":
    main()
