"""A long book costs a save, a page and Today what a short one costs: counted, not timed, so that any machine can tell."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from typing import NamedTuple

import pytest

from logbook.services import pack_kept
from logbook.services.add import add
from logbook.services.correct import correct
from logbook.services.flagged_charges import flagged_charges
from logbook.services.flight_rows import FlightRows
from logbook.services.pack_status import pack_rows
from logbook.services.questions import list_flights, show
from logbook.services.today import today
from logbook.store import attention
from logbook.store.attention import Attention
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests.bench.counting import Counted, asked, counted
from tests.bench.make_book import NOW, make_book
from tests.bench.parts_services import _charge, _flight

SHORT, LONG, LONGER = 50, 500, 2000


class Books(NamedTuple):
    """Two books of the same fleet that end on the same day."""

    short: Book
    long: Book


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> dict[int, bytes]:
    """The files of the two books."""
    folder = tmp_path_factory.mktemp("counting")
    for flights in (SHORT, LONG):
        make_book(folder / f"{flights}", flights, fleet_of=SHORT)
    return {flights: (folder / f"{flights}").read_bytes() for flights in (SHORT, LONG)}


@pytest.fixture
def books(made, tmp_path) -> Iterator[Books]:
    paths = {flights: tmp_path / f"{flights}.logbook" for flights in made}
    for flights, path in paths.items():
        path.write_bytes(made[flights])
    with Book.open(paths[SHORT]) as short, Book.open(paths[LONG]) as long:
        yield Books(short, long)


def both(books: Books, work: Callable[[Book], object]) -> tuple[Counted, Counted]:
    """What the same work costs in either book; names are known, as which flight brings a new one is chance."""
    for book in books:
        book.keys.look()
        for table in ("aircraft", "pack", "person"):
            book.keys.numbers(table)
    return counted(books.short, lambda: work(books.short)), counted(books.long, lambda: work(books.long))


def newest(book: Book) -> str:
    """The id of the last flight."""
    return next(iter(list_flights(book, FlightFilter(limit=1))))["flight_id"]


def page(book: Book) -> object:
    """One page of Flights as the table reads it."""
    rows = FlightRows(book)
    found = rows.rows(rows.ids(FlightFilter(limit=40)).tolist())
    assert len(found) == 40
    return found


WORK: dict[str, Callable[[Book], object]] = {
    "a page of Flights": page,
    "one flight": lambda book: show(book, "flight", newest(book)),
    "a save": lambda book: add(book, "flight", _flight(1)),
    "a charge saved": lambda book: add(book, "charge", _charge(1)),
}


@pytest.mark.parametrize("what", WORK)
def test_a_book_ten_times_as_long_is_asked_as_often_and_read_as_little(books, what) -> None:
    short, long = both(books, WORK[what])
    assert len(long.statements) == len(short.statements)
    assert abs(long.steps - short.steps) <= 0.02 * short.steps + 2


MOST_ASKED = {"a save": 48, "a charge saved": 58}
"""Statements of the first save in a freshly opened book; later ones know the columns of the tables and ask some ten fewer."""


@pytest.mark.parametrize("what", MOST_ASKED)
def test_a_save_asks_a_known_number_of_questions(books, what) -> None:
    with asked(books.long) as statements:
        WORK[what](books.long)
    assert len(statements) <= MOST_ASKED[what], "\n".join(sql for sql, _ in statements)


@pytest.mark.parametrize("what", MOST_ASKED)
def test_a_save_reads_the_names_it_needs_not_those_of_the_whole_school(books, what) -> None:
    with asked(books.long) as statements:
        WORK[what](books.long)
    named = [sql for sql, _ in statements if re.search(r"FROM (person|pack|aircraft)\b", sql)]
    assert named
    assert [sql for sql in named if not re.search(r"WHERE .*(=|IN \()", sql, re.DOTALL)] == []


def test_a_correction_costs_no_more_in_a_long_book(books) -> None:
    short, long = both(
        books, lambda book: correct(book, "flight", newest(book), {"landings_day": 9}, why="x")
    )
    assert long.steps <= 1.05 * short.steps


def test_packs_after_a_flight_reads_what_came_late_not_the_life_of_the_pack(books, monkeypatch) -> None:
    monkeypatch.setattr(pack_kept, "WORTH", 0)
    monkeypatch.setattr(pack_kept, "LEFT_FOR_LATER", 6)
    for book in books:
        pack_rows(book)
        add(book, "flight", _flight(1))
    short, long = both(books, pack_rows)
    assert len(long.statements) == len(short.statements)
    assert (long.steps - short.steps) * 10 < 2 * (
        LONG - SHORT
    )  # flights flagged as warm are counted in an index


def test_today_asks_as_often_and_counts_the_flagged_no_further_than_it_says(
    books, tmp_path, monkeypatch
) -> None:
    monkeypatch.setattr(attention, "COUNTED", 3)
    make_book(tmp_path / "longer.logbook", LONGER, fleet_of=SHORT)
    with Book.open(tmp_path / "longer.logbook") as longer:
        assert Attention(longer).flagged() == 4
        of_long, of_longer = both(Books(books.long, longer), lambda book: today(book, NOW))
    assert len(of_longer.statements) == len(of_long.statements)
    assert (of_longer.steps - of_long.steps) * 10 < (
        LONGER - LONG
    ) / 2  # half an instruction for each flight more


def test_flags_of_the_newest_charges_are_found_without_going_through_the_others(books, tmp_path) -> None:
    make_book(tmp_path / "longer.logbook", LONGER, fleet_of=SHORT)
    with Book.open(tmp_path / "longer.logbook") as longer:
        of_long, of_longer = both(Books(books.long, longer), flagged_charges)
    assert len(of_longer.statements) == len(of_long.statements)
    assert (of_longer.steps - of_long.steps) * 10 < (LONGER - LONG) / 2


def test_reading_every_flight_would_be_seen(books) -> None:
    short, long = both(
        books, lambda book: book.connection.execute("SELECT sum(mass_kg) FROM flight").fetchall()
    )
    assert long.steps > 8 * short.steps


# -- what is loaded --------------------------------------------------------------------------------------------------

WATCHED = ("textual", "rich", "numpy", "pydantic", "sqlite_utils", "sqlite3", "astral", "cryptography", "dateutil", "gpxpy", "reportlab")  # fmt: skip
_COMMAND = """
import io, sys
from logbook.cli.main import run
shown, sys.stdout = sys.stdout, io.StringIO()
assert run(sys.argv[2:]) == 0
shown.write(" ".join(name for name in sys.argv[1].split(",") if name in sys.modules))
"""
_FIRST_PAINT = """
import asyncio, sys
from pathlib import Path
from logbook.services.desk import Desk
from logbook.ui.app import LogbookApp
async def paint():
    async with LogbookApp(Desk.at(Path(sys.argv[2]))).run_test(size=(140, 40)) as pilot:
        await pilot.pause()
        return [name for name in sys.argv[1].split(",") if name in sys.modules]
print(*asyncio.run(paint()))
"""


def loaded(code: str, *arguments: str) -> set[str]:
    """Which of the watched libraries a fresh process has loaded in the end."""
    done = subprocess.run(
        [sys.executable, "-c", code, ",".join(WATCHED), *arguments],
        capture_output=True,
        text=True,
        check=True,
    )
    return set(done.stdout.split())


def test_the_first_screen_loads_the_screens_and_the_file_and_nothing_else(books) -> None:
    assert loaded(_FIRST_PAINT, str(books.short.path)) == {"textual", "rich", "sqlite3"}


@pytest.mark.parametrize(
    ("arguments", "libraries"),
    [
        (("--version",), set()),
        (("list", "flights", "--limit", "5"), {"sqlite3"}),
        (("list", "charges", "--limit", "5"), {"sqlite3"}),
        (("list", "due"), {"sqlite3"}),
        (("show", "flight", "B0000010"), {"sqlite3"}),
        (("check",), {"sqlite3"}),
        (("recency", "Pilot 0001"), {"sqlite3", "astral", "dateutil"}),
        (("rates", "X-B001"), {"sqlite3", "numpy"}),
        (("strike", "flight", "B0000010", "--why", "entered twice"), {"sqlite3", "pydantic"}),
        (("export", "packs", "--to", "packs.csv"), {"sqlite3", "pydantic"}),
    ],
    ids=lambda value: " ".join(value[:2]) if isinstance(value, tuple) else "",
)  # fmt: skip
def test_a_command_loads_what_it_needs_and_no_more(books, tmp_path, arguments, libraries) -> None:
    arguments = [str(tmp_path / word) if word.endswith(".csv") else word for word in arguments]
    assert loaded(_COMMAND, "--file", str(books.short.path), *arguments) <= libraries
