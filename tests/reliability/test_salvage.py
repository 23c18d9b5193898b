"""What can be read of a damaged book is taken over whole, and what cannot is named; never a traceback, never a made-up row.

More damage than in the normal run: `pytest tests/reliability --damage 2000`.
"""

from __future__ import annotations

import random
import sqlite3
import stat
from pathlib import Path

import pytest

from logbook.errors import DataRefused, LogbookError
from logbook.paths import sample_file
from logbook.services.check import check
from logbook.services.salvage import _objection, salvage
from logbook.store import salvage as reading
from logbook.store.database import Book
from logbook.store.salvage_in import enter
from tests import club

PAGE = 4096


@pytest.fixture(scope="module")
def sample() -> bytes:
    return sample_file().read_bytes()


def truth(path: Path) -> dict[str, list[dict]]:
    raw = sqlite3.connect(path)
    raw.row_factory = sqlite3.Row
    found = {
        name: sorted((dict(row) for row in raw.execute(f"SELECT * FROM {name}")), key=str)
        for name in reading.WANTED
    }
    raw.close()
    return found


@pytest.fixture(scope="module")
def honest() -> dict[str, list[dict]]:
    return truth(sample_file())


def flips(rng: random.Random, data: bytearray) -> str:
    for _ in range(rng.choice([1, 5, 50, 500])):
        data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)
    return "bits flipped"


def truncation(rng: random.Random, data: bytearray) -> str:
    del data[rng.randrange(PAGE, len(data)) :]
    return "cut short"


def zeroes(rng: random.Random, data: bytearray) -> str:
    for _ in range(rng.choice([1, 3, 20])):
        page = rng.randrange(len(data) // PAGE)
        data[page * PAGE : (page + 1) * PAGE] = bytes(PAGE)
    return "pages zeroed"


def rubbish(rng: random.Random, data: bytearray) -> str:
    start = rng.randrange(len(data) - 10_000)
    length = rng.choice([100, 10_000])
    data[start : start + length] = rng.randbytes(length)
    return "rubbish written"


def swapped(rng: random.Random, data: bytearray) -> str:
    one, other = (rng.randrange(len(data) // PAGE) * PAGE for _ in range(2))
    data[one : one + PAGE], data[other : other + PAGE] = data[other : other + PAGE], data[one : one + PAGE]
    return "pages swapped"


DAMAGE = (flips, truncation, zeroes, rubbish, swapped)


def test_a_whole_book_is_read_without_sqlite_as_sqlite_reads_it(honest):
    remains = reading.read_remains(sample_file())
    for name, rows in honest.items():
        assert sorted(remains.rows[name].values(), key=str) == rows
        assert remains.lost(name) == []
        assert (remains.unreadable[name], remains.loose[name]) == (0, 0)


def test_a_whole_book_comes_out_as_it_was_and_passes_the_check(honest, tmp_path):
    done = salvage(sample_file(), tmp_path / "new.logbook")
    assert done.words == []
    with Book.open(done.book) as book:
        assert check(book) == []
    assert truth(done.book) == honest
    for path in (done.book, done.report):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_long_texts_that_fill_pages_of_their_own_come_back(book_path, tmp_path):
    with Book.open(book_path) as book:
        club.put(
            book,
            "flight",
            [club.flight_at(hour, f"F{hour}", remarks="東 " * 900 * hour) for hour in range(1, 12)],
        )
    done = salvage(book_path, tmp_path / "new.logbook")
    assert done.words == []
    assert truth(done.book) == truth(book_path)


@pytest.fixture
def damages(request) -> int:
    return request.config.getoption("--damage")


def test_of_randomly_damaged_copies_all_that_is_whole_is_read_and_nothing_is_made_up(
    sample, honest, tmp_path, damages
):
    """Zeroed, cut or rubbish pages cannot yield rows that were never there; flipped bits can change a value unseen."""
    rng = random.Random(20)  # noqa: S311 - damage, not secrets
    path = tmp_path / "damaged.logbook"
    known = {name: {str(row) for row in rows} for name, rows in honest.items()}
    whole = sum(map(len, honest.values()))
    kept = empty = 0
    for number in range(damages):
        data = bytearray(sample)
        how = DAMAGE[number % len(DAMAGE)](rng, data)
        path.write_bytes(data)
        try:
            remains = reading.read_remains(path)
        except DataRefused:
            empty += 1
            continue
        rows = [(name, str(row)) for name in known for row in remains.rows[name].values()]
        strange = sum(1 for name, row in rows if row not in known[name])
        assert strange <= {"bits flipped": 500, "rubbish written": 3}.get(how, 0), (number, how)
        kept += len(rows) - strange
        if how != "cut short":
            assert len(rows) - strange > 0.2 * whole, (number, how)
    assert empty <= damages // 50
    assert kept > 0.8 * whole * damages


@pytest.mark.parametrize("number", range(30))
def test_a_damaged_copy_becomes_a_whole_new_book(number, sample, tmp_path):
    rng = random.Random(100 + number)  # noqa: S311
    data = bytearray(sample)
    DAMAGE[number % len(DAMAGE)](rng, data)
    path = tmp_path / "damaged.logbook"
    path.write_bytes(data)
    try:
        remains = reading.read_remains(path)
    except DataRefused:
        return  # cut so short that no row is left
    with Book.open(tmp_path / "new.logbook", create=True) as book:
        entered = enter(book, remains, _objection)
        run = book.connection.execute
        assert run("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert run("PRAGMA foreign_key_check").fetchall() == []
        read = sum(len(rows) for rows in remains.rows.values())
        assert sum(entered.counts.values()) + len(entered.refused) == read
    assert path.read_bytes() == bytes(data)


def test_a_book_whose_beginning_is_lost_is_read_by_what_a_new_book_looks_like(sample, honest, tmp_path):
    path = tmp_path / "damaged.logbook"
    path.write_bytes(bytes(30 * PAGE) + sample[30 * PAGE :])
    done = salvage(path, tmp_path / "new.logbook")
    assert done.counts["flight"] > 0.9 * len(honest["flight"])
    assert done.counts["reading"] > 0.9 * len(honest["reading"])
    with Book.open(done.book) as book:
        assert [
            finding.what for finding in check(book) if "missing from the history" not in finding.what
        ] == []


def test_aeroplanes_and_people_that_are_lost_get_a_name_so_that_their_flights_stay(sample, honest, tmp_path):
    raw = sqlite3.connect(sample_file())
    roots = [
        raw.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (name,)).fetchone()[0]
        for name in ("person", "aircraft", "pack")
    ]
    raw.close()
    data = bytearray(sample)
    for root in roots:
        data[(root - 1) * PAGE : root * PAGE] = bytes(PAGE)
    (tmp_path / "damaged.logbook").write_bytes(data)
    done = salvage(tmp_path / "damaged.logbook", tmp_path / "new.logbook")
    assert done.counts["flight"] == len(honest["flight"])
    assert any("lost-aircraft-1" in word and "lost-person-1" in word for word in done.words)
    with Book.open(done.book) as book:
        assert check(book) == []


@pytest.mark.parametrize("content", [b"", b"x", b"diary " * 5000, bytes(PAGE * 5), bytes(range(256)) * 400])
def test_a_file_that_is_no_book_at_all_is_said_to_be_so(content, tmp_path):
    path = tmp_path / "other.logbook"
    path.write_bytes(content)
    with pytest.raises(LogbookError) as caught:
        salvage(path, tmp_path / "new.logbook")
    assert caught.value.next_step
    assert not (tmp_path / "new.logbook").exists()


def test_pages_that_lead_back_to_themselves_come_to_an_end(sample, tmp_path):
    """Every inner page leads to itself and to the first page."""
    data = bytearray(sample)
    for number in range(1, len(data) // PAGE + 1):
        start = (number - 1) * PAGE + (100 if number == 1 else 0)
        if data[start] in (2, 5):
            data[start + 8 : start + 12] = number.to_bytes(4, "big")
    path = tmp_path / "damaged.logbook"
    path.write_bytes(data)
    assert reading.read_remains(path).rows["flight"]


def test_a_book_that_is_not_trusted_is_taken_over_without_its_trigger(book_path, tmp_path):
    with Book.open(book_path) as book:
        club.put(book, "flight", club.flight())
    raw = sqlite3.connect(book_path)
    raw.execute("CREATE TRIGGER evil AFTER INSERT ON flight BEGIN DELETE FROM setting; END")
    raw.commit()
    raw.close()
    done = salvage(book_path, tmp_path / "new.logbook")
    assert (done.counts["flight"], done.words) == (1, [])
    with Book.open(done.book) as book:
        assert check(book) == []


def test_what_stands_at_the_place_of_the_new_book_is_left_alone(book_path, tmp_path):
    (tmp_path / "there.logbook").write_text("mine")
    with pytest.raises(LogbookError, match="there already"):
        salvage(book_path, tmp_path / "there.logbook")
    assert (tmp_path / "there.logbook").read_text() == "mine"
