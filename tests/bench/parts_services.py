"""What is measured inside the program: saves, the screens' questions, pages of Flights."""

from __future__ import annotations

import itertools
import json
import shutil
import sqlite3
import statistics
import tempfile
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from logbook.services.add import add
from logbook.services.desk import Desk
from logbook.services.flagged_charges import flagged_charges
from logbook.services.flight_rows import FlightRows
from logbook.services.freshness import freshen
from logbook.services.today import today
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from logbook.store.kept_people import PeopleTotals
from logbook.store.kept_totals import PackTotals
from logbook.units import instant_of, minutes_of
from tests.bench.make_book import NOW
from tests.bench.measuring import Figure, against_least, by_turns, once

Books = dict[int, Path]
Row = dict[str, Any]
SAVES = 40


def _flight(number: int) -> Row:
    off = minutes_of("2026-07-01T06:00Z") + number * 90
    return {
        "flight_id": f"N{number:06d}",
        "date": instant_of(off)[:10],
        "aircraft": "X-B001",
        "off_blocks": instant_of(off),
        "takeoff": instant_of(off + 5),
        "landing": instant_of(off + 35),
        "on_blocks": instant_of(off + 40),
        "place_from": "HOME",
        "place_to": "HOME",
        "pilot": "Pilot 0001",
        "function": "pic",
        "kind": "circuits",
        "circuits": 5,
        "landings_day": 5,
        "remarks": "circuits, light wind, nothing noted",
        "readings": [
            {"serial_no": pack, "soc_departure_pct": 97, "soc_landing_pct": 60, "soh_pct": 90}
            for pack in ("PK0002", "PK0003")
        ],
    }


def _charge(number: int) -> Row:
    started = minutes_of("2026-07-01T06:50Z") + number * 90
    return {
        "charge_id": f"NC{number:06d}",
        "serial_no": "PK0002",
        "started": instant_of(started),
        "ended": instant_of(started + 30),
        "soc_start_pct": 60,
        "soc_end_pct": 97,
    }


def saves(books: Books) -> list[Figure]:
    """One flight, and one charge, saved as a person does; against a commit of the same bytes by SQLite alone."""
    counter = itertools.count()
    with tempfile.TemporaryDirectory() as scratch, ExitStack() as stack:
        opened: dict[int, Book] = {}
        for size, path in books.items():
            copy = Path(scratch) / path.name
            shutil.copyfile(path, copy)
            opened[size] = stack.enter_context(Book.open(copy))
        bare = _bare_commit(Path(scratch))

        def save(book: Book, kind: str, make: Callable[[int], Row]) -> Callable[[], object]:
            return lambda: add(book, kind, make(next(counter)))

        found = []
        for kind, make in (("flight", _flight), ("charge", _charge)):
            works: dict[int | str, Callable[[], object]] = {
                "bare": lambda: bare(json.dumps(make(next(counter))))  # noqa: B023 - used within the turn
            }
            works |= {size: save(book, kind, make) for size, book in opened.items()}
            times = by_turns(works, SAVES)
            floor = {0: times.pop("bare")}
            sizes = {size: times[size] for size in books}
            goal = 2.5 if kind == "flight" else None
            found.append(Figure(f"save a {kind}", "a bare commit of the same bytes", floor, sizes, goal))
            found.append(against_least(f"save a {kind}", sizes, goal=1.2))
        return found


def _bare_commit(folder: Path) -> Callable[[str], None]:
    connection = sqlite3.connect(folder / "bare.db", isolation_level=None)
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE entry (n INTEGER PRIMARY KEY, was TEXT)")

    def commit(text: str) -> None:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("INSERT INTO entry (was) VALUES (?)", (text,))
        connection.execute("COMMIT")

    return commit


def screens(books: Books) -> list[Figure]:
    """What Today, Packs and People ask for, and what follows Today in a thread; each on a new desk, as after the start of the program."""
    counter = itertools.count()
    with tempfile.TemporaryDirectory() as scratch, ExitStack() as stack:
        opened: dict[int, Book] = {}
        for size, path in books.items():
            copy = Path(scratch) / path.name
            shutil.copyfile(path, copy)
            opened[size] = stack.enter_context(Book.open(copy))
            freshen(opened[size])

        def nothing(_: Book) -> None:
            """Before a question that needs no preparation."""

        def forgotten(book: Book) -> None:
            with book.writing():
                PackTotals(book).clear()
                PeopleTotals(book).clear()

        def flown(book: Book) -> None:
            add(book, "flight", _flight(next(counter)))

        packs = lambda book: _desk(book).packs.lines()  # noqa: E731
        people = lambda book: _desk(book).people.lines()  # noqa: E731
        asked: dict[str, tuple[Callable[[Book], object], Callable[[Book], object], int]] = {
            "Today": (nothing, lambda book: today(book, NOW), 9),
            "flags of charges": (nothing, flagged_charges, 5),
            "Packs, nothing kept": (forgotten, packs, 1),
            "Packs, nothing changed": (nothing, packs, 5),
            "Packs, after a flight": (flown, packs, 5),
            "People, nothing kept": (forgotten, people, 1),
            "People, nothing changed": (nothing, people, 5),
            "People, after a flight": (flown, people, 5),
        }
        found = []
        for words, (before, ask, rounds) in asked.items():
            times = {size: _median_after(book, before, ask, rounds) for size, book in opened.items()}
            batch = words.endswith("nothing kept")
            found.append(against_least(words, times, goal=2.0, batch=batch))
        return found


def _median_after(
    book: Book, before: Callable[[Book], object], ask: Callable[[Book], object], rounds: int
) -> float:
    """Median time of a question [s], each time after something that is not measured."""
    taken = []
    for _ in range(rounds):
        before(book)
        taken.append(once(lambda: ask(book)))
    return statistics.median(taken)


def _desk(book: Book) -> Desk:
    return Desk(book, clock=lambda: NOW)


def pages(books: Books) -> list[Figure]:
    """The first page of Flights however it is narrowed, as the screen asks before it paints."""
    filters = {
        "all": FlightFilter(),
        "one aeroplane": FlightFilter(aircraft="X-B001"),
        "one person": FlightFilter(person="Pilot 0001"),
        "since a day": FlightFilter(since="2026-06-01"),
        "one pack": FlightFilter(pack="PK0001"),
        "one kind": FlightFilter(kind="local"),
        "a text": FlightFilter(text="solo"),
        "a text that is nowhere": FlightFilter(text="zeppelin"),
        "an open flag": FlightFilter(flag="any"),
        "one flag": FlightFilter(flag="readings_missing"),
    }
    orders = ("aircraft", "energy_kwh")
    with ExitStack() as stack:
        rows = {
            size: FlightRows(stack.enter_context(Book.open(path)))
            for size, path in books.items()
            if size > 100
        }

        def page(source: FlightRows, wanted: FlightFilter, order: str = "date") -> Callable[[], object]:
            return lambda: source.rows(source.ids(wanted._replace(limit=128), order)[:64].tolist())

        found = []
        for words, wanted in filters.items():
            times = by_turns({size: page(source, wanted) for size, source in rows.items()}, 15)
            found.append(
                against_least(f"first page of Flights: {words}", {s: times[s] for s in rows}, goal=1.2)
            )
        for order in orders:
            times = by_turns({size: page(source, FlightFilter(), order) for size, source in rows.items()}, 15)
            found.append(
                against_least(f"first page of Flights, by {order}", {s: times[s] for s in rows}, goal=1.2)
            )
        return found
