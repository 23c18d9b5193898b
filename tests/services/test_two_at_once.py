"""Two programs on one file: both work, and no change of one is lost in a change of the other."""

from __future__ import annotations

import pytest

from logbook.errors import ChangedMeanwhile
from logbook.services.check import check
from logbook.services.correct import correct
from logbook.services.questions import list_flights, show_flight
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests import children, club
from tests.club import P1, P2, put

ROUNDS = 13


def busy(path, pack, field, first_hour):
    """One program: adds flights, corrects its own field of a shared flight, and counts up a shared figure."""

    def work():
        with Book.open(path) as book:
            for number in range(ROUNDS):
                day = f"2031-06-{number + 1:02d}"
                put(book, "flight", club.flight_at(first_hour, f"{pack}-{number}", day=day))
                changes = {f"{pack}.temp_landing_c": 20 + number, field: f"{pack} was here {number} times"}
                correct(book, "flight", "shared", changes, by=pack)
                count_up(book)

    return work


def count_up(book):
    """Reads, adds one, writes under the token it read: the way a screen saves."""
    while True:
        shown = show_flight(book, "shared")
        try:
            correct(book, "flight", "shared", {"aboard": shown["aboard"] + 1}, seen=shown["token"])
        except ChangedMeanwhile:
            continue
        return


def test_two_programs_that_write_by_turns_lose_nothing(book_path):
    with Book.open(book_path) as book:
        put(book, "flight", club.flight("shared", aboard=0))
    one = children.start(busy(book_path, P1, "remarks", 8))
    two = children.start(busy(book_path, P2, "debrief", 12))
    assert (one.wait(), two.wait()) == (0, 0)
    one.said.close()
    two.said.close()
    with Book.open(book_path) as book:
        shown = show_flight(book, "shared")
        assert shown["aboard"] == 2 * ROUNDS
        assert shown["remarks"] == f"{P1} was here {ROUNDS - 1} times"
        assert shown["debrief"] == f"{P2} was here {ROUNDS - 1} times"
        assert [reading["temp_landing_c"] for reading in shown["readings"]] == [20 + ROUNDS - 1] * 2
        by = [version["by_whom"] for version in shown["versions"] if version["record"] == "reading"]
        assert (by.count(P1), by.count(P2)) == (ROUNDS, ROUNDS)
        counted = [v["was"]["aboard"] for v in shown["versions"] if v["record"] == "flight"]
        assert set(counted) == set(range(2 * ROUNDS))
        assert len(list(list_flights(book, FlightFilter()))) == 2 * ROUNDS + 1
        assert check(book) == []


def test_a_change_on_what_was_read_before_somebody_elses_change_is_refused(book_path):
    with Book.open(book_path) as mine, Book.open(book_path) as theirs:
        put(mine, "flight", club.flight())
        seen = show_flight(mine, "F1")["token"]
        correct(theirs, "flight", "F1", {f"{P1}.soc_landing_pct": 55})
        with pytest.raises(ChangedMeanwhile, match="not written"):
            correct(mine, "flight", "F1", {f"{P1}.soc_landing_pct": 50}, seen=seen)
        assert show_flight(mine, "F1")["readings"][0]["soc_landing_pct"] == 55
        correct(mine, "flight", "F1", {f"{P1}.soc_landing_pct": 50}, seen=show_flight(mine, "F1")["token"])
