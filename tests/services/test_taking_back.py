"""Packs moved at the wrong time or into the wrong place: flights speak against it, and the move can be taken back."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.errors import DataRefused
from logbook.services.fitting import fit, remove, swap
from logbook.services.fitting_against import Contradicted
from logbook.services.fitting_form import do_fitting
from logbook.services.pack_detail import state_history
from logbook.services.pack_standing import set_state
from logbook.services.pack_status import pack_rows
from logbook.services.taking_back import take_back
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.records import Records
from tests.club import ADA, NOW, P1, P2, P3, P4, VOLT, WATT, flight_at, put, reading

TOO_EARLY, RIGHT = "2031-05-02T10:00Z", "2031-06-20T10:00Z"


@pytest.fixture
def flown(book: Book) -> Book:
    """Four days of flights of the first two packs."""
    for day in (1, 2, 3, 4):
        put(book, "flight", flight_at(12, f"F{day}", f"2031-05-{day:02d}"))
    return book


def places(book: Book) -> dict[str, tuple[Any, ...]]:
    """Where each pack is, its state, and its hours and landings."""
    names = ("aircraft", "position", "state", "state_since", "time_in_service_hours", "landings")
    return {row["serial_no"]: tuple(row[name] for name in names) for row in pack_rows(book, NOW)[1]}


def test_a_swap_before_flights_that_say_otherwise_is_asked_about_and_not_written(flown: Book) -> None:
    before = places(flown)
    with pytest.raises(Contradicted) as asked:
        swap(flown, P1, P3, at=TOO_EARLY, by=ADA, sure=False, clock=lambda: NOW)
    assert asked.value.field == "at"
    assert asked.value.problem == (
        f"By the record {P1} was in {WATT} on 3 flights (2031-05-02 to 2031-05-04); they do not count for it then."
    )
    assert places(flown) == before
    change = swap(flown, P1, P3, at=TOO_EARLY, by=ADA, clock=lambda: NOW)
    assert change.notes == [asked.value.problem]
    values = {"first": P1, "second": P2, "at": RIGHT}
    assert "By the record" not in do_fitting(flown, "swap", values, NOW, by=ADA, sure=False)


def test_after_the_last_flight_nothing_is_asked(flown: Book) -> None:
    assert swap(flown, P1, P3, at=RIGHT, sure=False, clock=lambda: NOW).notes == []
    assert swap(flown, P1, P2, at="2031-06-21T10:00Z", sure=False, clock=lambda: NOW).notes == []


def test_a_removal_before_a_flight_is_asked_about_too(flown: Book) -> None:
    with pytest.raises(Contradicted, match="LARK-01 was in X-WATT on 1 flight"):
        remove(flown, P1, at="2031-05-04T10:00Z", sure=False, clock=lambda: NOW)


def test_a_fitting_after_the_first_flights_with_the_pack_says_so(flown: Book) -> None:
    remove(flown, P1, at="2031-05-10T10:00Z", clock=lambda: NOW)
    remove(flown, P3, at="2031-05-10T10:00Z", clock=lambda: NOW)
    put(flown, "flight", flight_at(9, "G1", "2031-05-20", readings=[reading(P3), reading(P2)]))
    with pytest.raises(Contradicted, match="LARK-03 was in X-WATT on 1 flight"):
        fit(flown, P3, WATT, "front", at="2031-05-21T10:00Z", sure=False, clock=lambda: NOW)
    assert fit(flown, P3, WATT, "front", at="2031-05-20T08:00Z", sure=False, clock=lambda: NOW).notes == []


@pytest.mark.parametrize("which", [P1, P3])
def test_a_swap_taken_back_leaves_everything_as_it_was(flown: Book, which: str) -> None:
    before = places(flown)
    swap(flown, P1, P3, at=TOO_EARLY, by=ADA, clock=lambda: NOW)
    assert places(flown) != before
    change = take_back(flown, which, by=ADA, why="wrong month")
    assert sorted(change.done) == [
        f"{P1} is in {before[P1][0]}, {before[P1][1]} again, since 2031-04-01T08:00Z",
        f"{P3} is in {before[P3][0]}, {before[P3][1]} again, since 2031-04-01T08:00Z",
    ]
    assert change.notes == []
    assert places(flown) == before
    struck = [row for _, row in Records(flown, "installation").select("struck = 1")]
    assert {row["serial_no"] for row in struck} == {P1, P3}  # nothing is deleted
    swap(flown, P1, P3, at=RIGHT, sure=False, clock=lambda: NOW)  # and now at the right time


def test_fitting_removal_and_an_exchange_with_the_store_go_back_with_the_state(flown: Book) -> None:
    remove(flown, P1, at=RIGHT, why="worn", by=ADA, clock=lambda: NOW)
    alone = places(flown)
    assert alone[P1][2] == "store"
    fit(flown, P1, WATT, "front", at="2031-06-21T10:00Z", by=ADA, clock=lambda: NOW)
    take_back(flown, P1)
    assert places(flown) == alone
    take_back(flown, P1)
    assert places(flown)[P1][:3] == (WATT, "front", "fitted")
    before = places(flown)
    remove(flown, P4, at="2031-06-19T10:00Z", clock=lambda: NOW)
    stored = places(flown)
    swap(flown, P4, P1, at=RIGHT, clock=lambda: NOW)
    take_back(flown, P1)
    assert places(flown) == stored
    take_back(flown, P4)
    assert places(flown) == before


def test_a_state_that_somebody_set_stays(flown: Book) -> None:
    swap(flown, P1, P3, at=RIGHT, by=ADA, clock=lambda: NOW)
    set_state(flown, P1, "quarantined", why="hot", by=ADA, at=RIGHT, clock=lambda: NOW)
    take_back(flown, P1)
    assert places(flown)[P1][:3] == (WATT, "front", "quarantined")
    assert state_history(flown, P1)[-1]["state"] == "quarantined"


def test_what_moved_again_since_is_to_be_taken_back_first(flown: Book) -> None:
    swap(flown, P1, P3, at=TOO_EARLY, clock=lambda: NOW)
    swap(flown, P3, P2, at=RIGHT, clock=lambda: NOW)
    with pytest.raises(DataRefused, match=f"again at {RIGHT}") as refused:
        take_back(flown, P1)
    assert refused.value.next_step == "Take that back first."
    assert "again, since" in do_fitting(flown, "back", {"serial_no": P3}, NOW, by=ADA)
    take_back(flown, P1)
    assert [serial for serial, _ in BookFacts(flown).fitted_now(WATT)] == [P1, P2]
    assert [serial for serial, _ in BookFacts(flown).fitted_now(VOLT)] == [P3, P4]
