"""What is measured of work over the whole record: people, packs, estimates, care, packages. Each floor reads the same rows."""

from __future__ import annotations

import random
import shutil
import tempfile
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import rainflow as library

from logbook.energy.rainflow import count_cycles
from logbook.services.check import check
from logbook.services.estimates import capacity_of, forecasts_of, rates_of
from logbook.services.export_book import export_package
from logbook.services.import_book import import_package
from logbook.services.pack_status import pack_rows
from logbook.services.people import totals_of
from logbook.services.recency import recency_of
from logbook.services.year_paper import year_paper
from logbook.store.backup import back_up
from logbook.store.database import Book
from logbook.store.kept_totals import PackTotals
from tests.bench.many_flights import write_package
from tests.bench.measuring import Figure, by_turns, once
from tests.bench.package_speed import bare_load

Books = dict[int, Path]
Ask = Callable[[Book], object]
_PEOPLE_ROWS = """SELECT id, date, outcome, off_blocks, takeoff, landing, on_blocks, place_from, place_to, function,
    second_function, kind, landings_day, landings_night, landings_night_full_stop, exercise, remarks, aircraft, pilot,
    second_person, handled_by FROM flight WHERE struck = 0 ORDER BY off_blocks"""
_PACK_ROWS = """SELECT e.pack, f.id, f.off_blocks, f.on_blocks, r.soc_departure_pct, r.soc_landing_pct, r.soh_pct,
    r.temp_departure_c, r.temp_max_c, r.temp_landing_c FROM pack_event e JOIN flight f ON f.n = e.n
    JOIN reading r ON r.flight = f.n AND r.serial_no = e.pack WHERE e.what = 'flight' ORDER BY e.pack, e.at"""
_CHARGE_ROWS = """SELECT e.pack, c.id, c.started, c.ended, c.soc_start_pct, c.soc_end_pct, c.temp_start_c, c.temp_end_c
    FROM pack_event e JOIN charge c ON c.n = e.n WHERE e.what = 'charge' ORDER BY e.pack, e.at"""
_ONE_AEROPLANE = """SELECT f.*, r.* FROM flight f JOIN reading r ON r.flight = f.n WHERE f.struck = 0
    AND f.aircraft = 2 ORDER BY f.off_blocks"""


def _bare(*sqls: str) -> Ask:
    return lambda book: [book.connection.execute(sql).fetchall() for sql in sqls]


def _beside(books: Books, floor: tuple[str, Ask], asked: dict[str, tuple[Ask, float | None]]) -> list[Figure]:
    """Each question against a floor, once at each size, the floor right beside it."""
    words, bare = floor
    found = []
    with ExitStack() as stack:
        opened = {size: stack.enter_context(Book.open(path)) for size, path in books.items()}
        for what, (ask, goal) in asked.items():
            floors, times = {}, {}
            for size, book in opened.items():
                works = {"bare": lambda book=book: bare(book), "ours": lambda book=book, ask=ask: ask(book)}
                took = by_turns(works, 5 if size <= 1000 else 1)
                floors[size], times[size] = took["bare"], took["ours"]
            found.append(Figure(what, words, floors, times, goal, batch=True))
    return found


def people(books: Books) -> list[Figure]:
    """Totals and recency."""
    return _beside(
        books,
        ("a bare SELECT of all flights", _bare(_PEOPLE_ROWS)),
        {
            "totals of one person": (lambda book: totals_of(book, "Pilot 0001"), None),
            "recency of one person": (lambda book: recency_of(book, "Pilot 0001", "2026-06-30"), None),
        },
    )


def packs(books: Books) -> list[Figure]:
    """The table of the fleet, with hours, cycles, energy, limits, as of the last day: from the record, and from kept totals."""
    floor = "a bare SELECT of the readings and charges it reads", _bare(_PACK_ROWS, _CHARGE_ROWS)
    with tempfile.TemporaryDirectory() as scratch:
        fresh, kept = {}, {}
        for size, path in books.items():
            if size > 100_000:
                continue  # a million is in the table of packs on screen
            fresh[size], kept[size] = Path(scratch) / f"fresh-{size}", Path(scratch) / f"kept-{size}"
            shutil.copyfile(path, fresh[size])
            with Book.open(fresh[size]) as book, book.writing():
                PackTotals(book).clear()
            shutil.copyfile(fresh[size], kept[size])
            with Book.open(kept[size]) as book:
                pack_rows(book)  # keeps them, where there is enough to be worth it
        export: Ask = lambda book: pack_rows(book, "2026-06-30")  # noqa: E731
        return _beside(fresh, floor, {"export packs, nothing kept": (export, 3.0)}) + _beside(
            kept, floor, {"export packs, totals kept": (export, 3.0)}
        )


def year(books: Books) -> list[Figure]:
    """The report of a year, with the digest of all it rests on; every flight of the book is behind it."""
    return _beside(
        {size: path for size, path in books.items() if size <= 10_000},
        ("a bare SELECT of the readings and charges it reads", _bare(_PACK_ROWS, _CHARGE_ROWS)),
        {"paper of a year": (lambda book: year_paper(book, "2026"), None)},
    )


def estimates(books: Books) -> list[Figure]:
    """Rates, capacity and hindcasts of one aeroplane; the number of its flights is a twentieth of the book's."""
    return _beside(
        {size: path for size, path in books.items() if size <= 100_000},
        ("a bare SELECT of its flights and readings", _bare(_ONE_AEROPLANE)),
        {
            "rates of one aeroplane": (lambda book: rates_of(book, "X-B001"), None),
            "capacity of one pack": (lambda book: capacity_of(book, "PK0002"), None),
            "forecasts of one aeroplane": (lambda book: forecasts_of(book, "X-B001"), None),
        },
    )


def rainflow(_: Books) -> list[Figure]:
    """Cycles by depth beside the common library, over so many charges and discharges."""
    draw = random.Random(20)  # noqa: S311 - repeatable chance is wanted
    floors, times = {}, {}
    for points in (100, 10_000, 100_000):
        line = [draw.choice((100, 98, 90)) if n % 2 == 0 else draw.randint(25, 70) for n in range(points)]
        took = by_turns(
            {
                "library": lambda line=line: list(library.count_cycles(line)),
                "ours": lambda line=line: count_cycles(line),
            },
            5,
        )
        floors[points], times[points] = took["library"], took["ours"]
    return [Figure("rainflow of so many points", "the library rainflow", floors, times, 1.0, batch=True)]


def care(books: Books) -> list[Figure]:
    """Backup and check."""
    backups, checks = ({}, {}), ({}, {})
    whole = _bare("PRAGMA integrity_check", "PRAGMA foreign_key_check")
    for size, path in books.items():
        with Book.open(path) as book:
            checks[0][size] = once(lambda book=book: whole(book))
            checks[1][size] = once(lambda book=book: check(book))
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / "plain"
            copied = once(lambda path=path, copy=copy: shutil.copyfile(path, copy))
            backups[0][size] = copied + checks[0][size]
            backups[1][size] = once(
                lambda path=path, folder=folder: back_up(path, Path(folder) / "backup.logbook")
            )
    return [
        Figure("backup, verified", "a copy and SQLite's own two checks", *backups, batch=True),
        Figure("check, every figure computed anew", "SQLite's own two checks", *checks, batch=True),
    ]


def package(books: Books) -> list[Figure]:
    """A package in and out, against a load of the same files into untyped tables."""
    floors: dict[int, float] = {}
    taken: dict[int, float] = {}
    given: dict[int, float] = {}
    for size in (size for size in books if size <= 100_000):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            write_package(folder / "package", size)
            floors[size] = once(lambda folder=folder: bare_load(folder / "package", folder / "bare.db"))
            with Book.open(folder / "book.logbook", create=True) as book:
                taken[size] = once(lambda book=book, folder=folder: import_package(book, folder / "package"))
                given[size] = once(lambda book=book, folder=folder: export_package(book, folder / "out.zip"))
    floor = "the same files into untyped tables"
    return [
        Figure("package in", floor, floors, taken, batch=True),
        Figure("package out, zipped", floor, floors, given, batch=True),
    ]
