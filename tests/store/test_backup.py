"""Backups that are whole, and the way back from them; nothing that was there is lost on the way."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from logbook.errors import FileTrouble, NoBook
from logbook.services import care
from logbook.services.check import check
from logbook.services.questions import list_flights
from logbook.store import backup
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests import club
from tests.club import put


def flights_in(path):
    with Book.open(path) as book:
        assert check(book) == []
        return sorted(flight["flight_id"] for flight in list_flights(book, FlightFilter()))


def add_flight(path, flight_id, hour):
    with Book.open(path) as book:
        put(book, "flight", club.flight_at(hour, flight_id))


def test_a_backup_holds_all_that_was_confirmed_also_while_the_book_is_open(book_path):
    with Book.open(book_path) as book:
        put(book, "flight", club.flight_at(8, "F1"))
        copy = care.back_up(book_path)
    assert copy.parent.name == "book.logbook.backups"
    assert flights_in(copy) == ["F1"]


def test_restoring_puts_the_newest_backup_back_and_keeps_what_was_there(book_path):
    add_flight(book_path, "F1", 8)
    care.back_up(book_path)
    add_flight(book_path, "F2", 10)
    source, kept = care.restore(None, book_path)
    assert source.parent.name == "book.logbook.backups"
    assert flights_in(book_path) == ["F1"]
    assert flights_in(kept) == ["F1", "F2"]


def test_restoring_twice_within_a_second_keeps_both(book_path):
    copy = care.back_up(book_path)
    first, second = care.restore(copy, book_path)[1], care.restore(copy, book_path)[1]
    assert first != second
    assert first.exists()
    assert second.exists()


def test_restoring_where_there_is_no_book_makes_one(book_path, tmp_path):
    add_flight(book_path, "F1", 8)
    copy = care.back_up(book_path)
    fresh = tmp_path / "fresh.logbook"
    assert care.restore(copy, fresh)[1] is None
    assert flights_in(fresh) == ["F1"]
    assert fresh.stat().st_mode & 0o777 == 0o600


def test_who_still_has_the_replaced_book_open_is_told_and_loses_nothing_unseen(book_path):
    copy = care.back_up(book_path)
    with Book.open(book_path) as still_open:
        care.restore(copy, book_path)
        with pytest.raises(FileTrouble, match="replaced"):
            put(still_open, "flight", club.flight())
    assert flights_in(book_path) == []


def test_a_book_somebody_is_writing_to_is_not_replaced(book_path, monkeypatch):
    monkeypatch.setattr(backup, "WAIT_S", 0.1)
    copy = care.back_up(book_path)
    with Book.open(book_path) as writer:
        with writer.writing(), pytest.raises(FileTrouble, match="Another program"):
            care.restore(copy, book_path)
        put(writer, "flight", club.flight())
    assert flights_in(book_path) == ["F1"]


def test_a_damaged_book_can_be_replaced_and_is_kept(book_path):
    copy = care.back_up(book_path)
    book_path.write_bytes(b"rubbish" * 2000)
    _, kept = care.restore(copy, book_path)
    assert kept.read_bytes() == b"rubbish" * 2000
    assert flights_in(book_path) == []


def broken(tmp_path, kind):
    path = tmp_path / "copy.logbook"
    if kind == "text":
        path.write_text("no database at all\n" * 300)
    elif kind == "empty":
        path.touch()
    elif kind == "foreign":
        raw = sqlite3.connect(path)
        raw.execute("CREATE TABLE recipe (name TEXT)")
        raw.close()
    else:
        shutil.copyfile(tmp_path / "book.logbook", path)
        if kind == "newer":
            raw = sqlite3.connect(path)
            raw.execute("PRAGMA user_version = 99")
            raw.close()
        else:
            path.write_bytes(path.read_bytes()[:20_000])
    return path


@pytest.mark.parametrize("kind", ["text", "empty", "foreign", "newer", "truncated"])
def test_a_backup_that_is_not_a_whole_logbook_is_refused_and_nothing_changes(book_path, tmp_path, kind):
    bad = broken(tmp_path, kind)
    before = sorted((path.name, path.read_bytes()) for path in tmp_path.iterdir() if path.is_file())
    with pytest.raises(FileTrouble):
        care.restore(bad, book_path)
    after = sorted((path.name, path.read_bytes()) for path in tmp_path.iterdir() if path.is_file())
    assert after == before


def test_without_a_backup_there_is_nothing_to_restore(book_path, tmp_path):
    with pytest.raises(NoBook):
        care.restore(None, book_path)
    with pytest.raises(NoBook):
        care.restore(tmp_path / "none", book_path)
    with pytest.raises(NoBook):
        care.back_up(tmp_path / "none")


def test_a_backup_that_cannot_be_written_leaves_no_half_copy(book_path, tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(FileTrouble):
        care.back_up(book_path, tmp_path / "file" / "copy.logbook")
    assert not list(tmp_path.rglob("*.part"))


CRASH = """
import os, sqlite3, sys
book = sqlite3.connect(sys.argv[1], isolation_level=None)
book.execute("PRAGMA cache_size = 1")
book.execute("PRAGMA cache_spill = 1")
book.execute("BEGIN IMMEDIATE")
book.execute("UPDATE flight SET remarks = hex(randomblob(200000))")
book.execute("UPDATE person SET address = hex(randomblob(200000))")
os._exit(9)
"""


@pytest.fixture
def interrupted(book_path):
    """A book whose writer was killed with half a change on the disk."""
    add_flight(book_path, "F1", 8)
    subprocess.run([sys.executable, "-c", CRASH, str(book_path)], check=False)
    assert Path(f"{book_path}-journal").stat().st_size > 0
    return book_path


def test_a_book_whose_writer_was_killed_is_as_it_was_before_the_change(interrupted):
    assert flights_in(interrupted) == ["F1"]


def test_a_book_whose_writer_was_killed_can_be_backed_up_at_once(interrupted):
    assert flights_in(care.back_up(interrupted)) == ["F1"]


def test_a_book_whose_writer_was_killed_is_kept_whole_when_another_takes_its_place(interrupted, settled_club):
    _, kept = care.restore(settled_club, interrupted)
    assert flights_in(interrupted) == []
    assert flights_in(kept) == ["F1"]


def test_old_backups_thin_out_to_one_a_month_and_the_newest_stay(book_path):
    folder = backup.backup_folder(book_path)
    folder.mkdir()
    stamps = [f"2030{month:02d}{day:02d}T120000" for month in range(1, 13) for day in (1, 9, 17, 25)]
    for stamp in stamps:
        (folder / f"{stamp}-by-hand.logbook").touch()
    (folder / "my own notes.txt").touch()
    newest = care.back_up(book_path)
    left = {path.name for path in folder.iterdir()}
    assert "my own notes.txt" in left
    assert newest.name in left
    assert {f"2030{month:02d}01T120000-by-hand.logbook" for month in range(1, 13)} <= left
    assert {f"{stamp}-by-hand.logbook" for stamp in stamps[-9:]} <= left
    assert "20300109T120000-by-hand.logbook" not in left


def test_many_backups_in_one_second_all_stay(book_path):
    copies = {care.back_up(book_path) for _ in range(4)}
    assert len(copies) == 4
    assert set(backup.backups_of(book_path)) == copies


def test_a_backup_survives_a_name_with_signs_that_mean_something_in_addresses(book_path, tmp_path):
    odd = tmp_path / "50% #1?.logbook"
    book_path.rename(odd)
    assert flights_in(care.back_up(odd)) == []
