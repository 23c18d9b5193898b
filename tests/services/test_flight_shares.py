"""Landings that two people share count for each of them, from the form to their totals."""

from pathlib import Path

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.flight_typed import record_of
from logbook.services.people import totals_of
from tests.services.club import NOW, club_book

TYPED = {
    "pilot": "Ana Lind", "function": "pic", "second_person": "Bea Rush", "second_function": "copilot",
    "off_blocks": "0800", "takeoff": "0805", "landing": "0840", "on_blocks": "0845",
    "landings_day": "5", "landings_night": "1",
}  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    book = club_book(tmp_path / "club.logbook")
    yield Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))
    book.close()


def typed(**more: str) -> dict[str, tuple[str, str]]:
    return {name: (text, "read") for name, text in (TYPED | more).items() if text}


def test_the_second_persons_landings_are_theirs_and_the_others_the_pilots(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    record = record_of(
        form, typed(second_landings_day="2", second_landings_night="1"), flight_id="x", open_only=False
    )
    assert record["crew"] == [
        {"person": "Ana Lind", "landings_day": 3, "landings_night": 0},
        {"person": "Bea Rush", "landings_day": 2, "landings_night": 1},
    ]
    assert not [name for name in record if name.startswith("second_landings")]


def test_where_nothing_is_shared_out_no_crew_row_is_made(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    assert "crew" not in record_of(form, typed(), flight_id="x", open_only=False)


def test_the_field_says_what_is_left_for_the_pilot(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    assert form.reader("second_landings_day", typed())("2").echo == "Bea Rush 2, Ana Lind 3"


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"landings_day": ""}, "type the landings of the flight first"),
        ({"second_person": ""}, "name the pilot and the second person first"),
        ({"landings_day": "1"}, "more than the 1 of the flight"),
    ],
)
def test_a_share_of_nothing_of_nobody_or_of_too_little_is_refused(desk: Desk, changes, problem: str) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    meaning = form.reader("second_landings_day", typed(**changes))("2")
    assert (meaning.value, problem in meaning.problem) == (None, True)


def test_landings_of_a_kind_that_is_not_shared_out_stay_the_pilots(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    record = record_of(form, typed(second_landings_day="2"), flight_id="x", open_only=False)
    assert [row["landings_night"] for row in record["crew"]] == [1, 0]


def test_saved_they_count_for_both_in_their_totals(desk: Desk) -> None:
    entry = desk.begin_flight("AB-1")
    before = {name: _landings(desk, name) for name in ("Ana Lind", "Bea Rush")}
    form = desk.flight_form(entry)
    values = typed(second_landings_day="2")
    desk.save_flight(form, values, entry.flight_id, open_only=False)
    gained = {name: _landings(desk, name) - before[name] for name in before}
    assert gained == {"Ana Lind": 3 + 1, "Bea Rush": 2}


def _landings(desk: Desk, name: str) -> int:
    totals = totals_of(desk.book, name)
    return totals.landings_day + totals.landings_night
