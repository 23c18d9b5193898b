"""Work due by hours: counted on from what was read on the aeroplane, told on Today, typed as so many hours from now."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.due_again import no_longer_due
from logbook.services.due_by_use import all_due, due_by_use
from logbook.services.questions import show
from logbook.services.upkeep_flags import upkeep_flags
from logbook.services.upkeep_forms import entry_form
from logbook.store.database import Book
from tests.club import NOW, P1, VOLT, WATT, flight_at, put, rules_of

ENTRY = {"aircraft": WATT, "work": "hundred hours", "text": "done", "completed": "2031-05-02T08:00Z"}


@pytest.fixture
def desk(book: Book, tmp_path: Any) -> Desk:
    """Two hours flown on four days of May, half an hour in the air each."""
    for day in (1, 2, 3, 4):
        put(book, "flight", flight_at(9, f"F{day}", f"2031-05-{day:02d}"))
    return Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))


def item(book: Book, what: str) -> dict[str, Any]:
    return next(one for one in due_by_use(book, NOW) if one["what"].startswith(what))


def test_due_hours_count_on_from_the_reading_and_not_from_where_the_book_began(desk: Desk) -> None:
    put(desk.book, "maintenance", ENTRY | {"aircraft_hours": 321.8, "next_due_hours": 421.8})
    found = item(desk.book, "hundred hours")
    # read before the flight of the second: three flights of half an hour since
    assert (found["now"], found["remaining"]) == (323.3, 98.5)
    assert found["counted"] == "321.8 h read on 2031-05-02, 1.5 h flown since"
    put(desk.book, "maintenance", ENTRY | {"aircraft": VOLT, "next_due_hours": 100})
    other = [one for one in due_by_use(desk.book, NOW) if one["of"] == VOLT]
    assert [(one["now"], one["remaining"], one["counted"]) for one in other] == [(0.0, 100.0, "")]


def test_the_newest_reading_counts_whichever_work_it_was_read_at(desk: Desk) -> None:
    book = desk.book
    put(book, "maintenance", ENTRY | {"aircraft_hours": 321.8, "next_due_hours": 421.8})
    repair = {"aircraft": WATT, "work": "repair", "text": "tyre", "completed": "2031-05-20T08:00Z"}
    put(book, "maintenance", repair | {"aircraft_hours": 330.3})
    assert item(book, "hundred hours")["remaining"] == 91.5
    earlier = next(one for one in due_by_use(book, "2031-05-10") if one["of"] == WATT)
    assert earlier["remaining"] == 98.5  # as of a day before it was read


def test_a_reading_far_from_what_the_book_counts_is_said(desk: Desk) -> None:
    added = put(desk.book, "maintenance", ENTRY | {"entry_id": "M1", "aircraft_hours": 321.8})
    assert rules_of(added) == {"hours_apart"}
    (flag,) = upkeep_flags(desk.book)["maintenance", "M1"]
    assert flag["figures"] == {"read": 321.8, "counted": 0.5}
    assert "up to then the book counts 0.5 h, 321.3 h less" in flag["words"]
    assert flag["figures"]["counted"] == 0.5


def test_a_book_that_began_late_is_told_so_once_and_after_that_only_of_what_is_new(desk: Desk) -> None:
    """Three flights of half an hour lie between the readings: 323.3 h is what was to be read."""
    put(desk.book, "maintenance", ENTRY | {"entry_id": "M1", "aircraft_hours": 321.8})
    later = ENTRY | {"completed": "2031-05-20T08:00Z", "work": "repair", "text": "tyre"}
    assert (
        rules_of(put(desk.book, "maintenance", later | {"entry_id": "M2", "aircraft_hours": 323.5})) == set()
    )
    after = later | {"completed": "2031-05-21T08:00Z", "entry_id": "M3", "aircraft_hours": 330.0}
    assert rules_of(put(desk.book, "maintenance", after)) == {"hours_apart"}
    (flag,) = upkeep_flags(desk.book)["maintenance", "M3"]
    assert flag["figures"] == {"read": 330.0, "counted": 323.5}
    assert "since 323.5 h of 2031-05-20 the book counts 0.0 h, 6.5 h less" in flag["words"]


def test_a_reading_that_went_back_is_said_alone_and_the_next_right_one_is_not_doubted(desk: Desk) -> None:
    put(desk.book, "maintenance", ENTRY | {"entry_id": "M1", "aircraft_hours": 321.8})
    later = ENTRY | {"completed": "2031-05-20T08:00Z", "text": "tyre"}
    assert rules_of(put(desk.book, "maintenance", later | {"aircraft_hours": 32.3})) == {"hours_back"}
    right = later | {"completed": "2031-05-21T08:00Z", "text": "lamp", "aircraft_hours": 323.4}
    assert rules_of(put(desk.book, "maintenance", right)) == set()


@pytest.mark.parametrize(("typed", "due"), [("+100", 421.8), ("421.8", 421.8), ("+0,5 h", 322.3)])
def test_hours_after_the_work_become_a_total(desk: Desk, typed: str, due: float) -> None:
    form = entry_form(desk.book, "inspection", NOW, WATT)
    value = form.meaning("next_due_hours", typed)
    assert not value.problem
    values = {"text": "done", "completed": ENTRY["completed"], "aircraft_hours": 321.8}
    entry, words = desk.upkeep.add_entry("inspection", values | {"next_due_hours": value.value}, WATT)
    assert show(desk.book, "maintenance", entry["entry_id"])["next_due_hours"] == due
    assert f"due again at {due:g} h" in words


def test_without_a_reading_they_count_from_what_the_book_counts_then(desk: Desk) -> None:
    values = {"text": "done", "completed": "2031-05-03T08:00Z", "next_due_hours": "+20.0"}
    entry, _ = desk.upkeep.add_entry("inspection", dict(values), WATT)
    assert entry["next_due_hours"] == 21.0  # an hour flown on the first and the second
    pack, _ = desk.upkeep.add_entry("inspection", values | {"next_due_cycles": "+5.0"}, P1)
    # two flights of half an hour, each from 90 to 60 %; the charges between them were never written down
    assert pack["next_due_hours"] == 21.0
    assert pack["next_due_cycles"] == pytest.approx(5 + 2 * 0.3)


def test_a_directive_is_a_work_of_its_own_by_its_number_and_today_tells_of_it(desk: Desk) -> None:
    for number, hours in (("2031-07", "+20.0"), ("2031-09", "+400.0")):
        values = {"work": number, "text": "not done yet", "next_due_hours": hours}
        desk.upkeep.add_entry("directive", values, WATT)
    assert [one["what"] for one in desk.upkeep.soon()] == ["directive 2031-07 by hours, expected"]
    assert desk.upkeep.known_soon() == desk.upkeep.soon()
    left = {one["what"]: one["left"] for one in all_due(desk.book) if one["what"].startswith("directive")}
    assert left["directive 2031-07 by hours, expected"] == "20 h"
    desk.upkeep.add_entry("directive", {"work": "2031-07", "text": "done: bolts replaced"}, WATT)
    assert desk.upkeep.known_soon() is None  # the book has changed
    assert desk.upkeep.soon() == []


def test_an_entry_that_names_no_next_time_says_what_it_ends(desk: Desk) -> None:
    book = desk.book
    annual = ENTRY | {"work": "annual inspection", "next_due_date": "2032-05-02", "next_due_hours": 400}
    put(book, "maintenance", annual)
    again = {"work": "annual inspection", "text": "again", "next_due_hours": 500.0}
    _, words = desk.upkeep.add_entry("inspection", again, WATT)
    assert "annual inspection of X-WATT was due on 2032-05-02; that no longer stands" in words
    assert "400" not in words
    late = annual | {"completed": "2031-04-01T08:00Z", "next_due_date": None}
    assert no_longer_due(book, late) == []  # completed before the one that counts
    last = {"aircraft": WATT, "work": "annual inspection", "text": "x", "completed": NOW}
    added = put(book, "maintenance", last)
    assert rules_of(added) == {"no_longer_due"}
    assert rules_of(put(book, "maintenance", last | {"aircraft": VOLT})) == set()
