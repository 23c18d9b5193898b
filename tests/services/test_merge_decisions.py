"""Merging with a decision for each difference: each counts for its own record, and one left open stops all."""

import shutil
from pathlib import Path

import pytest

from logbook.cli.main import run
from logbook.errors import UsageError
from logbook.services.correct import correct
from logbook.services.merge_book import merge_book
from logbook.services.questions import show
from logbook.store.database import Book
from tests import club


@pytest.fixture
def other(book, tmp_path) -> Path:
    for hour in (8, 10):
        club.put(book, "flight", club.flight_at(hour, f"F{hour}"))
    path = tmp_path / "other.logbook"
    shutil.copyfile(book.path, path)
    with Book.open(path) as theirs:
        for flight_id in ("F8", "F10"):
            correct(theirs, "flight", flight_id, {"remarks": "theirs"}, why="typo")
    for flight_id in ("F8", "F10"):
        correct(book, "flight", flight_id, {"remarks": "ours"}, why="other typo")
    return path


def remarks(book) -> list[str]:
    return [show(book, "flight", flight_id)["remarks"] for flight_id in ("F8", "F10")]


def test_each_decision_counts_for_its_own_record(book, other) -> None:
    decisions = {("flight", "F8", ""): "theirs", ("flight", "F10", ""): "ours"}
    report = merge_book(book, other, take=decisions)
    assert report.written
    assert {one.record_id: one.decided for one in report.differences} == {"F8": "theirs", "F10": "ours"}
    assert remarks(book) == ["theirs", "ours"]


def test_one_left_open_stops_all(book, other) -> None:
    report = merge_book(book, other, take={("flight", "F8", ""): "theirs"})
    assert not report.written
    assert remarks(book) == ["ours", "ours"]


def test_a_word_that_is_neither_is_refused(book, other) -> None:
    with pytest.raises(UsageError, match="neither"):
        merge_book(book, other, take={("flight", "F8", ""): "mine"})


def test_whoever_watches_can_stop_it_and_nothing_is_changed(book, other) -> None:
    class Enough(Exception):
        pass

    def stop(done: int, name: str) -> None:
        raise Enough(done, name)

    before = list(book.connection.iterdump())
    with pytest.raises(Enough):
        merge_book(book, other, take="theirs", progress=stop)
    assert list(book.connection.iterdump()) == before


def test_decisions_are_given_by_command_too(book, other, capsys) -> None:
    words = ["--file", str(book.path), "merge", str(other)]
    assert run([*words, "--decide", "flight/F8=theirs", "--decide", "flight/F10=ours"]) == 0
    assert remarks(book) == ["theirs", "ours"]
    assert run([*words, "--decide", "flight/F8=mine"]) == 2
    assert run([*words, "--decide", "flight/F8=ours", "--take", "ours"]) == 2
    assert "no decision" in capsys.readouterr().err
