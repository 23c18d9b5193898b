"""How long a save takes beside a bare SQLite commit, and whether a large book behaves like a small one.

    python -m tests.bench.save_speed [--flights 100000] [--folder FOLDER]

The bare commit writes the same bytes (the flight as JSON) into one table of an SQLite file with the same journal
and `synchronous=FULL`, in the same folder: what the disk asks of anybody. The folder should be on a real disk.
"""

from __future__ import annotations

import argparse
import json
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from logbook.services.add import add
from logbook.services.freshness import freshen
from logbook.services.questions import list_flights
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from logbook.units import instant_of, minutes_of
from tests import club

ROUNDS = 60
FIRST = minutes_of("2025-01-01T06:00Z")


def moment(number: int, minutes: int = 0) -> str:
    """Off blocks of a numbered flight: six a day, both aeroplanes by turns."""
    day, place = divmod(number, 6)
    return instant_of(FIRST + day * 1440 + place * 120 + minutes)


def flight(number: int) -> dict[str, Any]:
    """A flight with two readings, as people enter it."""
    registration, packs = (club.WATT, (club.P1, club.P2)) if number % 2 else (club.VOLT, (club.P3, club.P4))
    return club.flight(
        f"B{number:07d}",
        date=moment(number)[:10],
        aircraft=registration,
        off_blocks=moment(number),
        takeoff=moment(number, 6),
        landing=moment(number, 36),
        on_blocks=moment(number, 40),
        remarks="circuits with a student, light wind, nothing noted",
        readings=[club.reading(pack) for pack in packs],
    )


def build(path: Path, flights: int) -> None:
    """A book of many flights, written by executemany past the services but under the same triggers."""
    with club.club_book(path) as book:
        numbers = {
            table: dict(book.connection.execute(f"SELECT {key}, n FROM {table}").fetchall())
            for table, key in (("aircraft", "registration"), ("pack", "serial_no"), ("person", "person"))
        }
        with book.writing(adding=True):
            book.connection.execute("UPDATE installation SET fitted = '2024-01-01T00:00Z'")
            _insert(book, "flight", _flight_rows(flights, numbers))
            _insert(book, "reading", _reading_rows(flights, numbers))
            _insert(book, "charge", _charge_rows(flights, numbers))
        freshen(book)


def _insert(book: Book, table: str, rows: Iterator[dict[str, Any]]) -> None:
    first = next(rows)
    names = ", ".join(f'"{name}"' for name in first)
    sql = f"INSERT INTO {table} ({names}) VALUES ({', '.join('?' * len(first))})"
    book.connection.execute(sql, tuple(first.values()))
    book.connection.executemany(sql, (tuple(row.values()) for row in rows))


def _flight_rows(flights: int, numbers: dict[str, dict[str, int]]) -> Iterator[dict[str, Any]]:
    for number in range(flights):
        row = flight(number)
        del row["readings"]
        flight_id = row.pop("flight_id")
        yield {
            **row,
            "id": flight_id,
            "n": number + 1,
            "aircraft": numbers["aircraft"][row["aircraft"]],
            "pilot": numbers["person"][row["pilot"]],
            "state": "closed",
            "outcome": "flown",
        }


def _reading_rows(flights: int, numbers: dict[str, dict[str, int]]) -> Iterator[dict[str, Any]]:
    for number in range(flights):
        for reading in flight(number)["readings"]:
            pack = numbers["pack"][reading["serial_no"]]
            yield reading | {"flight": number + 1, "serial_no": pack, "source": "read"}


def _charge_rows(flights: int, numbers: dict[str, dict[str, int]]) -> Iterator[dict[str, Any]]:
    for number in range(flights):
        for reading in flight(number)["readings"]:
            charge = club.charge(f"C{number:07d}", reading["serial_no"], moment(number, 50))
            charge_id = charge.pop("charge_id")
            yield charge | {"id": charge_id, "serial_no": numbers["pack"][reading["serial_no"]]}


def side_by_side_ms(works: dict[str, Callable[[int], object]], rounds: int) -> dict[str, float]:
    """Median time of each [ms], measured by turns, so that whatever else the machine does strikes all alike."""
    times: dict[str, list[float]] = {name: [] for name in works}
    for number in range(rounds):
        for name, work in works.items():
            start = time.perf_counter()
            work(number)
            times[name].append(time.perf_counter() - start)
    return {name: 1000 * statistics.median(taken) for name, taken in times.items()}


def bare_commit(folder: Path) -> Callable[[int], object]:
    """A commit of the same bytes by SQLite alone."""
    connection = sqlite3.connect(folder / "bare.db", isolation_level=None)
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE entry (n INTEGER PRIMARY KEY, was TEXT)")

    def work(number: int) -> None:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("INSERT INTO entry (was) VALUES (?)", (json.dumps(flight(number)),))
        connection.execute("COMMIT")

    return work


def services(name: str, book: Book, flights: int) -> dict[str, Callable[[int], object]]:
    """What the screens ask for."""
    return {
        f"save one flight {name}": lambda number: add(book, "flight", flight(flights + number)),
        f"newest 20 {name}": lambda _: list(list_flights(book, FlightFilter(limit=20))),
    }


def commands(name: str, path: Path, flights: int) -> dict[str, Callable[[int], object]]:
    """The same as processes of their own."""
    call = [sys.executable, "-m", "logbook", "--file", str(path)]
    quiet: dict[str, Any] = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}

    def add_one(number: int) -> None:
        data = json.dumps(flight(flights + ROUNDS + number)).encode()
        subprocess.run([*call, "add", "flight", "-"], input=data, check=True, **quiet)

    return {
        f"logbook list --limit 20 {name}": lambda _: subprocess.run(
            [*call, "list", "flights", "--limit", "20"], check=True, **quiet
        ),
        f"logbook add flight {name}": add_one,
    }


def built(folder: Path, flights: int) -> Path:
    """A book of so many flights; says how long it took and how large it is."""
    path, start = folder / f"{flights}.logbook", time.perf_counter()
    build(path, flights)
    say(
        f"{flights} flights: built in {time.perf_counter() - start:.1f} s, {path.stat().st_size / 1e6:.1f} MB"
    )
    return path


def say(line: str) -> None:
    """One line of the report, at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> None:
    """Builds the two books and prints the figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--flights", type=int, default=100_000)
    options.add_argument(
        "--folder", type=Path, help="where to write (default: the system's temporary folder)"
    )
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory(dir=chosen.folder) as name:
        folder = Path(name)
        sizes = {"at 100": 100, f"at {chosen.flights}": chosen.flights}
        paths = {size: built(folder, flights) for size, flights in sizes.items()}
        works = {"bare commit of the same bytes": bare_commit(folder)}
        books = {size: Book.open(path) for size, path in paths.items()}
        for size, flights in sizes.items():
            works |= services(size, books[size], flights)
        found = side_by_side_ms(works, ROUNDS)
        for book in books.values():
            book.close()
        works = {}
        for size, flights in sizes.items():
            works |= commands(size, paths[size], flights)
        found |= side_by_side_ms(works, 9)
    for what, value in found.items():
        say(f"{what:45} {value:8.2f} ms")
    bare = found["bare commit of the same bytes"]
    for what in [what for what in found if what.endswith("at 100")]:
        large = found[what.replace("at 100", f"at {chosen.flights}")]
        say(
            f"{what.removesuffix(' at 100'):30} x {large / found[what]:.2f} from 100 to {chosen.flights} flights"
        )
    for size in sizes:
        say(f"save against the bare commit {size}: x {found[f'save one flight {size}'] / bare:.2f}")


if __name__ == "__main__":
    main()
