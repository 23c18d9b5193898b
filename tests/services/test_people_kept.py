"""Totals of people are kept in the book: whatever is written, by whatever tool, they equal what each flight says by itself.

More sequences than in the normal run: `LOGBOOK_EXAMPLES=300 pytest tests/services/test_people_kept.py`.
"""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from logbook.services import people_kept
from logbook.services.answer import answer
from logbook.services.check import check, mend
from logbook.services.correct import correct, strike
from logbook.services.export_book import export_package
from logbook.services.forget import forget
from logbook.services.import_book import import_package
from logbook.services.people_kept import EDITION, fresh_sums, people_sums
from logbook.services.people_list import people_lines
from logbook.store.database import Book
from logbook.store.kept_people import PeopleTotals, PersonSums
from logbook.store.people_alike import flights_alike
from logbook.units import instant_of, minutes_of
from tests.club import ADA, BEN, CLEO, MOSS, P1, P3, VOLT, club_book, flight, flight_at, put, reading

START = minutes_of("2031-05-09T06:00Z")
FUNCTIONS = (None, "pic", "dual", "instructor", "solo", "picus", "copilot")
OUTCOMES = ("flown", "ground-run", "aborted", "rejected", "device")
PEOPLE = st.sampled_from([1, 2, 3])
ANYBODY = st.sampled_from([None, 1, 2, 3])
COUNTS = st.sampled_from([None, 0, 1, 3])
WHICH = st.integers(0, 50)


@pytest.fixture
def worth(monkeypatch) -> None:
    """Keeps totals of however short a record."""
    monkeypatch.setattr(people_kept, "WORTH", 0)


class Records(RuleBasedStateMachine):
    """Rows written by SQL alone, as other tools may write them: nothing but the triggers watches."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="people-"))
        self.count = 0
        self.flights: list[int] = []
        self.signatures: list[int] = []

    @initialize()
    def settle(self) -> None:
        path = self.folder / "book.logbook"
        if not TEMPLATE:
            TEMPLATE.append(Path(tempfile.mkdtemp(prefix="people-")) / "club.logbook")
            club_book(TEMPLATE[0]).close()
        shutil.copyfile(TEMPLATE[0], path)
        self.book = Book.open(path)

    def teardown(self) -> None:
        if hasattr(self, "book"):
            self.book.close()
        shutil.rmtree(self.folder, ignore_errors=True)

    def run(self, sql: str, *values: object) -> int:
        return int(self.book.connection.execute(sql, values).lastrowid or 0)

    def one(self, which: int) -> int:
        return self.flights[which % len(self.flights)]

    @rule(
        length=st.sampled_from([10, 40, 0]),
        outcome=st.sampled_from(["flown", "flown", "flown", *OUTCOMES]),
        people=st.tuples(ANYBODY, ANYBODY, ANYBODY),
        functions=st.one_of(
            st.just(("dual", "instructor")),
            st.tuples(st.sampled_from(FUNCTIONS), st.sampled_from(FUNCTIONS)),
        ),
        landings=st.tuples(COUNTS, COUNTS),
        flags=st.sampled_from([0, 2]),
    )
    def fly(self, length, outcome, people, functions, landings, flags) -> None:  # noqa: PLR0917 - one for each thing that differs
        self.count += 1
        off = START + 60 * self.count
        values = [f"F{self.count}", instant_of(off)[:10], outcome, instant_of(off)]
        values += [None if self.count % 7 == 0 else instant_of(off + length), *people, *functions, *landings]
        n = self.run(
            """INSERT INTO flight (id, date, aircraft, state, outcome, off_blocks, on_blocks, pilot, second_person, handled_by,
                function, second_function, landings_day, landings_night) VALUES (?, ?, 1, 'closed', ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
            *values,
        )
        self.flights.append(n)
        self.index(n, flags)

    def index(self, flight: int, flags: int) -> None:
        self.run("DELETE FROM flight_index WHERE flight = ?", flight)
        self.run(
            "INSERT INTO flight_index (flight, open_flags, date, unread) VALUES (?, ?, '2031-05-09', 0)",
            flight,
            flags,
        )

    @precondition(lambda self: self.flights)
    @rule(which=WHICH, flags=st.sampled_from([0, 1]))
    def judge(self, which, flags) -> None:
        self.index(self.one(which), flags)

    @precondition(lambda self: self.flights)
    @rule(
        which=WHICH,
        change=st.one_of(
            st.tuples(st.just("struck"), st.sampled_from([0, 1])),
            st.tuples(st.just("state"), st.sampled_from(["open", "closed"])),
            st.tuples(st.just("outcome"), st.sampled_from(OUTCOMES)),
            st.tuples(st.just("pilot"), ANYBODY),
            st.tuples(st.just("second_person"), ANYBODY),
            st.tuples(st.just("handled_by"), ANYBODY),
            st.tuples(st.just("safety_pilot"), ANYBODY),
            st.tuples(st.just("function"), st.sampled_from(FUNCTIONS)),
            st.tuples(st.just("second_function"), st.sampled_from(FUNCTIONS)),
            st.tuples(st.just("landings_day"), COUNTS),
            st.tuples(st.just("landings_night"), COUNTS),
            st.tuples(st.just("on_blocks"), st.sampled_from([None, "2031-05-12T00:00Z"])),
            st.tuples(st.just("date"), st.sampled_from(["2031-05-08", "2031-05-20"])),
        ),
    )
    def correct(self, which, change) -> None:
        self.run(f"UPDATE flight SET {change[0]} = ? WHERE n = ?", change[1], self.one(which))

    @precondition(lambda self: self.flights)
    @rule(
        which=WHICH,
        person=PEOPLE,
        function=st.sampled_from(FUNCTIONS),
        handled=st.sampled_from([0, 1]),
        landings=COUNTS,
    )
    def write_crew(self, which, person, function, handled, landings) -> None:
        n = self.one(which)
        values = (function, handled, landings, n, person)
        if self.book.connection.execute(
            "SELECT 1 FROM crew WHERE flight = ? AND person = ?", (n, person)
        ).fetchone():
            self.run(
                "UPDATE crew SET function = ?, handled = ?, landings_day = ? WHERE flight = ? AND person = ?",
                *values,
            )
        else:
            self.run(
                "INSERT INTO crew (function, handled, landings_day, flight, person) VALUES (?, ?, ?, ?, ?)",
                *values,
            )

    @precondition(lambda self: self.flights)
    @rule(which=WHICH, who=st.sampled_from([ADA, BEN, CLEO]))
    def sign(self, which, who) -> None:
        self.count += 1
        (flight_id,) = self.book.connection.execute(
            "SELECT id FROM flight WHERE n = ?", (self.one(which),)
        ).fetchone()
        n = self.run(
            """INSERT INTO signature (id, flight_id, person, fingerprint, signed_at, payload, signature)
                VALUES (?, ?, ?, 'x', '2031-06-01T00:00Z', 'x', 'x')""",
            f"S{self.count}",
            flight_id,
            who,
        )
        self.signatures.append(n)

    @rule(people=st.permutations([1, 2, 3]), who=st.sampled_from([ADA, BEN, CLEO]))
    def teach_and_sign(self, people, who) -> None:
        """A lesson, at whose totals somebody looks before it is signed."""
        self.fly(40, "flown", people, ("dual", "instructor"), (1, 0), 0)
        self.what_is_kept_equals_what_each_flight_says()
        self.sign(-1, who)

    @precondition(lambda self: self.signatures)
    @rule(which=WHICH, struck=st.sampled_from([0, 1]))
    def withdraw(self, which, struck) -> None:
        self.run(
            "UPDATE signature SET struck = ? WHERE n = ?",
            struck,
            self.signatures[which % len(self.signatures)],
        )

    @rule(
        person=PEOPLE,
        change=st.sampled_from(
            [("struck", 0), ("struck", 1), ("person", "another"), ("brought_forward_total_min", 600)]
        ),
    )
    def restate_person(self, person, change) -> None:
        column, value = change
        if column == "person":
            self.count += 1
            value = f"Somebody {self.count}"
        self.run(f"UPDATE person SET {column} = ? WHERE n = ?", value, person)
        self.book.keys.forget()

    @invariant()
    def what_is_kept_equals_what_each_flight_says(self) -> None:
        if hasattr(self, "book"):
            fresh = fresh_sums(self.book)
            with patch.object(people_kept, "WORTH", 0):
                assert people_sums(self.book) == fresh
            assert (
                PeopleTotals(self.book).read(EDITION) == fresh
            )  # everybody is kept now, until the next change
            with patch.object(people_kept, "_FEW", 0), patch.object(PeopleTotals, "read", lambda *_: {}):
                assert people_sums(self.book) == fresh  # all flights read, instead of those of a few people


TEMPLATE: list[Path] = []
EXAMPLES = int(os.environ.get("LOGBOOK_EXAMPLES", "20"))
TestAnySequence = Records.TestCase
TestAnySequence.settings = settings(
    max_examples=EXAMPLES, stateful_step_count=25, deadline=None, suppress_health_check=list(HealthCheck)
)


def lesson(flight_id: str, hour: int = 9, **changes):
    """A flight of a student with an instructor."""
    return flight_at(
        hour,
        flight_id,
        pilot=BEN,
        function="dual",
        second_person=ADA,
        second_function="instructor",
        **changes,
    )


@pytest.mark.usefixtures("worth")
def test_a_lesson_counts_for_the_student_and_for_the_one_who_taught(book) -> None:
    put(book, "flight", lesson("L1", landings_day=4))
    sums = people_sums(book)
    assert sums[BEN] == PersonSums("2031-05-09", 40, 0, 40, 0, 4, 0, 1, 0)
    assert sums[ADA] == PersonSums("2031-05-09", 40, 40, 0, 0, 0, 0, 0, 1)
    assert sums[CLEO] == PersonSums()


@pytest.mark.usefixtures("worth")
def test_a_save_throws_away_the_totals_of_those_aboard_and_of_no_others(book) -> None:
    put(book, "flight", lesson("L1"))
    people_sums(book)
    put(book, "flight", flight_at(12, "F2", pilot=CLEO, aircraft=VOLT, readings=[reading(P3)]))
    assert set(PeopleTotals(book).read(EDITION)) == {ADA, BEN}
    people_sums(book)
    correct(book, "flight", "L1", {"remarks": "gusty", "place_to": MOSS}, why="forgotten")
    assert set(PeopleTotals(book).read(EDITION)) == {ADA, BEN, CLEO}
    correct(book, "flight", "L1", {"landings_day": 2}, why="miscounted")
    assert set(PeopleTotals(book).read(EDITION)) == {CLEO}


@pytest.mark.usefixtures("worth")
def test_an_answered_flag_leaves_the_list(book) -> None:
    put(book, "flight", flight("F1", pilot=CLEO, readings=[reading(P1, temp_max_c=60)]))
    before = people_sums(book)[CLEO].open_flags
    answer(book, "F1", "temperature_limit", "looked into", serial_no=P1, by=ADA)
    assert people_sums(book)[CLEO].open_flags == before - 1
    assert people_sums(book) == fresh_sums(book)


@pytest.mark.usefixtures("worth")
def test_a_kept_list_is_read_without_the_flights(book) -> None:
    put(book, "flight", lesson("L1"))
    found = people_lines(book, "2031-06-01")
    with patch.object(people_kept, "flights_alike", side_effect=AssertionError("flights were read")):
        assert people_lines(book, "2031-06-01") == found


def test_flights_that_were_alike_come_as_one_row_however_many(book) -> None:
    for day in range(10, 20):
        put(book, "flight", lesson(f"L{day}", day=f"2031-05-{day}"))
    (row,) = flights_alike(book)
    assert (row.flights, row.minutes, row.last, row.flight["landings_day"]) == (10, 400, "2031-05-19", 10)


def test_what_a_look_summed_up_anew_is_kept_for_the_next(book) -> None:
    with patch.object(people_kept, "WORTH", 0):
        people_sums(book)
    put(book, "flight", lesson("L1"))
    found = people_sums(book)
    with patch.object(people_kept, "flights_alike", side_effect=AssertionError("flights were read")):
        assert people_sums(book) == found == fresh_sums(book)


def test_looking_at_a_short_record_writes_nothing(book) -> None:
    put(book, "flight", lesson("L1"))
    before = book.path.read_bytes()
    people_sums(book)
    assert book.path.read_bytes() == before


@pytest.mark.usefixtures("worth")
def test_a_book_that_can_only_be_read_gives_the_same_list(book) -> None:
    put(book, "flight", lesson("L1"))
    with Book.open(book.path, readonly=True) as reader:
        assert people_sums(reader) == fresh_sums(book)
    assert PeopleTotals(book).read(EDITION) == {}


@pytest.mark.usefixtures("worth")
def test_nothing_is_kept_of_a_record_that_changed_while_it_was_summed_up(book) -> None:
    totals = PeopleTotals(book)
    with Book.open(book.path) as other:
        put(other, "flight", lesson("L1"))
    assert totals.write(EDITION, {ADA: PersonSums()}) is False
    assert PeopleTotals(book).read(EDITION) == {}


@pytest.mark.usefixtures("worth")
def test_a_wrong_total_is_found_by_check_and_thrown_away_by_mend(book) -> None:
    put(book, "flight", lesson("L1"))
    people_sums(book)
    assert check(book) == []
    book.connection.execute("UPDATE person_total SET landings = landings + 1 WHERE person = 1")
    assert [finding.what for finding in check(book)] == ["Derived figures differ from a fresh computation."]
    mend(book)
    assert check(book) == []
    assert PeopleTotals(book).read(EDITION) == {}


@pytest.mark.usefixtures("worth")
def test_totals_of_another_edition_do_not_count(book, monkeypatch) -> None:
    people_sums(book)
    monkeypatch.setattr(people_kept, "EDITION", EDITION + 1)
    with patch.object(people_kept, "flights_alike", return_value=()) as asked:
        people_sums(book)
    assert asked.called


@pytest.mark.usefixtures("worth")
def test_a_large_import_throws_away_what_was_kept(book, tmp_path) -> None:
    put(book, "flight", lesson("L1"))
    package = tmp_path / "out.zip"
    export_package(book, package)
    with club_book(tmp_path / "other.logbook") as other:
        people_sums(other)
        with patch("logbook.services.import_book._MANY_BYTES", 0):
            import_package(other, package)
        assert people_sums(other) == fresh_sums(book)
        assert check(other) == []


@pytest.mark.usefixtures("worth")
def test_after_somebody_is_forgotten_and_a_flight_struck_out_the_list_agrees(book) -> None:
    put(book, "flight", [lesson("L1"), lesson("L2", 11)])
    people_sums(book)
    forget(book, ADA, "Instructor 1", "asked for it", by=CLEO)
    assert people_sums(book) == fresh_sums(book)
    strike(book, "flight", "L2", why="entered twice")
    assert people_sums(book) == fresh_sums(book)
    assert people_sums(book)["Instructor 1"].to_sign == 1


def test_every_column_of_a_flight_that_is_summed_up_is_watched(book) -> None:
    columns = {row[1] for row in book.connection.execute("PRAGMA table_info(flight)")}
    (sql,) = book.connection.execute(
        "SELECT sql FROM sqlite_master WHERE name = 'flight_person_update'"
    ).fetchone()
    watched = set(re.findall(r"\w+", sql.partition("OF")[2].partition(" ON ")[0]))
    from logbook.store.people_alike import _ALIKE

    read = set(re.findall(r"\bf\.(\w+)", _ALIKE)) - {"n", "id"}  # an id and a number never change
    assert read == watched
    assert watched <= columns
