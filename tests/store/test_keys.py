"""Names and their rows: some are looked up one by one, many are read whole, and another program's are noticed."""

from __future__ import annotations

from contextlib import suppress

import pytest

from logbook.errors import DataRefused, FileTrouble
from logbook.services.add import add
from logbook.store.database import Book
from tests.bench.counting import asked


@pytest.fixture
def path(tmp_path):
    made = tmp_path / "book.logbook"
    with Book.open(made, create=True) as book:
        add(book, "person", [{"person": f"Pilot {n:03}"} for n in range(40)])
    return made


def questions(statements) -> list[str]:
    return [sql for sql, _ in statements if "FROM person" in sql]


def test_a_few_names_are_looked_up_one_by_one_and_once(path) -> None:
    with Book.open(path) as book, asked(book) as statements:
        for _ in range(3):
            assert book.keys.name("person", book.keys.number("person", "Pilot 007", "pilot")) == "Pilot 007"
        assert len(questions(statements)) == 1
        assert "WHERE" in questions(statements)[0]


def test_many_names_are_read_whole(path) -> None:
    with Book.open(path) as book, asked(book) as statements:
        rows = [book.keys.number("person", f"Pilot {n:03}", "pilot") for n in range(40)]
        assert len(set(rows)) == 40
        assert len(questions(statements)) < 20


def test_an_unknown_name_is_refused_and_found_once_another_program_has_added_it(path) -> None:
    with Book.open(path) as book, Book.open(path) as other:
        with pytest.raises(DataRefused, match="knows no person 'Newcomer'"):
            book.keys.number("person", "Newcomer", "pilot")
        add(other, "person", {"person": "Newcomer"})
        assert book.keys.name("person", book.keys.number("person", "Newcomer", "pilot")) == "Newcomer"


def test_a_name_of_a_save_that_was_undone_is_not_kept(path) -> None:
    with Book.open(path) as book:
        with suppress(ZeroDivisionError), book.writing():
            book.connection.execute("INSERT INTO person (id, person) VALUES ('x', 'Passing')")
            assert book.keys.find("person", "Passing") is not None
            raise ZeroDivisionError
        assert book.keys.find("person", "Passing") is None


def test_questions_about_one_moment_do_not_see_what_another_program_writes_meanwhile(path) -> None:
    with Book.open(path) as book, Book.open(path) as other:
        with book.reading():
            assert book.connection.execute("SELECT count(*) FROM person").fetchone() == (40,)
            other.connection.execute("PRAGMA busy_timeout=1")
            with pytest.raises(FileTrouble, match="Another program"):
                add(other, "person", {"person": "Newcomer"})
            with book.reading():  # within another: the same moment
                assert book.keys.find("person", "Newcomer") is None
        assert not book.connection.in_transaction
        add(other, "person", {"person": "Newcomer"})
        book.keys.look()
        assert book.keys.find("person", "Newcomer") is not None


def test_no_name_at_all_is_no_unknown_name_of_the_users(book):
    with pytest.raises(KeyError):
        book.keys.number("pack", None, "serial_no")
