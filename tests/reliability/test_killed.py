"""Commands killed at random instants: what was confirmed is there, nothing is there twice or in part, the book is whole.

The program runs in a child process and gets SIGKILL, which leaves it no chance to tidy up. In the normal run about sixty times;
`pytest tests/reliability --kills 3000` for as many as wanted. Adding one flight after the other is in
tests/services/test_killed.py.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from logbook.cli.main import run
from logbook.services import care
from logbook.services.check import check
from logbook.services.export_book import export_package
from logbook.store import backup
from logbook.store.database import Book
from tests import children, club

FLIGHTS = 120


class World(NamedTuple):
    """What the killed commands work on.

    Attributes:
        small: the club's book with one flight.
        large: the same with many flights.
        package: the large one as a package.
    """

    small: Path
    large: Path
    package: Path


@pytest.fixture(scope="module")
def world(settled_club, tmp_path_factory) -> World:
    folder = tmp_path_factory.mktemp("world")
    small, large = folder / "small.logbook", folder / "large.logbook"
    shutil.copyfile(settled_club, small)
    with Book.open(small) as book:
        club.put(book, "flight", club.flight_at(8, "F0", day="2031-01-01"))
    shutil.copyfile(small, large)
    with Book.open(large) as book:
        flights = [
            club.flight_at(6 + n % 4 * 2, f"N{n}", day=f"2032-{1 + n // 28 % 12:02d}-{1 + n // 4 % 28:02d}")
            for n in range(FLIGHTS)
        ]
        club.put(book, "flight", list({(f["off_blocks"]): f for f in flights}.values()))
        export_package(book, folder / "package.zip")
    return World(small, large, folder / "package.zip")


def ids(path: Path) -> list[str]:
    """The flights of a whole book; the file itself is looked at first."""
    raw = sqlite3.connect(path)
    try:
        raw.execute("SELECT 1 FROM sqlite_master")
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
    finally:
        raw.close()
    with Book.open(path) as book:
        return [row[0] for row in book.connection.execute("SELECT id FROM flight ORDER BY id").fetchall()]


def kill_at_random(
    work: Callable[[], None],
    set_up: Callable[[], None],
    look: Callable[[list[str]], None],
    *,
    times: int,
    seed: int,
) -> int:
    """Starts work again and again and kills it, each time at another instant of its duration.

    Args:
        work: runs in the child.
        set_up: puts everything back before each start.
        look: is told what the child said, afterwards.
        times: how often.
        seed: of the instants.

    Returns: how often the kill came before the end.
    """
    rng = random.Random(seed)  # noqa: S311 - instants, not secrets
    takes = 60.0
    for _ in range(2):  # the first loads what later children find loaded
        set_up()
        started = time.monotonic()
        whole = children.start(work)
        with whole.said:
            said = whole.said.readlines()
        assert whole.wait() == 0
        takes = min(takes, time.monotonic() - started)
        look([line.decode().strip() for line in said])
    early = 0
    for _ in range(times):
        set_up()
        child = children.start(work)
        waited = rng.uniform(0, takes)
        time.sleep(waited)
        os.kill(child.pid, signal.SIGKILL)
        with child.said:
            said = child.said.readlines()
        if child.wait() == -signal.SIGKILL:
            early += 1
        else:
            takes = min(takes, waited)  # the machine is quicker now than when the whole was timed
        look([line.decode().strip() for line in said])
    return early


@pytest.fixture
def times(request) -> int:
    return max(1, request.config.getoption("kills") // 6)


@pytest.fixture
def path(tmp_path) -> Path:
    return tmp_path / "book.logbook"


def put_in_place(source: Path, path: Path) -> None:
    """The book as it was, with nothing beside it."""
    for left in path.parent.glob(path.name + "*"):
        shutil.rmtree(left) if left.is_dir() else left.unlink()
    shutil.copyfile(source, path)


def whole_backups(path: Path) -> None:
    for copy in backup.backups_of(path):
        backup.verify(copy)


def all_or_nothing(path: Path, world: World) -> Callable[[list[str]], None]:
    """A look at a book into which many flights were to enter at once."""
    none, every = ids(world.small), ids(world.large)

    def look(said: list[str]) -> None:
        there = ids(path)
        assert there in (none, every)
        if said:
            assert there == every
        whole_backups(path)

    return look


def finishes(path: Path, words: list[str], world: World) -> None:
    """The same command once more, undisturbed, comes to the end it would have come to."""
    assert run(words) == 0
    assert ids(path) == ids(world.large)
    with Book.open(path) as book:
        assert check(book) == []


def test_an_import_that_is_killed_has_entered_whole_or_not_at_all(world, path, times):
    words = ["--file", str(path), "import", str(world.package)]
    early = kill_at_random(
        lambda: run(words),
        lambda: put_in_place(world.small, path),
        all_or_nothing(path, world),
        times=times,
        seed=1,
    )
    assert early >= times // 3
    finishes(path, words, world)


def test_a_merge_that_is_killed_has_entered_whole_or_not_at_all(world, path, times):
    words = ["--file", str(path), "merge", str(world.large)]
    early = kill_at_random(
        lambda: run(words),
        lambda: put_in_place(world.small, path),
        all_or_nothing(path, world),
        times=times,
        seed=2,
    )
    assert early >= times // 3
    finishes(path, words, world)


def test_corrections_that_are_killed_are_there_with_every_earlier_state_or_not_at_all(world, path, times):
    def work() -> None:
        for number in range(8):
            assert run(["--file", str(path), "correct", "flight", "F0", f"remarks=step {number}"]) == 0
            sys.stdout.write(f"done {number}\n")
            sys.stdout.flush()

    def look(said: list[str]) -> None:
        confirmed = [line for line in said if line.startswith("done")]
        assert ids(path) == ["F0"]
        raw = sqlite3.connect(path)
        (remarks,) = raw.execute("SELECT remarks FROM flight").fetchone()
        was = [row[0] for row in raw.execute("SELECT was ->> 'remarks' FROM version ORDER BY seq")]
        raw.close()
        steps = [*was, remarks]
        assert steps == [None, *(f"step {number}" for number in range(len(steps) - 1))]
        assert len(confirmed) <= len(steps) - 1 <= len(confirmed) + 1

    early = kill_at_random(work, lambda: put_in_place(world.small, path), look, times=times, seed=3)
    assert early >= times // 3


def test_a_backup_that_is_killed_leaves_no_half_copy_under_a_name_of_a_backup(world, path, times):
    def work() -> None:
        for _ in range(3):
            assert run(["--file", str(path), "backup"]) == 0

    def look(said: list[str]) -> None:
        assert ids(path) == ids(world.large)
        for line in said:
            assert ids(Path(line)) == ids(world.large)
        whole_backups(path)

    early = kill_at_random(work, lambda: put_in_place(world.large, path), look, times=times, seed=4)
    assert early >= times // 3


def test_a_restore_that_is_killed_leaves_the_book_as_it_was_or_as_it_is_wanted(world, path, times, tmp_path):
    copy = tmp_path / "kept" / "backup.logbook"
    care.back_up(world.small, copy)

    def look(said: list[str]) -> None:
        there = ids(path)  # fails where there is none
        assert there in (ids(world.small), ids(world.large))
        if said:
            assert there == ids(world.small)
        for kept in path.parent.glob("book.logbook.replaced-*"):
            assert ids(kept) == ids(world.large)

    early = kill_at_random(
        lambda: run(["--file", str(path), "restore", str(copy)]),
        lambda: put_in_place(world.large, path),
        look,
        times=times,
        seed=5,
    )
    assert early >= times // 3


def test_a_migration_that_is_killed_leaves_a_book_that_opens(world, path, times, tmp_path):
    """A book of an older format: its number is lowered, so that the steps are gone through; its rows must come out alike."""
    old = tmp_path / "old.logbook"
    shutil.copyfile(world.large, old)
    raw = sqlite3.connect(old)
    raw.execute("PRAGMA user_version = 0")
    raw.close()

    def look(_: list[str]) -> None:
        assert ids(path) == ids(world.large)
        whole_backups(path)
        raw = sqlite3.connect(path)
        assert raw.execute("PRAGMA user_version").fetchone() == (1,)
        raw.close()

    early = kill_at_random(
        lambda: run(["--file", str(path), "list", "flights", "--limit", "1"]),
        lambda: put_in_place(old, path),
        look,
        times=times,
        seed=6,
    )
    assert early >= times // 3
