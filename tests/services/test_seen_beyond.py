"""An observation beyond a limit of its pack is flagged everywhere, holds the pack up, and is answered like any flag."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from logbook.errors import DataRefused
from logbook.services.answer import answer
from logbook.services.correct import correct, strike
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.export_book import export_package
from logbook.services.flagged_charges import learn_flagged
from logbook.services.flight_entry import preview
from logbook.services.import_book import import_package
from logbook.services.pack_detail import pack_detail
from logbook.services.pack_papers import component_record
from logbook.services.pack_status import pack_rows
from logbook.services.plan import plan_flight
from logbook.services.plan_form import CIRCUITS, plan_form
from logbook.services.questions import list_records, show
from logbook.services.waiting import waiting_packs
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from logbook.store.seen_limits import beyond_limits, limits_stated
from tests.club import ADA, P1, P2, WATT, put
from tests.club import club_book as new_club

DAY = "2031-06-01"
NOW = f"{DAY}T15:00Z"
LIMITS = {"cells_apart_caution_mv": 30, "cells_apart_limit_mv": 50, "insulation_limit_mohm": 5}
PLAN = {"aircraft": WATT, "date": DAY, "legs": [{"kind": "circuits", "circuits": 2, "minutes": 12}]}
HELD = f"cells 60 mV apart on {DAY}: inspection before next use"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """The type allows 50 mV; one pack was seen with 60, the other with 50."""
    with new_club(tmp_path / "book.logbook") as book:
        correct(book, "pack-type", "PK-12", LIMITS, by=ADA, why="manual")
        see(book, "O1", P1, 60)
        see(book, "O2", P2, 50)
        yield Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))


def see(
    book: Book, observation_id: str, serial_no: str, millivolts: float, at: str = f"{DAY}T08:00Z", **more: Any
) -> None:
    cells = {"cell_min_v": 3.6, "cell_max_v": round(3.6 + millivolts / 1000, 3)}
    put(
        book,
        "observation",
        {"observation_id": observation_id, "serial_no": serial_no, "at": at} | cells | more,
    )


def rules(book: Book, observation_id: str) -> list[tuple[str, bool]]:
    return [(flag["rule"], flag["answered"]) for flag in show(book, "observation", observation_id)["flags"]]


def held(desk: Desk) -> dict[str, str]:
    """The packs that may not fly and why; every way says the same."""
    fleet = {pack.serial_no: pack.grounded for plane in desk.today().aircraft for pack in plane.packs}
    found = {serial: fleet[serial] for serial in (P1, P2) if fleet[serial]}
    form = desk.flight_form(desk.begin_flight(WATT))
    warned = " ".join(words for _, words in preview(desk.book, form, {}, "new").flags)
    cautions = " ".join(plan_flight(desk.book, PLAN).answer.cautions)
    parts = " ".join(field.part for field in plan_form(desk.book, WATT, CIRCUITS, legs=3, now=NOW).fields)
    listed = {line.serial_no: line.row["grounded"] for line in desk.packs.lines() if line.row["grounded"]}
    assert listed == found == {one["serial_no"]: one["words"] for one in desk.upkeep.board().waiting}
    for serial in (P1, P2):
        assert (serial in found) == (serial in warned) == (f"Pack {serial} showed cells" in cautions)
        assert found.get(serial, "-") in parts or serial not in found
    return found


def test_the_pack_beyond_its_limit_is_held_up_and_the_one_at_it_is_not(desk: Desk) -> None:
    assert rules(desk.book, "O1") == [("cells_apart_limit", False)]
    assert rules(desk.book, "O2") == [("cells_apart_caution", False)]
    assert held(desk) == {P1: HELD}


def test_today_maintenance_lists_exports_and_the_paper_name_it(desk: Desk) -> None:
    book = desk.book
    words = "Cells of pack LARK-01 were 60 mV apart; 50 mV is the most allowed."
    waiting = {flag.record_id: flag.words for flag in learn_flagged(book, {}).upkeep}
    assert waiting["O1"] == words
    assert {flag.record_id for flag in desk.upkeep.board().flags} == {"O1", "O2"}

    def by_flag(flag: str) -> list[str]:
        rows = list_records(book, "observation", FlightFilter(flag=flag))
        return [row["observation_id"] for row in rows]

    assert by_flag("cells_apart_limit") == ["O1"]
    assert by_flag("cells_apart_caution") == ["O2"]
    assert sorted(by_flag("any")) == ["O1", "O2"]
    exceeded = pack_detail(book, P1, NOW)["exceedances"]
    assert [(row["record_id"], row["severity"], row["words"]) for row in exceeded] == [
        ("O1", "serious", words)
    ]
    assert [row["what"] for row in pack_detail(book, P2, NOW)["exceedances"]] == ["cells_apart_caution"]
    rows = {row["serial_no"]: row for row in pack_rows(book, NOW)[1]}
    assert (rows[P1]["observation_exceedances"], rows[P2]["observation_exceedances"]) == (1, 0)
    assert rows[P1]["grounded"] == HELD
    paper = str(component_record(book, P1, NOW).blocks)
    for said in (words, HELD, "60, on 2031-06-01", "limit 50 mV, passed on 2031-06-01"):
        assert said in paper


def test_an_answer_ends_it_until_the_reading_or_the_limit_changes(desk: Desk) -> None:
    answer(desk.book, "O1", "cells_apart_limit", "balanced since", by=ADA)
    assert rules(desk.book, "O1") == [("cells_apart_limit", True)]
    assert held(desk) == {}
    correct(desk.book, "observation", "O1", {"text": "seen by daylight"})
    assert held(desk) == {}
    correct(desk.book, "observation", "O1", {"cell_max_v": 3.67})
    assert held(desk) == {P1: HELD.replace("60", "70")}
    answer(desk.book, "O1", "cells_apart_limit", "misread first", by=ADA)
    correct(desk.book, "pack-type", "PK-12", {"cells_apart_limit_mv": 40}, why="manual, rev. 2")
    assert rules(desk.book, "O1") == [("cells_apart_limit", False)]
    assert set(held(desk)) == {P1, P2}


def test_an_answer_to_a_caution_is_none_to_the_limit(desk: Desk) -> None:
    with pytest.raises(DataRefused, match="has no flag 'cells_apart_caution'"):
        answer(desk.book, "O1", "cells_apart_caution", "seen")
    answer(desk.book, "O2", "cells_apart_caution", "watched", by=ADA)
    assert held(desk) == {P1: HELD}


@pytest.mark.parametrize(
    ("completed", "packs"), [(f"{DAY}T14:00Z", 0), (f"{DAY}T07:00Z", 1), ("2031-06-09T12:00Z", 1)]
)
def test_an_entry_after_the_observation_ends_it_and_one_before_or_dated_ahead_does_not(
    desk: Desk, completed: str, packs: int
) -> None:
    put(desk.book, "maintenance", {"serial_no": P1, "text": "looked at", "completed": completed})
    assert len(held(desk)) == packs
    assert rules(desk.book, "O1") == [("cells_apart_limit", False)]  # the flag asks until it is answered


def test_a_later_observation_within_the_limits_does_not_end_it_and_striking_the_wrong_one_does(
    desk: Desk,
) -> None:
    see(desk.book, "O3", P1, 10, at=f"{DAY}T12:00Z")
    assert held(desk) == {P1: HELD}
    strike(desk.book, "observation", "O1", by=ADA, why="another pack")
    assert held(desk) == {}


def test_the_newest_of_what_holds_a_pack_up_is_said_and_all_that_one_observation_shows(desk: Desk) -> None:
    see(desk.book, "O3", P1, 55, at=f"{DAY}T12:00Z", insulation_mohm=0.4)
    assert held(desk) == {P1: f"cells 55 mV apart, insulation 0.4 MΩ on {DAY}: inspection before next use"}
    answer(desk.book, "O3", "insulation_low", "wet connector, dried", by=ADA)
    assert waiting_packs(desk.book, NOW)[P1].what == "cells 55 mV apart"
    answer(desk.book, "O3", "cells_apart_limit", "balanced", by=ADA)
    assert held(desk) == {P1: HELD}  # nobody has said anything of the earlier one


def test_what_is_dated_ahead_has_not_been_seen_yet(desk: Desk) -> None:
    assert waiting_packs(desk.book, "2031-05-31T12:00Z") == {}
    assert pack_rows(desk.book, "2031-05-31", [P1])[1][0]["observation_exceedances"] == 0


def test_what_the_pack_states_goes_before_its_type_and_a_struck_type_states_nothing(desk: Desk) -> None:
    correct(desk.book, "pack", P1, {"cells_apart_limit_mv": 80}, why="log card")
    assert rules(desk.book, "O1") == [("cells_apart_caution", False)]
    assert limits_stated(desk.book, [P1]) == {P1: (30, 80, None, None, 5)}
    assert beyond_limits(desk.book, "9") == []
    strike(desk.book, "pack-type", "PK-12", by=ADA, why="entered twice")
    assert rules(desk.book, "O2") == []
    assert limits_stated(desk.book) == {P1: (None, 80, None, None, None)}


def test_who_enters_it_hears_it_at_once(desk: Desk) -> None:
    seen = {"serial_no": P2, "at": f"{DAY}T13:00Z", "insulation_mohm": 4.99}
    (added,) = put(desk.book, "observation", seen)
    assert [flag["rule"] for flag in added.flags] == ["insulation_low"]


@pytest.mark.parametrize("name", sorted({*LIMITS, "cell_limit_min_v", "cell_limit_max_v"}))
@pytest.mark.parametrize("kind", ["pack-type", "pack"])
def test_a_limit_of_nothing_is_refused(desk: Desk, kind: str, name: str) -> None:
    with pytest.raises(DataRefused, match="must be above 0"):
        correct(desk.book, kind, "PK-12" if kind == "pack-type" else P1, {name: 0})


def test_limits_and_answers_go_out_and_come_back_with_a_package(desk: Desk, tmp_path: Path) -> None:
    answer(desk.book, "O1", "cells_apart_limit", "balanced since", by=ADA)
    export_package(desk.book, tmp_path / "out.zip")
    with Book.open(tmp_path / "new.logbook", create=True) as other:
        import_package(other, tmp_path / "out.zip")
        assert rules(other, "O1") == [("cells_apart_limit", True)]
        assert rules(other, "O2") == [("cells_apart_caution", False)]
        assert limits_stated(other) == limits_stated(desk.book)
