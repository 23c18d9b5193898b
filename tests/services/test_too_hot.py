"""A pack that reached its temperature limit is held up wherever its state stands until somebody has looked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.errors import UsageError
from logbook.services.answer import answer
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.flight_entry import preview
from logbook.services.pack_standing import set_state
from logbook.services.plan import plan_flight
from logbook.services.plan_form import CIRCUITS, plan_form
from logbook.store.book_facts import BookFacts
from tests.club import ADA, P1, P2, WATT, flight_at, put, reading
from tests.club import club_book as new_club

DAY = "2031-06-01"
NOW = f"{DAY}T15:00Z"
PLAN = {"aircraft": WATT, "date": DAY, "legs": [{"kind": "circuits", "circuits": 2, "minutes": 12}]}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with new_club(tmp_path / "book.logbook") as book:
        limit = BookFacts(book).aircraft(WATT)["temp_limit_c"] or 56
        hot = flight_at(8, "HOT", day=DAY)
        hot["readings"] = [reading(P1, temp_max_c=limit), reading(P2, temp_max_c=limit - 1)]
        put(book, "flight", hot)
        yield Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))


def held(desk: Desk) -> list[str]:
    """The packs that each way says something of: Today, the form, the plan, the packs, maintenance."""
    fleet = {pack.serial_no: pack.grounded for plane in desk.today().aircraft for pack in plane.packs}
    form = desk.flight_form(desk.begin_flight(WATT))
    warned = " ".join(words for _, words in preview(desk.book, form, {}, "new").flags)
    cautions = " ".join(plan_flight(desk.book, PLAN).answer.cautions)
    said = [
        [s for s in (P1, P2) if fleet[s]],
        [s for s in (P1, P2) if s in warned],
        [s for s in (P1, P2) if s in cautions],
    ]
    asked = {field.part for field in plan_form(desk.book, WATT, CIRCUITS, legs=3, now=NOW).fields}
    assert [s for s in (P1, P2) if any(s in part and "too hot" in part for part in asked)] == said[0]
    assert said[0] == said[1] == [s for s in said[2] if f"Pack {s} reached" in cautions]
    listed = {line.serial_no: (line.row["grounded"], line.state) for line in desk.packs.lines()}
    assert {s: listed[s] for s in (P1, P2)} == {
        s: (fleet[s], "INSPECT" if fleet[s] else "fitted") for s in (P1, P2)
    }
    assert desk.packs.view(P1).row["grounded"] == fleet[P1]
    assert {one["serial_no"]: one["words"] for one in desk.upkeep.board().waiting} == {
        s: fleet[s] for s in said[0]
    }
    return said[0]


def test_only_the_pack_that_reached_its_limit_is_held_up(desk: Desk) -> None:
    assert held(desk) == [P1]


def test_an_answer_to_the_flag_ends_it(desk: Desk) -> None:
    assert held(desk) == [P1]  # what was worked out once is not said after the answer
    answer(desk.book, "HOT", "temperature_limit", "sensor was loose", serial_no=P1, by=ADA)
    assert held(desk) == []


@pytest.mark.parametrize(
    ("completed", "packs"), [(f"{DAY}T14:00Z", []), (f"{DAY}T07:00Z", [P1]), ("2031-06-09T12:00Z", [P1])]
)
def test_an_entry_after_the_flight_ends_it_and_one_before_or_dated_ahead_does_not(
    desk: Desk, completed: str, packs: list[str]
) -> None:
    assert held(desk) == [P1]
    put(desk.book, "maintenance", {"serial_no": P1, "text": "looked at", "completed": completed})
    assert held(desk) == packs


def test_a_quarantined_pack_is_released_by_somebody_who_is_named(desk: Desk) -> None:
    set_state(desk.book, P1, "quarantined", why="hot", at=f"{DAY}T10:00Z")
    with pytest.raises(UsageError, match="who releases it"):
        set_state(desk.book, P1, "fitted", why="looks fine", at=f"{DAY}T11:00Z")
    set_state(
        desk.book,
        P1,
        "fitted",
        why="inspected, entry M7",
        by=ADA,
        at=f"{DAY}T11:00Z",
        clock=desk.clock,
    )
    assert desk.records("pack")[0]["state"] == "fitted"


def test_who_is_at_the_keys_is_expected_to_have_flown_and_not_whoever_flew_last(desk: Desk) -> None:
    def pilot() -> str:
        form = desk.flight_form(desk.begin_flight(WATT))
        return next(field.expected for field in form.fields if field.name == "pilot")

    last = pilot()
    other = next(name for name in BookFacts(desk.book).people() if name != last)
    desk.set("operator", other)
    assert pilot() == other
    desk.set("operator", "somebody the book does not know")
    assert pilot() == last


def test_the_limit_written_down_with_a_flight_counts_for_that_flight_and_for_none_after_it(
    desk: Desk,
) -> None:
    strict = flight_at(
        10,
        "STRICT",
        day=DAY,
        temp_limit_c=40,
        readings=[reading(P1, temp_max_c=42), reading(P2, temp_max_c=39)],
    )
    usual = flight_at(12, "USUAL", day=DAY, readings=[reading(P1, temp_max_c=42), reading(P2, temp_max_c=39)])
    put(desk.book, "flight", [strict, usual])

    def hot(flight_id: str) -> list[tuple[str, float]]:
        flags = desk.show("flight", flight_id)["flags"]
        return [(f["serial_no"], f["figures"]["limit_c"]) for f in flags if f["rule"] == "temperature_limit"]

    assert hot("STRICT") == [(P1, 40)]
    assert hot("USUAL") == []
