"""Disks and systems that fail: each ends in a sentence with what to do and status 74, and nothing confirmed is lost."""

from __future__ import annotations

import json
import os
import pwd
import re
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import platformdirs
import pytest

from logbook.cli.main import run
from logbook.errors import FileTrouble
from logbook.services.check import check
from logbook.services.correct import correct
from logbook.services.export_book import export_package
from logbook.services.questions import list_flights, show
from logbook.store import backup, database
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests import club
from tests.reliability.faults import (
    NOBODY,
    become_nobody,
    limit_files,
    outcome,
    remount_read_only,
    small_disk,
)

PAGE = 4096
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="children, limits and mounts of POSIX")


@pytest.fixture
def entry(tmp_path) -> Path:
    """A flight too long for the room that is left."""
    source = tmp_path / "flight.json"
    source.write_text(json.dumps(club.flight_at(10, "F2", remarks="long " * 20_000)))
    source.chmod(0o644)
    return source


@pytest.fixture(scope="module", autouse=True)
def _loaded(settled_club, tmp_path_factory) -> None:
    """What a command loads late is loaded here: a child without rights may be unable to read the program itself."""
    folder = tmp_path_factory.mktemp("scratch")
    path = folder / "scratch.logbook"
    shutil.copyfile(settled_club, path)
    (folder / "flight.json").write_text(json.dumps(club.flight()))
    for words in (
        ["add", "flight", str(folder / "flight.json")],
        ["list", "flights"],
        ["check"],
        ["show", "flight", "?"],
        ["paper", "pack", club.P1, "--to", str(folder / "paper.txt")],
    ):
        run(["--file", str(path), *words])
    platformdirs.user_data_path("x", appauthor=False)
    assert pwd.getpwall()


@pytest.fixture
def flown(book_path) -> Path:
    with Book.open(book_path) as book:
        club.put(book, "flight", club.flight_at(8, "F1"))
    return book_path


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that everybody reaches: those of the tests are for their owner only."""
    folder = Path(tempfile.mkdtemp(prefix="logbook-test-", dir="/tmp"))
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


def in_words(done, status: int = 74) -> None:
    """Ends with the status, a sentence and what to do; shows no inside of the program."""
    assert done.status == status, done.said
    assert "Traceback" not in done.said
    assert "defect" not in done.said
    lines = done.said.strip().splitlines()
    assert lines[-2].startswith("logbook: "), done.said
    assert re.search(r"[.!]$", lines[-1])


def flights(path: Path) -> list[str]:
    with Book.open(path) as book:
        assert check(book) == []
        return [flight["flight_id"] for flight in list_flights(book, FlightFilter())]


# -- no room ---------------------------------------------------------------------------------------------------------


def test_a_disk_that_is_full_takes_no_entry_and_loses_none(flown, entry):
    with small_disk(flown.stat().st_size + 12 * PAGE) as disk:
        if disk is None:
            pytest.skip("no disk may be mounted here")
        path = disk / "book.logbook"
        shutil.copyfile(flown, path)
        done = outcome(["--file", str(path), "add", "flight", str(entry)])
        in_words(done)
        assert "disk is full" in done.said
        assert flights(path) == ["F1"]
        assert [left.name for left in disk.iterdir()] == ["book.logbook"]


@pytest.mark.parametrize(
    "command", ["backup", "restore", "export", "import", "merge", "salvage", "add to a new book"]
)
def test_no_command_leaves_half_a_file_on_a_full_disk(flown, entry, command, tmp_path):
    size = flown.stat().st_size
    with Book.open(flown) as book:
        export_package(book, tmp_path / "package.zip")
        copy = backup.back_up(flown, tmp_path / "copy.logbook")
    with small_disk(size + 10 * PAGE if command in ("restore", "import", "merge") else 8 * PAGE) as disk:
        if disk is None:
            pytest.skip("no disk may be mounted here")
        path = disk / "book.logbook"
        if command == "restore":
            shutil.copyfile(flown, path)
        elif command in ("import", "merge"):
            Book.open(path, create=True).close()
            assert run(["--file", str(path), "list", "flights"]) == 0  # what is derived is settled
            (disk / "ballast").write_bytes(bytes(disk_left(disk) - 3 * PAGE))
        before = {left.name: left.read_bytes() for left in disk.iterdir()}
        words = {
            "backup": ["--file", flown, "backup", "--to", disk / "copy.logbook"],
            "restore": ["--file", path, "restore", copy],
            "export": ["--file", flown, "export", "all", "--to", disk / "package.zip"],
            "import": ["--file", path, "import", tmp_path / "package.zip"],
            "merge": ["--file", path, "merge", flown],
            "salvage": ["salvage", flown, "--to", disk / "new.logbook"],
            "add to a new book": ["--file", disk / "new.logbook", "add", "flight", entry],
        }[command]
        if command == "export":
            (disk / "ballast").write_bytes(bytes(disk_left(disk) - PAGE))
            before = {left.name: left.read_bytes() for left in disk.iterdir()}
        in_words(outcome([str(word) for word in words]))
        after = {left.name: left.read_bytes() for left in disk.iterdir() if left.stat().st_size}
        assert after == before


def disk_left(disk: Path) -> int:
    room = os.statvfs(disk)
    return room.f_bavail * room.f_frsize


def test_a_limit_on_the_size_of_files_costs_the_entry_only(flown, entry):
    done = outcome(["--file", str(flown), "add", "flight", str(entry)], limit_files(flown.stat().st_size))
    in_words(done)
    assert flights(flown) == ["F1"]
    assert outcome(["--file", str(flown), "add", "flight", str(entry)]).status == 0
    assert flights(flown) == ["F2", "F1"]


# -- no right --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("file", "folder"), [(0o444, 0o777), (0o666, 0o555), (0o444, 0o555)])
def test_a_book_that_may_only_be_read_is_read_and_not_written(flown, entry, open_folder, file, folder):
    shutil.copyfile(entry, open_folder / "flight.json")
    (open_folder / "flight.json").chmod(0o444)
    path = open_folder / "sub" / "book.logbook"
    path.parent.mkdir()
    shutil.copyfile(flown, path)
    path.chmod(file)
    path.parent.chmod(folder)
    before = path.read_bytes()
    done = outcome(["--file", str(path), "add", "flight", str(open_folder / "flight.json")], become_nobody)
    in_words(done)
    assert "cannot be written" in done.said or "cannot be opened" in done.said
    assert outcome(["--file", str(path), "list", "flights"], become_nobody).status == 0
    assert path.read_bytes() == before


def test_a_book_that_may_only_be_read_gives_its_papers_and_says_that_they_stand_in_no_list(
    flown, open_folder
):
    path = open_folder / "sub" / "book.logbook"
    path.parent.mkdir()
    shutil.copyfile(flown, path)
    path.chmod(0o444)
    path.parent.chmod(0o555)
    before = path.read_bytes()
    out = open_folder / "out"
    out.mkdir()
    out.chmod(0o777)
    paper = out / "paper.txt"
    words = ["--file", str(path), "paper", "pack", club.P1, "--to", str(paper)]
    done = outcome(words, become_nobody)
    assert done.status == 0
    assert "stands in no list of issued papers" in done.said
    assert "Component record: battery pack LARK-01" in paper.read_text(encoding="utf-8")
    assert path.read_bytes() == before


def test_a_book_of_somebody_else_is_trouble_in_words(flown, open_folder):
    path = open_folder / "book.logbook"
    shutil.copyfile(flown, path)
    path.chmod(0o600)
    if os.geteuid() != 0:
        path.chmod(0)
    in_words(outcome(["--file", str(path), "list", "flights"], become_nobody))


def test_a_disk_that_can_only_be_read_is_read_and_not_written(flown, entry):
    with small_disk(4 * 2**20) as disk:
        if disk is None:
            pytest.skip("no disk may be mounted here")
        path = disk / "book.logbook"
        shutil.copyfile(flown, path)
        remount_read_only(disk)
        in_words(outcome(["--file", str(path), "add", "flight", str(entry)]))
        assert outcome(["--file", str(path), "list", "flights"]).status == 0
        assert outcome(["--file", str(path), "check"]).status == 0
        in_words(outcome(["--file", str(disk / "new.logbook"), "add", "flight", str(entry)]))


def test_who_has_no_home_and_names_no_book_is_asked_for_one(open_folder):
    def homeless() -> None:
        become_nobody()
        os.chdir(open_folder)
        for name in list(os.environ):
            if name in ("HOME", "LOGBOOK_FILE", "LOGBOOK_STATE") or name.startswith("XDG_"):
                del os.environ[name]

    if os.geteuid() != 0:
        pytest.skip("the tests cannot become a user without a home")
    open_folder.chmod(0o777)
    in_words(outcome(["add", "person", "-"], lambda: (homeless(), stdin_of(b'{"person": "Ann"}'))))
    assert list(open_folder.iterdir()) == []
    assert NOBODY


def stdin_of(data: bytes) -> None:
    import io

    sys.stdin = io.TextIOWrapper(io.BytesIO(data))


# -- gone, replaced, in use ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("how", ["removed", "replaced", "folder gone"])
def test_a_book_that_is_gone_while_it_is_open_takes_no_entry_that_would_be_lost(flown, tmp_path, how):
    path = tmp_path / "stick" / "book.logbook"
    path.parent.mkdir()
    shutil.copyfile(flown, path)
    with Book.open(path) as book:
        if how == "removed":
            path.unlink()
        elif how == "replaced":
            shutil.copyfile(flown, tmp_path / "other")
            (tmp_path / "other").replace(path)
        else:
            path.parent.rename(tmp_path / "away")
        with pytest.raises(FileTrouble) as caught:
            club.put(book, "flight", club.flight_at(10, "F2"))
        assert caught.value.next_step
    if how == "replaced":
        assert flights(path) == ["F1"]


def test_a_book_another_program_does_not_let_go_of_is_said_with_status_74(flown, entry, monkeypatch):
    monkeypatch.setattr(database, "WAIT_S", 0.2)
    holder = sqlite3.connect(flown, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    done = outcome(["--file", str(flown), "add", "flight", str(entry)])
    in_words(done)
    assert "Another program" in done.said
    holder.execute("ROLLBACK")
    holder.close()
    assert flights(flown) == ["F1"]


# -- the clock -------------------------------------------------------------------------------------------------------


def test_a_clock_that_was_set_back_mixes_up_no_history(flown):
    with Book.open(flown) as book:
        book.connection.execute("BEGIN")  # a correction made while the clock was a hundred years ahead
        book.connection.execute(
            "INSERT INTO version (record, record_id, was, at) SELECT 'flight', 'F1', was, '2131-01-01T00:00:00Z'"
            " FROM (SELECT json_object('remarks', 'first') AS was)"
        )
        book.connection.execute("COMMIT")
        correct(book, "flight", "F1", {"remarks": "second"}, by=club.ADA, why="the clock was wrong")
        correct(book, "flight", "F1", {"remarks": "third"}, by=club.ADA, why="once more")
        raw = book.connection.execute("SELECT seq, was ->> 'remarks' FROM version ORDER BY seq").fetchall()
        assert raw == [(1, "first"), (2, None), (3, "second")]
        assert len(show(book, "flight", "F1")["versions"]) == 3
        assert check(book) == []
