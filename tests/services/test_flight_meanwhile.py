"""An open flight that somebody else changes while it is on the form: nothing of either is lost without a word."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.errors import ChangedMeanwhile
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.unfinished import Entry, entry_of
from logbook.store.database import Book
from tests.club import NOW, P1, P2, WATT, flight_at, put

OPEN = {"takeoff": None, "landing": None, "on_blocks": None, "state": "open"}


@pytest.fixture
def desk(book: Book, tmp_path: Any) -> Desk:
    """A flight that was opened with the reading of one pack, and is about to be closed."""
    readings = [{"serial_no": P1, "soc_departure_pct": 90}]
    put(book, "flight", flight_at(8, "F1", "2031-06-30", readings=readings) | OPEN)
    return Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))


def typed(desk: Desk, **values: str) -> Entry:
    entry = desk.go_on_with("F1")
    return entry._replace(values=entry.values | {name: (text, "read") for name, text in values.items()})


def close(desk: Desk, entry: Entry) -> dict[str, Any]:
    form = desk.flight_form(entry)
    return desk.save_flight(form, entry.values, "F1", open_only=False, seen=entry.seen).flight


def test_an_open_flight_that_somebody_changed_is_not_overwritten_by_closing_it(desk: Desk) -> None:
    entry = typed(desk, on_blocks="0840", remarks="mine", defect="Brake drags")
    desk.correct("flight", "F1", {f"{P1}.soc_departure_pct": 80, "aboard": 2}, why="read again")
    with pytest.raises(ChangedMeanwhile):
        close(desk, entry)
    flight = desk.show("flight", "F1")
    assert (flight["state"], flight["on_blocks"], flight["aboard"]) == ("open", None, 2)
    assert flight["readings"][0]["soc_departure_pct"] == 80
    assert desk.records("defect") == []


def test_what_changed_is_said_and_taken_in_and_what_was_typed_stays(desk: Desk) -> None:
    entry = typed(desk, on_blocks="0840", remarks="mine")
    desk.set("operator", "Ben Marsh")
    changes = {f"{P1}.soc_departure_pct": 80, "aboard": 2, "remarks": "theirs"}
    desk.correct("flight", "F1", changes, why="read again")
    now, said = desk.flight_meanwhile(entry)
    assert f"Charge before of {P1}: it was 90 and is 80 now." in said
    assert "Persons aboard: it was empty and is 2 now." in said
    assert any("is theirs now; you typed mine, which F2 writes over it" in words for words in said)
    assert said[-1] == "By Ben Marsh."
    flight = close(desk, now)
    assert (flight["state"], flight["remarks"], flight["aboard"]) == ("closed", "mine", 2)
    assert flight["readings"][0]["soc_departure_pct"] == 80


def test_a_reading_that_somebody_added_is_not_taken_away(desk: Desk) -> None:
    entry = typed(desk, on_blocks="0840")
    desk.correct("flight", "F1", {f"{P2}.soc_departure_pct": 77}, why="the rear pack too")
    now, said = desk.flight_meanwhile(entry)
    assert f"Charge before of {P2}: it was empty and is 77 now." in said
    readings = {one["serial_no"]: one["soc_departure_pct"] for one in close(desk, now)["readings"]}
    assert readings == {P1: 90, P2: 77}


def test_one_that_somebody_else_closed_or_struck_out_says_so(desk: Desk) -> None:
    entry = typed(desk, on_blocks="0840")
    desk.correct("flight", "F1", {"on_blocks": "2031-06-30T08:44Z", "state": "closed"}, why="closed")
    assert desk.flight_meanwhile(entry)[1][0] == "The flight was closed."
    desk.strike("flight", "F1", "twice")
    assert desk.flight_meanwhile(entry)[1][0] == "It was struck out."


def test_a_draft_remembers_under_what_it_was_read_and_without_a_change_it_closes(desk: Desk) -> None:
    kept = entry_of(typed(desk, on_blocks="0840").draft(NOW))
    assert close(desk, kept)["state"] == "closed"
    with pytest.raises(ChangedMeanwhile):
        close(desk, kept)


def test_who_else_opens_the_same_flight_for_another_aeroplane_is_no_matter(desk: Desk) -> None:
    entry = typed(desk, on_blocks="0840")
    put(desk.book, "flight", flight_at(6, "F0", "2031-06-30"))
    assert (entry.aircraft, close(desk, entry)["state"]) == (WATT, "closed")
