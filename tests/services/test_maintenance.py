"""Fitting, exchanging and releasing packs; entries that close defects; what falls due by use."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.services.correct import correct, strike
from logbook.services.due_by_use import all_due, due_by_use
from logbook.services.fitting import fit, remove, swap
from logbook.services.maintenance import aircraft_totals, component_rows
from logbook.services.maintenance_entry import record_entry
from logbook.services.pack_detail import pack_detail, state_history
from logbook.services.pack_standing import set_state
from logbook.services.pack_status import pack_rows
from logbook.services.questions import show
from logbook.services.refresh import refresh
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import Flights
from logbook.store.records import Records
from tests.club import ADA, NOW, P1, P2, P3, VOLT, WATT, flight_at, put, rules_of

AT = "2031-06-01T10:00Z"


def where(book: Book, serial: str) -> tuple[Any, Any, str]:
    """Aeroplane, position and state of a pack now."""
    row = next(row for row in pack_rows(book, NOW)[1] if row["serial_no"] == serial)
    return row["aircraft"], row["position"], row["state"]


def test_a_pack_is_removed_and_fitted_elsewhere_at_the_same_moment(book: Book) -> None:
    remove(book, P3, at=AT, by=ADA, why="to the other aeroplane")
    remove(book, P1, at=AT, by=ADA, why="workshop", to="away")
    change = fit(book, P3, WATT, "front", at=AT, by=ADA, aircraft_hours=120.4)
    assert change.done == [f"{P3} fitted to X-WATT, front, {AT}"]
    assert where(book, P3) == (WATT, "front", "fitted")
    assert where(book, P1) == (None, None, "away")


def test_two_packs_change_places_in_one_step(book: Book) -> None:
    swap(book, P1, P3, at=AT, by=ADA, why="even out the cycles")
    assert where(book, P1) == (VOLT, "front", "fitted")
    assert where(book, P3) == (WATT, "front", "fitted")
    assert BookFacts(book).fitted_now(WATT) == [(P3, "front"), (P2, "rear")]


def test_a_pack_from_the_store_takes_the_place_of_another(book: Book) -> None:
    put(book, "pack", {"serial_no": "LARK-05", "part_no": "PK-12"})
    swap(book, P1, "LARK-05", at=AT, by=ADA)
    assert where(book, "LARK-05") == (WATT, "front", "fitted")
    assert where(book, P1) == (None, None, "store")


def test_an_exchange_that_cannot_be_changes_nothing(book: Book) -> None:
    before = [where(book, serial) for serial in (P1, P3)]
    with pytest.raises(DataRefused, match="cannot be removed at"):
        swap(book, P1, P3, at="2031-01-01T00:00Z", by=ADA)
    with pytest.raises(UsageError, match="itself"):
        swap(book, P1, P1, by=ADA)
    assert [where(book, serial) for serial in (P1, P3)] == before


@pytest.mark.parametrize(
    ("serial", "aircraft", "position", "words"),
    [
        (P3, WATT, "front", "fitted elsewhere"),
        ("LARK-05", WATT, "front", "position is taken"),
        ("LARK-05", WATT, "middle", "has no position 'middle'"),
        ("LARK-05", "X-NONE", "front", "knows no aircraft"),
        ("P-404", WATT, "front", "knows no pack"),
    ],
)
def test_a_fitting_that_cannot_be_is_refused(
    book: Book, serial: str, aircraft: str, position: str, words: str
) -> None:
    put(book, "pack", {"serial_no": "LARK-05"})
    with pytest.raises(DataRefused, match=words):
        fit(book, serial, aircraft, position, at=AT)


def test_a_scrapped_pack_is_removed_and_cannot_be_fitted_again(book: Book) -> None:
    change = set_state(book, P1, "scrapped", why="worn out", by=ADA, at=AT)
    assert len(change.done) == 2
    assert where(book, P1) == (None, None, "scrapped")
    with pytest.raises(DataRefused, match="scrapped"):
        fit(book, P1, WATT, "front", at=NOW)


def test_a_quarantine_survives_an_exchange_and_flying_it_is_flagged(book: Book) -> None:
    set_state(book, P1, "quarantined", why="hard landing", by=ADA, at="2031-05-01T08:00Z")
    assert where(book, P1)[2] == "quarantined"
    assert rules_of(put(book, "flight", flight_at(8, "F1"))) == {"pack_quarantined"}
    change = swap(book, P1, P3, at=AT, by=ADA, clock=lambda: NOW)
    assert change.notes == [f"{P1} stays quarantined: it may not fly until that is ended."]
    assert where(book, P1) == (VOLT, "front", "quarantined")


def test_an_entry_closes_the_defect_and_ends_the_quarantine(book: Book) -> None:
    put(
        book,
        "defect",
        {"defect_id": "D1", "serial_no": P1, "found": AT, "text": "swollen", "needs_inspection": 1},
    )
    set_state(book, P1, "quarantined", why="defect D1", by=ADA, at=AT)
    entry = {
        "entry_id": "M1",
        "serial_no": P1,
        "text": "module changed",
        "completed": "2031-06-02T10:00Z",
        "done_by": "Cleo Fenn",
        "certificate_no": "C-7",
        "closes_defect": "D1",
    }
    _, done = record_entry(book, entry, by="Cleo Fenn", release=True, clock=lambda: NOW)
    assert done[0] == "defect D1 closed by entry M1"
    assert where(book, P1) == (WATT, "front", "fitted")
    defect = show(book, "defect", "D1")
    assert (defect["state"], defect["closed_by_entry"]) == ("closed", "M1")
    assert defect["versions"][-1]["by_whom"] == "Cleo Fenn"
    states = state_history(book, P1)
    assert [state["state"] for state in states] == ["quarantined", "fitted"]
    assert [state["by"] for state in states] == [ADA, "Cleo Fenn"]
    assert states[1]["why"] == "released by entry M1: module changed"


def test_an_entry_for_another_pack_or_before_the_defect_is_refused_whole(book: Book) -> None:
    put(book, "defect", {"defect_id": "D1", "serial_no": P1, "found": AT, "text": "swollen"})
    entry = {"entry_id": "M1", "serial_no": P2, "text": "x", "completed": NOW, "closes_defect": "D1"}
    with pytest.raises(DataRefused, match="is of LARK-01, not of LARK-02"):
        record_entry(book, entry)
    with pytest.raises(DataRefused, match="after the work was completed"):
        record_entry(book, entry | {"serial_no": P1, "completed": "2031-05-01T10:00Z"})
    with pytest.raises(DataRefused, match="There is no maintenance 'M1'"):
        show(book, "maintenance", "M1")


def test_an_added_entry_closes_its_defect_and_one_that_cannot_is_flagged(book: Book) -> None:
    put(book, "defect", {"defect_id": "D1", "serial_no": P1, "found": AT, "text": "swollen"})
    entry = {"serial_no": P1, "text": "looked at", "completed": NOW}
    assert put(book, "maintenance", entry | {"closes_defect": "D1"})[0].flags == []
    assert show(book, "defect", "D1")["state"] == "closed"
    assert rules_of(put(book, "maintenance", entry | {"text": "again", "closes_defect": "D404"})) == {
        "defect_not_closed"
    }


def test_a_counter_that_goes_back_is_flagged_when_it_is_added(book: Book) -> None:
    put(book, "observation", {"serial_no": P1, "at": "2031-05-01T08:00Z", "counter_hours": 80})
    added = put(book, "observation", {"serial_no": P1, "at": "2031-06-01T08:00Z", "counter_hours": 79})
    assert rules_of(added) == {"counter_back"}


def fly_for_months(book: Book) -> None:
    """Half an hour in the air on ten days of each of four months."""
    for month in ("03", "04", "05", "06"):
        for day in range(1, 11):
            put(book, "flight", flight_at(8, f"F{month}{day}", f"2031-{month}-{day:02d}"))


def test_total_time_and_components_follow_from_the_flights(book: Book) -> None:
    fly_for_months(book)
    put(
        book,
        "component",
        {
            "component_id": "PROP",
            "aircraft": WATT,
            "name": "propeller",
            "fitted": "2031-05-01T00:00Z",
            "hours_brought_forward": 100,
            "limit_hours": 120,
        },
    )
    totals = aircraft_totals(book, NOW)
    assert totals[WATT]["hours"] == 20.0
    assert totals[VOLT]["hours"] == 0.0
    part = component_rows(book, totals)[0]
    assert (part["hours"], part["hours_remaining"]) == (110.0, 10.0)
    due = due_by_use(book, NOW)
    assert [(item["what"], item["remaining"]) for item in due] == [("propeller by hours, expected", 10.0)]
    # twenty hours in the 121 days from 1 March to 30 June: ten more take about sixty days
    assert "2031-08-25" <= due[0]["due"] <= "2031-09-05"


def test_the_newest_entry_of_a_work_sets_what_is_due_next(book: Book) -> None:
    fly_for_months(book)
    work = {"aircraft": WATT, "work": "100 h inspection", "text": "done"}
    put(book, "maintenance", work | {"completed": "2031-03-01T08:00Z", "next_due_hours": 10})
    put(book, "maintenance", work | {"completed": "2031-06-01T08:00Z", "next_due_hours": 19})
    due = [item for item in all_due(book) if item["what"].startswith("100 h")]
    assert [(item["at"], item["now"], item["remaining"]) for item in due] == [(19.0, 20.0, -1.0)]
    assert due[0]["what"] == "100 h inspection by hours"


def test_a_pack_whole_holds_everything_a_mechanic_asks_for(book: Book) -> None:
    fly_for_months(book)
    for day, low, high in (
        ("2031-03-02", 3.60, 3.61),
        ("2031-04-20", 3.60, 3.62),
        ("2031-06-20", 3.60, 3.64),
    ):
        at = f"{day}T18:00Z"
        put(book, "observation", {"serial_no": P1, "at": at, "cell_min_v": low, "cell_max_v": high})
    detail = pack_detail(book, P1, NOW)
    assert detail["row"] == next(row for row in pack_rows(book, NOW)[1] if row["serial_no"] == P1)
    assert detail["fittings"][0]["hours"] == 15.0  # fitted since April: thirty flights
    assert sum(one["cycles"] for one in detail["cycles"]["by_depth"]) > 0
    assert len(detail["gaps"]) == 39  # nobody wrote a charge down
    assert {gap["cause"] for gap in detail["gaps"]} == {"charge missing"}
    assert detail["observations"]["rows"][-1]["cells_apart_mv"] == 40.0
    trend = detail["observations"]["trends"]["cells_apart_mv_per_year"]
    assert trend["low"] < trend["value"] < trend["high"]
    assert trend["value"] > 0
    assert detail["capacity"]["usable_kwh"]["mid"] > 0
    assert detail["temperature"]["usual_flight"]["highest_c"]["mid"] > 20
    assert detail["costs"]["electricity_per_hour"]["words"].startswith("Cannot be told")


def test_a_flight_during_a_quarantine_stays_flagged_after_the_release(book: Book) -> None:
    set_state(book, P1, "quarantined", why="hot", by=ADA, at="2031-05-05T12:00Z")
    for day in (5, 6, 8, 9):
        put(book, "flight", flight_at(8, f"F{day}", f"2031-05-{day:02d}"))
    assert flagged_flights(book) == ["F6", "F8", "F9"]
    entry = {"serial_no": P1, "text": "seen", "completed": "2031-05-08T12:00Z", "done_by": "Cleo Fenn"}
    record_entry(book, entry, by="Cleo Fenn", release=True, clock=lambda: NOW)
    assert flagged_flights(book) == ["F6", "F8"]
    put(book, "flight", flight_at(15, "F8b", "2031-05-08"))
    put(book, "flight", flight_at(15, "F7", "2031-05-07"))
    assert flagged_flights(book) == ["F6", "F7", "F8"]
    assert pack_rows(book, "2031-05-07", [P1])[1][0]["state"] == "quarantined"
    assert pack_rows(book, "2031-05-09", [P1])[1][0]["grounded"] == ""


def test_a_quarantine_said_once_more_began_when_it_began_and_a_wrong_day_can_be_corrected(book: Book) -> None:
    set_state(book, P1, "quarantined", why="hot", by=ADA, at="2031-05-05T12:00Z")
    put(book, "flight", flight_at(8, "F6", "2031-05-06"))
    set_state(book, P1, "quarantined", why="cells apart too", by=ADA, at="2031-05-07T12:00Z")
    assert flagged_flights(book) == ["F6"]
    correct(book, "pack", P1, {"state_since": "2031-05-06T12:00Z"}, by=ADA, why="mistyped")
    assert flagged_flights(book) == []


def flagged_flights(book: Book) -> list[str]:
    """Flights that a grounded pack flew on, as kept and as worked out anew."""
    derived = Derived(book)

    def now() -> list[str]:
        numbers = [n for n, _ in Records(book, "flight").select("struck = 0", order="off_blocks")]
        found = derived.flags(numbers)
        flights = zip(numbers, Flights(book).read(numbers), strict=True)
        return [row["flight_id"] for n, row in flights if "pack_quarantined" in {f["rule"] for f in found[n]}]

    kept = now()
    with book.writing():
        derived.mark_all()
        refresh(book)
    assert now() == kept
    return kept


@pytest.mark.parametrize("deferred", [True, False])
def test_a_defect_whose_closing_was_a_mistake_is_again_what_it_was(book: Book, deferred: bool) -> None:
    put(book, "defect", {"defect_id": "D1", "aircraft": WATT, "found": AT, "text": "lamp"})
    if deferred:
        change = {"state": "deferred", "deferred_until": "2031-07-15", "deferred_by": ADA}
        correct(book, "defect", "D1", change, by=ADA, why="day only")
    before = {
        name: show(book, "defect", "D1")[name] for name in ("state", "deferred_until", "closed_by_entry")
    }
    entry = {"entry_id": "M1", "aircraft": WATT, "text": "x", "completed": NOW, "closes_defect": "D1"}
    record_entry(book, entry, clock=lambda: NOW)
    assert show(book, "defect", "D1")["state"] == "closed"
    strike(book, "maintenance", "M1", by=ADA, why="another lamp")
    after = show(book, "defect", "D1")
    assert {name: after[name] for name in before} == before


def test_cells_read_before_a_baseline_break_are_no_part_of_the_line(book: Book) -> None:
    for month, high in (("01", 3.60), ("02", 3.61), ("03", 3.62), ("05", 3.63), ("06", 3.63)):
        seen = {"serial_no": P1, "at": f"2031-{month}-10T18:00Z", "cell_min_v": 3.59, "cell_max_v": high}
        put(book, "observation", seen)
    whole = pack_detail(book, P1, NOW)["observations"]["trends"]["cells_apart_mv_per_year"]
    assert (whole["n"], whole["words"]) == (5, "line through 5 readings")
    put(book, "observation", {"serial_no": P1, "at": "2031-04-01T08:00Z", "baseline_break": "module"})
    after = pack_detail(book, P1, NOW)["observations"]["trends"]["cells_apart_mv_per_year"]
    assert (after["n"], after["value"]) == (2, None)
    assert after["words"] == "needs three readings over a month since it started anew on 2031-04-01"
