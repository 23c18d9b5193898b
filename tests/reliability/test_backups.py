"""Backups nobody has to think of: one on each day of use and one before much changes; they stop nothing, and they work."""

from __future__ import annotations

import json
import os
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from logbook.cli.main import run
from logbook.errors import FileTrouble
from logbook.services import backups, care
from logbook.services.check import check, is_damaged
from logbook.services.import_book import import_package
from logbook.services.questions import list_flights
from logbook.store import backup
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from logbook.ui.app import LogbookApp
from tests import club
from tests.exchange import foreign_package
from tests.ui.desks import club_desk

__all__ = ["club_desk"]


def add(tmp_path: Path, flight_id: str, hour: int) -> int:
    source = tmp_path / "flight.json"
    source.write_text(json.dumps(club.flight_at(hour, flight_id)))
    return run(["add", "flight", str(source)])


def flights_in(path: Path) -> list[str]:
    with Book.open(path) as book:
        return sorted(flight["flight_id"] for flight in list_flights(book, FlightFilter()))


def reasons(path: Path) -> list[str]:
    return sorted(found.stem.split("-", 1)[1] for found in backup.backups_of(path))


def test_the_first_entry_of_a_day_makes_a_backup_that_holds_it_and_the_next_makes_none(book_path, tmp_path):
    assert add(tmp_path, "F1", 8) == 0
    assert add(tmp_path, "F2", 10) == 0
    (copy,) = backup.backups_of(book_path)
    assert reasons(book_path) == ["daily"]
    assert flights_in(copy) == ["F1"]


def test_looking_makes_no_backup(book_path):
    assert run(["list", "flights"]) == 0
    assert run(["check"]) == 0
    assert backup.backups_of(book_path) == []


def test_the_answer_is_out_before_the_backup_begins(book_path, tmp_path, capfd, monkeypatch):
    seen = []
    monkeypatch.setattr(backups, "daily", lambda _: seen.append(capfd.readouterr().out) or "")
    assert add(tmp_path, "F1", 8) == 0
    assert seen == ["F1\n"]
    assert book_path.exists()


def test_a_clock_set_back_neither_prevents_the_backup_nor_has_it_thinned_out(book_path):
    future = datetime.now(UTC).date() + timedelta(days=400)
    folder = book_path.with_name(book_path.name + ".backups")
    folder.mkdir()
    for number in range(backup.KEEP_RECENT + 3):
        (folder / f"{future + timedelta(days=number):%Y%m%d}T120000-daily.logbook").write_bytes(b"")
    assert backups.daily(book_path) == ""
    assert backup.made_on(book_path, backups.today())


def test_a_backup_that_fails_stops_nothing_and_is_said_once_that_day(book_path, tmp_path, capfd):
    book_path.with_name(book_path.name + ".backups").write_text("in the way")
    assert add(tmp_path, "F1", 8) == 0
    assert "backup could not be made" in capfd.readouterr().err
    assert add(tmp_path, "F2", 10) == 0
    assert "backup" not in capfd.readouterr().err
    assert flights_in(book_path) == ["F1", "F2"]
    assert "backup could not be made" in backups.daily(book_path, date(2040, 1, 1))


@pytest.mark.parametrize(("rows", "wanted"), [(90, []), (150, ["before-import"])])
def test_a_large_import_into_a_book_that_holds_something_is_preceded_by_a_backup(
    book_path, tmp_path, rows, wanted
):
    people = [{"person": f"Person {number}"} for number in range(rows)]
    package = foreign_package.write(tmp_path / "p", people=people)
    with Book.open(book_path) as book:
        import_package(book, package)
    assert reasons(book_path) == wanted
    with Book.open(tmp_path / "new.logbook", create=True) as fresh:
        import_package(fresh, package)
    assert backup.backups_of(tmp_path / "new.logbook") == []


def test_a_backup_before_an_import_that_fails_is_a_note_of_the_import(book_path, tmp_path):
    book_path.with_name(book_path.name + ".backups").write_text("in the way")
    people = [{"person": f"Person {number}"} for number in range(150)]
    with Book.open(book_path) as book:
        report = import_package(book, foreign_package.write(tmp_path / "p", people=people))
    assert report.counts["person"].new >= 150
    assert any("backup could not be made" in note for note in report.notes)


def test_restoring_brings_back_the_day_and_keeps_what_was_there(book_path, tmp_path):
    add(tmp_path, "F1", 8)
    add(tmp_path, "F2", 10)
    _, kept = care.restore(None, book_path)
    assert flights_in(book_path) == ["F1"]
    assert flights_in(kept) == ["F1", "F2"]
    with Book.open(book_path) as book:
        assert check(book) == []


def test_a_backup_that_is_not_ours_or_whose_rows_hang_loose_is_not_restored(book_path, tmp_path):
    import sqlite3

    before = book_path.read_bytes()
    for number, statement in enumerate(
        (
            "CREATE TRIGGER evil AFTER INSERT ON flight BEGIN DELETE FROM setting; END",
            "INSERT INTO installation (id, serial_no, aircraft, position, fitted) VALUES ('x', 99, 99, 'p', '2031-01-01T00:00Z')",
        )
    ):
        copy = care.back_up(book_path, tmp_path / f"{number}.logbook")
        raw = sqlite3.connect(copy)
        raw.execute(statement)
        raw.commit()
        raw.close()
        with pytest.raises(FileTrouble):
            care.restore(copy, book_path)
        assert book_path.read_bytes() == before
    assert [path.name for path in tmp_path.glob("*.part")] == []


def test_a_backup_with_a_value_that_cannot_be_is_not_restored(book_path, tmp_path):
    """One letter of a time was changed in an otherwise whole file; SQLite checks values only of files it may write."""
    with Book.open(book_path) as book:
        club.put(book, "flight", club.flight_at(8, "F1"))
    copy = care.back_up(book_path, tmp_path / "copy.logbook")
    copy.write_bytes(copy.read_bytes().replace(b"2031-05-09T08:06Z", b"2031-05-09T08:0wZ"))
    assert is_damaged(copy)
    with pytest.raises(FileTrouble):
        care.restore(copy, book_path)


def test_half_copies_of_programs_that_were_killed_are_swept_away(book_path):
    folder = book_path.with_name(book_path.name + ".backups")
    folder.mkdir()
    old, fresh = folder / "a.logbook.1.part", folder / "b.logbook.2.part"
    for path in (old, fresh):
        path.write_bytes(b"half")
    os.utime(old, (time.time() - 7200,) * 2)
    care.back_up(book_path)
    assert not old.exists()
    assert fresh.exists()


async def test_the_screens_make_the_backup_of_the_day_in_the_background(club_desk):
    app = LogbookApp(club_desk)
    club_desk.book.after_commit = app.back_up_today
    async with app.run_test(size=(80, 24)) as pilot:
        club_desk.set("clock", "utc")
        club_desk.set("clock", "local")
        await app.workers.wait_for_complete()
        await pilot.pause()
    assert reasons(club_desk.book.path) == ["daily"]
