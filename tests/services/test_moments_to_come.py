"""What cannot have been done yet ends nothing: work and changes of packs dated in time to come, or before their cause."""

from __future__ import annotations

import pytest

from logbook.errors import DataRefused
from logbook.services.fitting import remove, swap
from logbook.services.fitting_form import do_fitting, fitting_form
from logbook.services.maintenance_entry import record_entry
from logbook.services.pack_standing import set_state
from logbook.services.questions import show
from logbook.services.upkeep_forms import entry_form
from logbook.store.database import Book
from logbook.units import shown_instant
from tests.club import ADA, NOW, P1, P3, put, rules_of

SINCE = "2031-06-20T10:00Z"
NEXT_YEAR = "2032-06-30T12:00Z"
ENTRY = {"serial_no": P1, "text": "inspected", "done_by": "Cleo Fenn", "completed": "2031-06-21T10:00Z"}


def clock() -> str:
    return NOW


def state_of(book: Book, serial: str = P1) -> str | None:
    return show(book, "pack", serial)["state"]


@pytest.fixture
def quarantined(book: Book) -> Book:
    """The club's book with a pack in quarantine since ten days."""
    set_state(book, P1, "quarantined", why="hot", by=ADA, at=SINCE, clock=clock)
    return book


@pytest.mark.parametrize(
    ("completed", "words"),
    [("2031-06-20T09:59Z", "quarantined since 2031-06-20 10:00 UTC"), (NEXT_YEAR, "still to come")],
)
def test_work_before_the_quarantine_or_in_time_to_come_does_not_end_it(
    quarantined: Book, completed: str, words: str
) -> None:
    entry = ENTRY | {"entry_id": "M1", "completed": completed}
    with pytest.raises(DataRefused, match=words) as refused:
        record_entry(quarantined, entry, by="Cleo Fenn", release=True, clock=clock)
    assert refused.value.field == "completed"
    assert state_of(quarantined) == "quarantined"
    with pytest.raises(DataRefused, match="no maintenance 'M1'"):
        show(quarantined, "maintenance", "M1")
    with pytest.raises(DataRefused, match=words):
        set_state(quarantined, P1, "fitted", why="M1", by=ADA, at=completed, clock=clock)
    assert state_of(quarantined) == "quarantined"


def test_work_after_it_ends_it_at_the_very_minute_too(quarantined: Book) -> None:
    _, done = record_entry(quarantined, ENTRY | {"completed": SINCE}, release=True, clock=clock)
    assert done == [f"{P1}: quarantined -> fitted, {SINCE}"]


@pytest.mark.parametrize("state", ["fitted", "scrapped", "away"])
def test_a_release_of_a_pack_that_is_not_quarantined_leaves_its_state_alone(book: Book, state: str) -> None:
    set_state(book, P1, state, why="as it is", by=ADA, at=SINCE, clock=clock)
    _, done = record_entry(book, ENTRY, by="Cleo Fenn", release=True, clock=clock)
    assert done == [f"{P1} was not quarantined: its state stays '{state}'"]
    assert state_of(book) == state


def test_work_that_is_not_done_yet_closes_no_defect_by_any_way(book: Book) -> None:
    put(book, "defect", {"defect_id": "D1", "serial_no": P1, "found": SINCE, "text": "swollen"})
    entry = ENTRY | {"closes_defect": "D1", "completed": NEXT_YEAR}
    with pytest.raises(DataRefused, match="closes no defect"):
        record_entry(book, entry, clock=clock)
    assert rules_of(put(book, "maintenance", entry)) == {"defect_not_closed"}
    assert show(book, "defect", "D1")["state"] == "open"
    record_entry(book, ENTRY | {"closes_defect": "D1"}, clock=clock)
    assert show(book, "defect", "D1")["state"] == "closed"


def test_a_pack_moved_in_time_to_come_is_said_so(book: Book) -> None:
    later = "2033-06-30T12:00Z"
    said = f" is still to come: it is {shown_instant(NOW)} by this computer. Is the date right?"
    assert swap(book, P1, P3, at=NEXT_YEAR, clock=clock).notes == [shown_instant(NEXT_YEAR) + said]
    assert remove(book, P1, at=later, clock=clock).notes == ["2033-06-30 12:00 UTC" + said]
    assert set_state(book, P1, "away", why="workshop", at=later, clock=clock).notes != []


@pytest.mark.parametrize("at", [NOW, "2031-06-30T12:05Z", "2031-06-01T10:00Z"])
def test_a_clock_on_the_wall_may_be_a_few_minutes_ahead(book: Book, at: str) -> None:
    assert swap(book, P1, P3, at=at, clock=clock).notes == []


def test_forms_doubt_a_moment_to_come_and_take_one_that_was(book: Book) -> None:
    for form, name in (
        (fitting_form(book, "swap", NOW), "at"),
        (entry_form(book, "repair", NOW), "completed"),
    ):
        assert form.meaning(name, "2031-07-01 0900").doubt == "a time to come."
        assert form.meaning(name, "2031-07-01 0900").value == "2031-07-01T09:00Z"
        assert form.meaning(name, "2031-06-30 0900").doubt == ""
        assert form.meaning(name, "now").doubt == ""
    words = do_fitting(book, "swap", {"first": P1, "second": P3, "at": NEXT_YEAR}, NOW, by=ADA)
    assert "still to come" in words
