"""Opening: files that are not ours, not whole, not writable or in use; each ends in a sentence, none is changed."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from logbook.errors import DataRefused, FileTrouble, NoBook
from logbook.services.check import check
from logbook.services.questions import list_flights, show_flight
from logbook.store import database
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests import club
from tests.club import put

HOLD_LOCK = """
import sqlite3, sys
book = sqlite3.connect(sys.argv[1], isolation_level=None)
book.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def impatient(monkeypatch):
    monkeypatch.setattr(database, "WAIT_S", 0.1)


@pytest.fixture
def locked(book_path, impatient):  # noqa: ARG001 - only set up
    """The book, while another process writes and does not come to an end."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLD_LOCK, str(book_path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as holder:
        holder.stdout.readline()
        yield book_path
        holder.communicate(b"")


def mode_of(path):
    return stat.S_IMODE(path.stat().st_mode)


def refused(path, words, *, error=FileTrouble, **options):
    before = path.read_bytes()
    with pytest.raises(error, match=words) as caught:
        Book.open(path, **options)
    assert caught.value.next_step
    assert path.read_bytes() == before
    return caught.value


def test_a_missing_book_is_not_made_by_reading(tmp_path):
    path = tmp_path / "none" / "book.logbook"
    with pytest.raises(NoBook):
        Book.open(path)
    assert not path.parent.exists()


def test_an_empty_file_is_no_book_for_reading_and_becomes_one_by_adding(tmp_path):
    path = tmp_path / "empty.logbook"
    path.touch(mode=0o644)
    refused(path, "no logbook", error=NoBook)
    with Book.open(path, create=True) as book:
        assert check(book) == []
    assert mode_of(path) == 0o600


@pytest.mark.parametrize("create", [False, True])
def test_a_newer_book_is_refused_untouched(book_path, create):
    raw = sqlite3.connect(book_path)
    raw.execute("PRAGMA user_version = 99")
    raw.close()
    assert "newer" in refused(book_path, "newer version", create=create).problem


@pytest.mark.parametrize("create", [False, True])
def test_another_programs_database_is_refused_untouched(tmp_path, create):
    path = tmp_path / "other.db"
    raw = sqlite3.connect(path)
    raw.execute("CREATE TABLE recipe (name TEXT)")
    raw.close()
    refused(path, "not a logbook", create=create)


@pytest.mark.parametrize("create", [False, True])
@pytest.mark.parametrize("content", [b"Dear diary, today I flew.\n" * 100, b"x", bytes(4096)])
def test_a_file_of_another_kind_is_refused_untouched(tmp_path, content, create):
    path = tmp_path / "diary.txt"
    path.write_bytes(content)
    refused(path, "logbook|cannot be used|damaged", create=create)


@pytest.mark.parametrize("create", [False, True])
def test_a_folder_and_a_pipe_are_no_books_and_are_left_alone(tmp_path, create):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe, 0o644)
    before = [mode_of(pipe), mode_of(tmp_path)]
    for path in (tmp_path, pipe):
        with pytest.raises(FileTrouble, match="not a logbook"):
            Book.open(path, create=create)
    assert [mode_of(pipe), mode_of(tmp_path)] == before


def read_everything(path):
    with Book.open(path) as book:
        list(list_flights(book, FlightFilter()))
        findings = check(book)
    if findings:
        raise FileTrouble("found by the check", next_step="restore")


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9])
def test_a_truncated_book_is_trouble_with_the_file_never_a_defect(book_path, share):
    with Book.open(book_path) as book:
        put(book, "flight", [club.flight_at(hour, f"F{hour}") for hour in range(6, 16)])
    whole = book_path.read_bytes()
    book_path.write_bytes(whole[: int(len(whole) * share)])
    with pytest.raises(FileTrouble):
        read_everything(book_path)


@pytest.mark.parametrize("page", [1, 2, 5, 9, 20])
def test_a_damaged_page_is_trouble_with_the_file_never_a_defect(book_path, page):
    data = bytearray(book_path.read_bytes())
    data[page * 4096 : page * 4096 + 4096] = b"\xa5" * 4096
    book_path.write_bytes(data)
    with pytest.raises(FileTrouble):
        read_everything(book_path)


def test_a_book_held_by_another_program_says_so_when_opened(locked):
    with pytest.raises(FileTrouble, match="Another program"):
        Book.open(locked)


@pytest.mark.usefixtures("impatient")
def test_a_book_held_by_another_program_says_so_when_read_and_when_written(book_path):
    with Book.open(book_path) as book:
        put(book, "flight", club.flight())
        raw = sqlite3.connect(book_path, isolation_level=None)
        raw.execute("BEGIN EXCLUSIVE")
        with pytest.raises(FileTrouble, match="Another program"):
            show_flight(book, "F1")
        with pytest.raises(FileTrouble, match="Another program"):
            put(book, "person", {"person": "Dot Reed"})
        raw.execute("ROLLBACK")
        raw.close()
        assert put(book, "person", {"person": "Dot Reed"})[0].fate == "new"


@pytest.mark.usefixtures("impatient")
def test_a_reader_in_the_way_of_a_commit_costs_nothing_but_the_entry(book_path):
    with Book.open(book_path) as book:
        raw = sqlite3.connect(book_path, isolation_level=None)
        cursor = raw.execute("SELECT * FROM pack")
        cursor.fetchone()
        with pytest.raises(FileTrouble, match="Another program"):
            put(book, "person", {"person": "Dot Reed"})
        cursor.close()
        raw.close()
        assert put(book, "person", {"person": "Dot Reed"})[0].fate == "new"
        assert check(book) == []


def test_a_full_disk_is_said_and_what_was_confirmed_stays(book_path):
    with Book.open(book_path) as book:
        put(book, "flight", club.flight_at(8, "F1"))
        pages = book.connection.execute("PRAGMA page_count").fetchone()[0]
        book.connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(FileTrouble, match="disk is full"):
            put(book, "flight", club.flight_at(9, "F2", remarks="x" * 90_000))
        book.connection.execute("PRAGMA max_page_count = 1000000")
        assert [flight["flight_id"] for flight in list_flights(book, FlightFilter())] == ["F1"]
        assert check(book) == []
        assert put(book, "flight", club.flight_at(9, "F2"))[0].fate == "new"


@pytest.mark.skipif(os.geteuid() != 0, reason="the tests cannot become another user")
def test_a_book_that_may_only_be_read_is_read_and_refuses_to_be_written(book_path, tmp_path):
    with Book.open(book_path) as book:
        put(book, "flight", club.flight())
    folder = Path("/dev/shm" if Path("/dev/shm").is_dir() else tmp_path) / f"readonly-{os.getpid()}"  # noqa: S108
    folder.mkdir()
    try:
        shared = folder / "book.logbook"
        shared.write_bytes(book_path.read_bytes())
        shared.chmod(0o444)
        folder.chmod(0o555)
        problems = ThreadPoolExecutor(1).submit(_as_nobody, shared).result()
        assert problems == "cannot be written"
    finally:
        folder.chmod(0o755)
        shared.unlink()
        folder.rmdir()


def _as_nobody(path):
    """Reads and tries to write as a user who may only read; in a child, since a user cannot be changed back."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.setuid(65534)
        try:
            with Book.open(path) as book:
                assert show_flight(book, "F1")
                put(book, "person", {"person": "Dot Reed"})
            os.write(writer, b"was written")
        except FileTrouble as error:
            os.write(writer, b"cannot be written" if "cannot be written" in error.problem else b"other words")
        finally:
            os._exit(0)
    os.close(writer)
    os.waitpid(child, 0)
    with os.fdopen(reader, "rb") as answers:
        return answers.read().decode()


def test_the_book_is_its_owners_only_whatever_the_umask(tmp_path):
    before = os.umask(0)
    try:
        path = tmp_path / "deep" / "book.logbook"
        with club.club_book(path) as book:
            from logbook.store.backup import back_up

            copy = back_up(path)
            with book.writing():
                journal = Path(f"{path}-journal")
                book.connection.execute("UPDATE person SET licence_no = 'x'")
                assert not journal.exists() or mode_of(journal) == 0o600
    finally:
        os.umask(before)
    assert mode_of(path) == 0o600
    assert mode_of(copy) == 0o600
    assert mode_of(path.parent) == 0o700
    assert mode_of(copy.parent) == 0o700


CREATE = """
import sys
from pathlib import Path
from logbook.store.database import Book
from logbook.services.add import add
sys.stdin.readline()
with Book.open(Path(sys.argv[1]), create=True) as book:
    add(book, "person", {"person": sys.argv[2]})
"""


def test_programs_that_make_the_same_book_at_the_same_time_all_succeed(tmp_path):
    path = tmp_path / "new.logbook"
    makers = [
        subprocess.Popen(
            [sys.executable, "-c", CREATE, str(path), f"Person {number}"],
            stdin=subprocess.PIPE,
            stderr=subprocess.PIPE,
            cwd=Path(__file__).parents[2],
        )
        for number in range(4)
    ]
    for maker in makers:
        maker.stdin.write(b"go\n")
        maker.stdin.flush()
    outcome = [maker.communicate()[1].decode() for maker in makers]
    assert outcome == [""] * 4
    with Book.open(path) as book:
        assert book.connection.execute("SELECT count(*) FROM person").fetchone()[0] == 4
    assert not path.with_name(path.name + ".backups").exists()


def test_a_book_another_tool_put_into_another_journal_mode_is_one_file_again(book_path):
    raw = sqlite3.connect(book_path)
    raw.execute("PRAGMA journal_mode=WAL")
    raw.close()
    with Book.open(book_path) as book:
        put(book, "flight", club.flight())
        assert book.connection.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
        assert not Path(f"{book_path}-wal").exists()


def test_a_check_keeps_nobody_from_writing_and_changes_nothing(book_path, book, monkeypatch):
    from logbook.services import check as checking

    put(book, "flight", club.flight())
    before = book_path.read_bytes()

    def meanwhile(copy):
        with Book.open(book_path) as other:
            put(other, "flight", club.flight_at(12, "F2"))
        return found(copy)

    assert checking.check(book) == []
    assert book_path.read_bytes() == before
    found = checking.findings_of_file
    monkeypatch.setattr(checking, "findings_of_file", meanwhile)
    assert checking.check(book) == []
    assert show_flight(book, "F2")


def test_names_another_program_added_meanwhile_are_known_at_once(book_path, book):
    assert list(list_flights(book, FlightFilter())) == []
    with Book.open(book_path) as other:
        put(other, "person", {"person": "Dot Reed"})
        put(other, "pack", club.pack("NEW-1"))
        put(other, "flight", club.flight(pilot="Dot Reed", readings=[club.reading("NEW-1")]))
    assert next(list_flights(book, FlightFilter()))["pilot"] == "Dot Reed"
    assert next(list_flights(book, FlightFilter(person="Dot Reed")))["flight_id"] == "F1"


def test_a_name_another_program_changed_meanwhile_is_shown_as_it_is_now(book_path, book):
    from logbook.services.correct import correct

    put(book, "flight", club.flight())
    assert show_flight(book, "F1")["pilot"] == club.ADA
    with Book.open(book_path) as other:
        correct(other, "person", club.ADA, {"person": "Ada Quill-Reed"})
    assert show_flight(book, "F1")["pilot"] == "Ada Quill-Reed"


def test_an_unknown_name_is_still_refused(book):
    with pytest.raises(DataRefused, match="knows no person"):
        put(book, "flight", club.flight(pilot="Nobody Atall"))
