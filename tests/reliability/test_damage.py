"""Files that are damaged: recognised, said in words with the last good backup by name, never a traceback, never written over."""

from __future__ import annotations

import json
import random
import re
import shutil
import sqlite3

import pytest

from logbook.cli.main import run
from logbook.errors import FileTrouble
from logbook.paths import sample_file
from logbook.services import care
from logbook.services.check import check, conflict_copies
from logbook.services.questions import list_flights
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests import club
from tests.reliability.test_salvage import DAMAGE, PAGE

COMMANDS = (
    ["list", "flights", "--format", "json"],
    ["check"],
    ["list", "packs"],
    ["list", "charges"],
    ["list", "due"],
)


@pytest.fixture
def answer(capfd):
    def call(*words: str):
        status = run([str(word) for word in words])
        return status, capfd.readouterr()

    return call


def test_no_damage_of_any_kind_is_called_a_defect_or_shows_the_inside_of_the_program(
    tmp_path, answer, request
):
    """A page or some bits are damaged at random; whatever is asked then is answered, or refused in words."""
    rng = random.Random(7)  # noqa: S311
    sample = sample_file().read_bytes()
    path = tmp_path / "book.logbook"
    path.write_bytes(sample)
    for words in COMMANDS:
        assert answer("--file", path, *words)[0] == 0
    recognised = 0
    times = request.config.getoption("damage") // 5
    for number in range(times):
        data = bytearray(sample)
        DAMAGE[number % len(DAMAGE)](rng, data)
        path.write_bytes(data)
        for words in (COMMANDS[0], COMMANDS[1], COMMANDS[2 + number % 3]):
            status, said = answer("--file", path, *words)
            assert status in (0, 1, 74), (number, words, said.err)
            assert "Traceback" not in said.err
            if status == 74:
                assert said.err.startswith("logbook: ")
                assert "restore" in said.err or "salvage" in said.err or "another file" in said.err, said.err
            recognised += words == ["check"] and status != 0
    assert recognised > 0.75 * times  # a bit in a free page, or in a figure that was never checked, is none


def test_a_damaged_byte_anywhere_in_the_schema_is_damage_and_no_defect(book_path, answer):
    """SQLite's own message then quotes bytes that are no text. Found by a run over two thousand damaged books."""
    whole = book_path.read_bytes()
    at = [match.start() for match in re.finditer(rb"CREATE T(?:ABLE|RIGGER) \w+", whole)]
    assert len(at) > 100
    refused = 0
    for start in at[::3]:
        for offset in (2, 14):
            data = bytearray(whole)
            data[start + offset] = 0xA0
            book_path.write_bytes(data)
            status, said = answer("--file", book_path, "list", "flights")
            assert status in (0, 74), said.err
            refused += status == 74
    assert refused > 60


@pytest.mark.parametrize("kind", ["beginning gone", "cut short", "emptied", "a text of broken bytes"])
def test_the_last_good_backup_is_offered_by_name_and_puts_the_book_right(book_path, tmp_path, kind, answer):
    with Book.open(book_path) as book:
        club.put(
            book,
            "flight",
            [club.flight_at(hour, f"F{hour}", remarks="Überlandflug") for hour in range(6, 12)],
        )
    copy = care.back_up(book_path)
    data = book_path.read_bytes()
    book_path.write_bytes({
        "beginning gone": bytes(PAGE) + data[PAGE:],
        "cut short": data[: len(data) // 2],
        "emptied": b"",
        "a text of broken bytes": data.replace("Überlandflug".encode(), b"\xffberlandflug1"),
    }[kind])  # fmt: skip
    source = tmp_path / "flight.json"
    source.write_text(json.dumps(club.flight_at(14, "F14")))
    before = book_path.read_bytes()
    for words in (["list", "flights"], ["add", "flight", source]):
        status, said = answer("--file", book_path, *words)
        if kind == "a text of broken bytes" and words[0] == "add":
            continue  # it does not touch the damaged row
        assert status == 74
        assert copy.name in said.err
        assert book_path.read_bytes() == before
    assert answer("--file", book_path, "restore")[0] == 0
    with Book.open(book_path) as book:
        assert len(list(list_flights(book, FlightFilter()))) == 6
        assert check(book) == []


def hot_journal(path, page: int, content: bytes) -> bytes:
    """A journal as an interrupted program leaves it, that puts a page back; the format of section 3 of the file format."""
    nonce, pages = 12345, path.stat().st_size // PAGE
    checksum = (nonce + sum(content[at] for at in range(PAGE - 200, 0, -200))) & 0xFFFFFFFF
    header = bytes.fromhex("d9d505f920a163d7") + b"".join(
        number.to_bytes(4, "big") for number in (1, nonce, pages, 512, PAGE)
    )
    return header.ljust(512, b"\0") + page.to_bytes(4, "big") + content + checksum.to_bytes(4, "big")


def test_a_journal_of_another_file_does_not_cost_the_book(book_path):
    """It is undone by SQLite and destroys a page; what was there is kept, and said where."""
    with Book.open(book_path) as book:
        club.put(book, "flight", club.flight())
    before = book_path.read_bytes()
    journal = book_path.with_name(book_path.name + "-journal")
    journal.write_bytes(hot_journal(book_path, 3, b"\xa5" * PAGE))
    with pytest.raises(FileTrouble, match="left in the middle of a change") as caught:
        Book.open(book_path)
    (kept,) = [
        path for path in book_path.parent.glob("*.interrupted-*") if not path.name.endswith("-journal")
    ]
    assert str(kept) in caught.value.next_step
    assert kept.read_bytes() == before
    assert kept.stat().st_mode & 0o777 == 0o600


def test_an_honest_journal_is_undone_and_nothing_is_left_beside_the_book(book_path):
    before = book_path.read_bytes()
    journal = book_path.with_name(book_path.name + "-journal")
    journal.write_bytes(hot_journal(book_path, 3, before[2 * PAGE : 3 * PAGE]))
    damaged = bytearray(before)
    damaged[2 * PAGE : 3 * PAGE] = b"\xa5" * PAGE
    book_path.write_bytes(damaged)
    with Book.open(book_path) as book:
        assert check(book) == []
    assert book_path.read_bytes() == before
    assert [path.name for path in book_path.parent.glob("book.logbook*")] == ["book.logbook"]


@pytest.mark.parametrize(
    "name",
    [
        "book (conflicted copy 2031-05-09).logbook",
        "book (1).logbook",
        "book.sync-conflict-20310509.logbook",
        "book 2.logbook",
    ],
)
def test_a_copy_that_two_machines_left_beside_the_book_is_found_by_the_check(book_path, name):
    with Book.open(book_path) as book:
        assert check(book) == []
        other = book_path.with_name(name)
        shutil.copyfile(book_path, other)
        assert conflict_copies(book_path) == [other]
        (finding,) = check(book)
    assert name in finding.what
    assert "merge" in finding.next_step


def test_files_of_other_names_beside_the_book_are_none_of_its_copies(book_path):
    for name in ("bookkeeping.logbook", "other.logbook", "book.logbook.replaced-20310509T080000", "book.txt"):
        book_path.with_name(name).touch()
    care.back_up(book_path)
    assert conflict_copies(book_path) == []


def test_another_programs_file_and_a_newer_one_are_refused_by_command_with_status_74(
    book_path, tmp_path, answer
):
    raw = sqlite3.connect(tmp_path / "other.db")
    raw.execute("CREATE TABLE recipe (name)")
    raw.close()
    raw = sqlite3.connect(book_path)
    raw.execute("PRAGMA user_version = 99")
    raw.close()
    for path in (tmp_path / "other.db", book_path):
        before = path.read_bytes()
        status, said = answer("--file", path, "list", "flights")
        assert (status, path.read_bytes()) == (74, before)
        assert "nothing was changed" in said.err
