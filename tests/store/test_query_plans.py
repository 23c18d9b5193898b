"""What screens and saves ask is answered by an index: no question of theirs reads every flight, reading or charge."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from logbook.services.add import add
from logbook.services.correct import correct, strike
from logbook.services.desk import Desk
from logbook.services.flight_rows import FlightRows
from logbook.services.questions import list_flights, list_records, show
from logbook.services.today import today
from logbook.store.attention import Attention
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from logbook.store.pack_sweep import PackSweep
from logbook.store.people_alike import flights_alike
from logbook.store.seen_limits import beyond_limits
from logbook.store.triggers import trigger_statements
from tests.bench.counting import asked
from tests.bench.make_book import NOW, make_book
from tests.bench.parts_services import _charge, _flight

LONG = {
    "flight",
    "reading",
    "crew",
    "phase",
    "charge",
    "version",
    "pack_event",
    "flight_index",
    "flight_flag",
}
"""Tables that grow with the record."""
SHORT_INDEXES = {"flight_open", "flight_struck", "flight_index_unread"}
"""Indexes that hold a few of the rows; reading one of them whole is meant."""


@pytest.fixture(scope="module")
def path(tmp_path_factory) -> Path:
    """A book of 300 flights; SQLite chooses without statistics, so that it chooses the same in a large book."""
    made = tmp_path_factory.mktemp("plans") / "book.logbook"
    make_book(made, 300)
    return made


@pytest.fixture
def book(path, tmp_path) -> Iterator[Book]:
    copy = tmp_path / "copy.logbook"
    copy.write_bytes(path.read_bytes())
    with Book.open(copy) as opened:
        yield opened


def full_scans(book: Book, work: Callable[[], object]) -> list[str]:
    """Steps of the plans of all statements of some work that read a long table from end to end."""
    with asked(book) as statements:
        work()
    assert statements
    found = []
    for sql, parameters in dict(statements).items():
        if not re.match(r"\s*(SELECT|INSERT|UPDATE|DELETE|WITH)\b", sql) or "IN ()" in sql:
            continue  # of nothing, nothing is read, whatever the plan says
        names = {alias or table: table for table, alias in _TABLES.findall(sql)}
        for *_, step in book.connection.execute(f"EXPLAIN QUERY PLAN {sql}", parameters).fetchall():
            scan = re.match(r"SCAN (\w+)(?: USING (?:COVERING )?INDEX (\w+))?", step)
            if scan is None or names.get(scan[1], scan[1]) not in LONG or scan[2] in SHORT_INDEXES:
                continue
            if scan[2] and re.search(r"LIMIT (\d+|\?)|EXISTS", sql):
                continue  # stops after so many rows, in the order of the index
            found.append(f"{step}: {' '.join(sql.split())}")
    return found


_TABLES = re.compile(
    r"(?:FROM|JOIN)\s+(\w+)(?:\s+(?:AS\s+)?(?!WHERE|ORDER|JOIN|LEFT|ON|CROSS|SET|USING|LIMIT|GROUP|NOT)(\w+))?"
)


def _page(wanted: FlightFilter, order: str = "date") -> Callable[[Book], object]:
    def ask(book: Book) -> object:
        rows = FlightRows(book)
        assert rows.at_once(wanted, order)
        return rows.rows(rows.ids(wanted._replace(limit=128), order)[:64].tolist())

    return ask


def _form(book: Book) -> object:
    desk = Desk(book, clock=lambda: NOW)
    return desk.flight_form(desk.begin_flight("X-B001"))


QUESTIONS: dict[str, Callable[[Book], object]] = {
    "today": lambda book: today(book, NOW),
    "newest flights": _page(FlightFilter()),
    "flights of an aeroplane": _page(FlightFilter(aircraft="X-B001")),
    "flights by aeroplane": _page(FlightFilter(), "aircraft"),
    "flights of a person": _page(FlightFilter(person="Pilot 0001")),
    "flights of a pack": _page(FlightFilter(pack="PK0001")),
    "what a few people flew": lambda book: list(flights_alike(book, ["Pilot 0001", "Pilot 0002"])),
    "flights of a month": _page(FlightFilter(since="2026-06-01", until="2026-06-30")),
    "flights with any flag": _page(FlightFilter(flag="any")),
    "flights with one flag by date": _page(FlightFilter(flag="readings_missing", since="2026-05-01")),
    "packs that were too hot": lambda book: Attention(book).overheated(NOW, "B0000150"),
    "packs seen beyond a limit": lambda book: beyond_limits(book, NOW),
    "flights struck out": _page(FlightFilter(struck=True)),
    "flights with one flag": lambda book: list(list_flights(book, FlightFilter(flag="readings_missing"))),
    "one flight": lambda book: show(book, "flight", "B0000150"),
    "one charge": lambda book: show(book, "charge", "C0000150"),
    "newest charges": lambda book: list(list_records(book, "charge", FlightFilter(limit=10))),
    "open flights": lambda book: BookFacts(book).open_flights(),
    "last flight": lambda book: BookFacts(book).last_flight("X-B001"),
    "last reading": lambda book: BookFacts(book).last_reading("PK0001"),
    "a form": _form,
    "save a flight": lambda book: add(book, "flight", _flight(1)),
    "save a charge": lambda book: add(book, "charge", _charge(1)),
    "correct a flight": lambda book: correct(
        book, "flight", "B0000150", {"landings_day": 9}, why="miscounted"
    ),
    "correct its readings": lambda book: correct(
        book, "flight", "B0000150", {"PK0000.soc_landing_pct": 44}, why="misread"
    ),
    "strike a flight": lambda book: strike(book, "flight", "B0000150", by=None, why="entered twice"),
}


@pytest.mark.parametrize("what", QUESTIONS)
def test_no_question_of_a_screen_or_a_save_reads_a_long_table_from_end_to_end(book, what) -> None:
    assert full_scans(book, lambda: QUESTIONS[what](book)) == []


def plan_of(book: Book, work: Callable[[], object], table: str) -> list[str]:
    """The steps of the plans of the statements of some work that name a table."""
    with asked(book) as statements:
        work()
    return [
        step
        for sql, parameters in statements
        if table in sql
        for *_, step in book.connection.execute(f"EXPLAIN QUERY PLAN {sql}", parameters).fetchall()
    ]


def test_packs_that_were_too_hot_are_found_by_one_look_for_each_pack_however_many_flags_there_are(
    book,
) -> None:
    steps = plan_of(book, lambda: Attention(book).overheated(NOW), "temperature_limit")
    assert "SCAN p" in steps  # every pack, and of each:
    assert "SEARCH g USING INDEX flight_flag_hot (pack=? AND off_blocks=?)" in steps
    assert "SEARCH x USING INDEX flight_flag_hot (pack=? AND off_blocks<?)" in steps
    assert "SEARCH m USING INDEX maintenance_of_pack (serial_no=? AND completed<?)" in steps


def test_observations_since_the_last_entry_are_all_that_is_looked_through_for_packs_beyond_a_limit(
    book,
) -> None:
    steps = plan_of(book, lambda: beyond_limits(book, NOW), "insulation_limit_mohm")
    assert "SEARCH o USING INDEX observation_by_pack (serial_no=? AND at>? AND at<?)" in steps
    assert "SEARCH m USING INDEX maintenance_of_pack (serial_no=? AND completed<?)" in steps


@pytest.mark.parametrize("count", [1, 2, 60])
def test_what_happened_of_late_to_packs_is_found_without_what_happened_before(book, count) -> None:
    known = [row[0] for row in book.connection.execute("SELECT serial_no FROM pack").fetchall()]
    with asked(book) as statements:
        sweep = PackSweep(book, (known * count)[:count], since="2026-06-29T00:00Z")
        list(sweep.flights())
        list(sweep.charges())
    lives = [(sql, values) for sql, values in statements if "pack_event" in sql]
    assert len(lives) == 2
    for sql, values in lives:
        plan = [step for *_, step in book.connection.execute(f"EXPLAIN QUERY PLAN {sql}", values).fetchall()]
        assert "SEARCH e USING PRIMARY KEY (pack=? AND at>? AND at<?)" in plan


def test_the_first_flights_with_flags_are_found_without_the_others(book) -> None:
    lists = FlightRows(book)
    any_flag = plan_of(book, lambda: lists.ids(FlightFilter(flag="any", limit=128)), "flight_index")
    assert any_flag.count("SEARCH flight_index USING COVERING INDEX flight_index_worst (worst=?)") == 3
    one_flag = FlightFilter(flag="readings_missing", limit=128)
    one = plan_of(book, lambda: lists.ids(one_flag), "flight_flag")
    assert "SEARCH flight_flag USING COVERING INDEX flight_flag_by_rule (rule=?)" in one
    assert sum("TEMP B-TREE" in step for step in one) <= 1  # of the few that were found


def test_a_full_scan_would_be_seen(book) -> None:
    sql = "SELECT count(*) FROM flight f JOIN reading r ON r.flight = f.n WHERE f.remarks LIKE '%x%'"
    assert len(full_scans(book, lambda: book.connection.execute(sql).fetchall())) == 1


ROWS = {"flight": 1, "reading": 1, "charge": 1, "crew": 0, "pack_event": 0}
_SELECTS = re.compile(r"(?:SELECT|DELETE FROM person_total)\b.*?(?=;|\s+ON CONFLICT)", re.DOTALL)


def test_the_triggers_of_new_rows_find_what_they_look_for_by_index(book) -> None:
    run = book.connection.execute
    seen = 0
    for statement in trigger_statements(book.connection):
        table = re.search(r"\bON (\w+)\b", statement)
        if table is None or table[1] not in ROWS or "INSERT ON" not in statement:
            continue
        values = dict(zip([row[1] for row in run(f"PRAGMA table_info({table[1]})")], run(f"SELECT * FROM {table[1]} LIMIT 1").fetchone() or (), strict=False))  # fmt: skip
        for select in _SELECTS.findall(statement.partition("BEGIN")[2]):
            filled = re.sub(r"\bNEW\.\"?(\w+)\"?", lambda name, row=values: f":{name[1]}" if name[1] in row else "NULL", select)  # fmt: skip
            if "RAISE" in filled:
                continue
            names = {alias or name: name for name, alias in _TABLES.findall(filled)}
            for *_, step in run(f"EXPLAIN QUERY PLAN {filled}", values).fetchall():
                scan = re.match(r"SCAN (\w+)", step)
                assert scan is None or names.get(scan[1], scan[1]) not in LONG, f"{step}: {filled}"
                seen += 1
    assert seen > 10
