"""Somebody else's file: opening it runs nothing of it, and a file made to do harm is refused with what to do."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from logbook.errors import FileTrouble
from logbook.services.check import check
from logbook.services.merge_book import merge_book
from logbook.store import trust
from logbook.store.database import SCHEMA_VERSION, Book
from logbook.store.integrity import fresh_schema
from tests import club
from tests.club import put

EVIL = {
    "a trigger on what is entered": "CREATE TRIGGER evil AFTER INSERT ON flight BEGIN UPDATE person SET licence_no = 'x'; END",
    "a trigger on a note of the writer": "CREATE TRIGGER evil AFTER UPDATE ON change_note BEGIN DELETE FROM setting; END",
    "a trigger on a view": "CREATE TRIGGER evil INSTEAD OF UPDATE ON flights BEGIN DELETE FROM setting; END",
    "a trigger on the notes of migrations": "CREATE TRIGGER evil AFTER INSERT ON _sqlite_migrations BEGIN DELETE FROM setting; END",
    "a guard taken away": "DROP TRIGGER flight_keep",
    "a table more": "CREATE TABLE more (x)",
    "a table less": "DROP TABLE stale",
    "a table with a column more": "ALTER TABLE place ADD COLUMN more TEXT",
    "a virtual table": "CREATE VIRTUAL TABLE more USING fts5(x)",
}
"""What was done to a book by its sender."""


@pytest.fixture
def evil(request, book_path) -> Path:
    raw = sqlite3.connect(book_path)
    raw.execute(request.param)
    raw.commit()
    raw.close()
    return book_path


@pytest.mark.parametrize("evil", EVIL.values(), ids=EVIL, indirect=True)
def test_a_book_with_other_tables_or_triggers_is_not_opened_and_says_what_to_do(evil):
    before = evil.read_bytes()
    for options in ({}, {"create": True}, {"readonly": True}):
        with pytest.raises(FileTrouble, match="changed by another tool") as caught:
            Book.open(evil, **options)
        assert "salvage" in caught.value.next_step
    assert evil.read_bytes() == before


@pytest.mark.parametrize("evil", EVIL.values(), ids=EVIL, indirect=True)
def test_a_book_with_other_tables_or_triggers_is_not_merged(evil, tmp_path):
    with Book.open(tmp_path / "ours.logbook", create=True) as ours, pytest.raises(FileTrouble):
        merge_book(ours, evil)


def test_an_old_format_is_no_way_around(book_path):
    raw = sqlite3.connect(book_path)
    raw.execute("CREATE TRIGGER evil AFTER INSERT ON flight BEGIN DELETE FROM setting; END")
    raw.execute("PRAGMA user_version = 0")
    raw.commit()
    raw.close()
    before = book_path.read_bytes()
    with pytest.raises(FileTrouble, match="changed by another tool"):
        Book.open(book_path)
    assert book_path.read_bytes() == before
    assert not book_path.with_name(book_path.name + ".backups").exists()


@pytest.mark.parametrize(
    "added",
    [
        "CREATE VIEW mine AS SELECT * FROM flights WHERE kind = 'circuits'",
        "CREATE INDEX mine ON flight (exercise)",
        "ANALYZE",
    ],
)
def test_views_indexes_and_statistics_of_its_owner_are_no_reason_to_refuse_a_book(book_path, added):
    raw = sqlite3.connect(book_path)
    raw.execute(added)
    raw.commit()
    raw.close()
    with Book.open(book_path) as book:
        assert put(book, "flight", club.flight())[0].fate == "new"
        assert check(book) == []


def test_a_view_that_calls_for_a_library_is_never_asked(book_path, tmp_path):
    raw = sqlite3.connect(book_path)
    raw.execute("DROP VIEW flights")
    raw.execute("CREATE VIEW flights AS SELECT load_extension('evil') AS flight_id")
    raw.commit()
    raw.close()
    with Book.open(book_path) as book:
        assert put(book, "flight", club.flight())[0].fate == "new"
        assert [finding.what for finding in check(book)] == [
            "'flights' of the schema is not as this program makes it."
        ]
    with Book.open(tmp_path / "ours.logbook", create=True) as ours:
        assert merge_book(ours, book_path).written


def test_the_sum_over_the_schema_is_that_of_a_new_book(tmp_path):
    assert set(trust.DIGESTS) == set(range(1, SCHEMA_VERSION + 1))
    with Book.open(tmp_path / "new.logbook", create=True) as book:
        assert trust.digest(book.connection) == trust.DIGESTS[SCHEMA_VERSION]
        assert trust.odd_names(book.connection) == []


def test_the_sum_sees_every_table_and_trigger(book):
    """Each of them is changed in turn, in its words only."""
    honest = trust.digest(book.connection)
    rows = {
        name: sql
        for name, sql in fresh_schema().items()
        if sql.startswith(("CREATE TABLE", "CREATE TRIGGER"))
    }
    assert len(rows) > 100
    run = book.connection.execute
    run("PRAGMA writable_schema=ON")
    run("BEGIN")
    for name in rows:
        run("UPDATE sqlite_master SET sql = sql || ' ' WHERE name = ?", (name,))
        assert trust.digest(book.connection) != honest
        run("UPDATE sqlite_master SET sql = rtrim(sql) WHERE name = ?", (name,))
        assert trust.digest(book.connection) == honest
    run("ROLLBACK")


def test_looking_asks_once_and_reads_no_record(book_path):
    """It is done at every opening, so it may cost little: 2 ms, whatever the book holds."""
    with Book.open(book_path) as book:
        asked = []
        book.connection.set_trace_callback(asked.append)
        trust.digest(book.connection)
        book.connection.set_trace_callback(None)
    assert len(asked) == 1
    assert "FROM sqlite_master" in asked[0]


def test_no_file_can_bring_in_another_or_nest_without_end(book):
    with pytest.raises(FileTrouble):
        book.connection.execute("ATTACH ':memory:' AS other")
    with pytest.raises(FileTrouble):
        book.connection.execute("SELECT " + "1+" * 1000 + "1")
    with pytest.raises(FileTrouble):
        book.connection.execute("SELECT zeroblob(1000000000)")


def test_work_without_end_is_ended(book_path, tmp_path, monkeypatch):
    monkeypatch.setattr(trust, "_STEPS", 100_000)
    monkeypatch.setattr(trust, "_STEPS_PER_BYTE", 0)
    raw = sqlite3.connect(book_path)
    trust.bound_work(raw, 0)
    with pytest.raises(sqlite3.OperationalError, match="interrupted"):
        raw.execute(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n"
        ).fetchall()
    raw.close()
    monkeypatch.setattr(trust, "_STEPS", 1000)
    monkeypatch.setattr(trust, "_STEPS_AT_ONCE", 10)
    shutil.copyfile(book_path, tmp_path / "theirs.logbook")
    with (
        Book.open(tmp_path / "ours.logbook", create=True) as ours,
        pytest.raises(FileTrouble, match="more work than an honest file"),
    ):
        merge_book(ours, tmp_path / "theirs.logbook")
