"""A world of its own for each test: no file, folder or setting of the person who runs the tests is touched."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.store.database import Book
from tests.club import club_book


def pytest_addoption(parser: pytest.Parser) -> None:
    """Longer runs of tests/reliability."""
    parser.addoption(
        "--kills", type=int, default=60, help="how often commands are killed (tests/reliability)"
    )
    parser.addoption(
        "--damage", type=int, default=120, help="how many damaged books are read (tests/reliability)"
    )


@pytest.fixture(autouse=True)
def _own_world(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Points every place the program might write to into the test's own folder."""
    monkeypatch.setenv("LOGBOOK_FILE", str(tmp_path / "book.logbook"))
    monkeypatch.setenv("LOGBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("LOGBOOK_CONFIG", str(tmp_path / "config"))
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    for name in ("DATA", "STATE", "CONFIG", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / name.lower()))


@pytest.fixture(scope="session")
def settled_club(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with the club in it, made once; tests get copies."""
    path = tmp_path_factory.mktemp("club") / "club.logbook"
    club_book(path).close()
    return path


@pytest.fixture
def book_path(settled_club: Path, tmp_path: Path) -> Path:
    """The book the commands open by default, with the club in it."""
    path = tmp_path / "book.logbook"
    shutil.copyfile(settled_club, path)
    path.chmod(0o600)
    return path


@pytest.fixture
def book(book_path: Path) -> Iterator[Book]:
    """The club's book, open."""
    with Book.open(book_path) as opened:
        yield opened
