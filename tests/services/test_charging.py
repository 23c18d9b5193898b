"""Charging sessions, their meters and flags, and the answers at the charger."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.errors import DataRefused
from logbook.services.charge_now import Asked, charge_now, in_words
from logbook.services.charging import metered, record_session, sessions
from logbook.services.correct import correct, strike
from logbook.services.pack_standing import set_state
from logbook.services.questions import list_records, show
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests.club import NOW, P1, P2, P3, charge, flight_at, put, reading

SESSION = {"started": "2031-05-09T10:00Z", "ended": "2031-05-09T11:10Z", "charger": "hangar"}


def packs(**changes: Any) -> list[dict[str, Any]]:
    """Two packs filled from 60 to 90 %."""
    return [{"serial_no": serial, "soc_start_pct": 60, "soc_end_pct": 90} | changes for serial in (P1, P2)]


def test_one_meter_for_two_packs_counts_once_in_every_total(book: Book) -> None:
    charge_id, added = record_session(book, SESSION | {"shared_energy_kwh": 12.4}, packs(), by="Ada Quill")
    assert [one.record_id for one in added] == [charge_id, charge_id]
    found = sessions(book)
    assert len(found) == 1
    assert found[0]["meter_kwh"] == 12.4
    assert sum(pack["meter_share_kwh"] for pack in found[0]["packs"]) == pytest.approx(12.4, abs=1e-12)
    for serials in (None, [P1], [P2], [P1, P2]):
        assert metered(book, serials).kwh == 12.4
        assert metered(book, serials).sessions == 1
    assert metered(book, [P3]).kwh == 0


def test_meters_of_their_own_add_up(book: Book) -> None:
    rows = packs()
    rows[0]["energy_kwh"], rows[1]["energy_kwh"] = 3.9, 4.1
    record_session(book, SESSION, rows)
    assert sessions(book)[0]["meter_kwh"] == pytest.approx(8.0)


def test_a_session_enters_whole_or_not_at_all(book: Book) -> None:
    with pytest.raises(DataRefused, match="Record 2"):
        record_session(book, SESSION, [packs()[0], {"serial_no": "P-404"}])
    with pytest.raises(DataRefused, match="twice"):
        record_session(book, SESSION, [packs()[0], packs()[0]])
    with pytest.raises(DataRefused, match="needs a pack"):
        record_session(book, SESSION, [])
    assert sessions(book) == []


def test_a_session_is_ended_when_it_ends(book: Book) -> None:
    begun = {"started": "2031-05-09T10:00Z", "charger": "hangar"}
    charge_id, _ = record_session(book, begun, [{"serial_no": s, "soc_start_pct": 60} for s in (P1, P2)])
    ended = {"ended": "2031-05-09T11:00Z", "shared_energy_kwh": 8.1}
    ends = {f"{P1}.soc_end_pct": 90, f"{P2}.soc_end_pct": 88}
    correct(book, "charge", charge_id, ended | ends, by="Ada Quill", why="end of the charge")
    found = sessions(book)[0]
    assert (found["ended"], found["meter_kwh"]) == ("2031-05-09T11:00Z", 8.1)
    assert [pack["soc_end_pct"] for pack in found["packs"]] == [90, 88]


def test_flags_stand_in_the_list_in_the_record_and_in_the_answer_to_adding(book: Book) -> None:
    correct(book, "pack-type", "PK-12", {"charge_min_temp_c": 5, "charge_max_temp_c": 45}, by="Ada Quill")
    added = put(book, "charge", charge("C1", P1, "2031-05-09T10:00Z", temp_start_c=2))
    assert [flag["rule"] for flag in added[0].flags] == ["charge_temperature"]
    listed = list(list_records(book, "charge", FlightFilter()))
    assert [flag["rule"] for flag in listed[0]["flags"]] == ["charge_temperature"]
    assert show(book, "charge", "C1")["flags"] == added[0].flags
    assert "2 °C, below the least for charging (5 °C)" in added[0].flags[0]["words"]


def test_a_charge_that_overlaps_a_flight_or_another_charge_is_flagged(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    during = put(book, "charge", charge("C1", P1, "2031-05-09T08:30Z", ended="2031-05-09T09:30Z"))
    assert [flag["rule"] for flag in during[0].flags] == ["charge_overlap"]
    assert "flight F1" in during[0].flags[0]["words"]
    beside = put(book, "charge", charge("C2", P1, "2031-05-09T09:00Z", ended="2031-05-09T10:00Z"))
    assert "charge C1" in beside[0].flags[0]["words"]
    after = put(book, "charge", charge("C3", P1, "2031-05-09T10:00Z", ended="2031-05-09T11:00Z"))
    assert after[0].flags == []


def test_a_charge_that_was_struck_out_has_no_flags(book: Book) -> None:
    put(book, "charge", charge("C1", P1, "2031-05-09T10:00Z", soc_start_pct=90, soc_end_pct=60))
    assert [flag["rule"] for flag in show(book, "charge", "C1")["flags"]] == ["charge_fell"]
    strike(book, "charge", "C1", by="Ada Quill", why="entered twice")
    assert show(book, "charge", "C1")["flags"] == []


def test_a_pack_left_above_its_storage_charge_is_flagged_until_it_is_used(book: Book) -> None:
    correct(book, "pack-type", "PK-12", {"storage_soc_pct": 60}, by="Ada Quill")
    put(book, "charge", charge("C1", P1, "2031-05-01T10:00Z", ended="2031-05-01T11:00Z"))
    put(book, "flight", flight_at(8, "F1", "2031-05-12"))
    flags = show(book, "charge", "C1")["flags"]
    assert [flag["rule"] for flag in flags] == ["parked_full"]
    assert "stood at 90 % for 11 days" in flags[0]["words"]


def test_balancing_is_called_for_on_the_newest_charge_only(book: Book) -> None:
    for number in range(1, 29):
        put(
            book,
            "flight",
            flight_at(8, f"F{number}", f"2031-05-{number:02d}", readings=[reading(P1, soc_landing_pct=10)]),
        )
        put(book, "charge", charge(f"C{number}", P1, f"2031-05-{number:02d}T10:00Z", soc_start_pct=10))
    listed = list(list_records(book, "charge", FlightFilter(pack=P1)))
    flagged = [row["charge_id"] for row in listed if any(f["rule"] == "balancing_due" for f in row["flags"])]
    assert flagged == ["C28"]


def test_may_it_be_charged_now_by_a_temperature_just_read(book: Book) -> None:
    correct(book, "pack-type", "PK-12", {"charge_min_temp_c": 5, "charge_max_temp_c": 40}, by="Ada Quill")
    yes = charge_now(book, P1, Asked(at=NOW, temp_c=25))
    no = charge_now(book, P1, Asked(at=NOW, temp_c=48, air_c=20))
    assert (yes["verdict"], yes["when"]) == ("yes", None)
    assert no["verdict"] == "no"
    assert no["when"]["low"] <= no["when"]["mid"] <= no["when"]["high"]
    assert no["when"]["mid"] > NOW
    assert charge_now(book, P1, Asked(at=NOW))["verdict"] == "cannot tell"  # nothing was ever read


def test_a_quarantined_pack_is_not_said_to_be_ready_for_the_charger(book: Book) -> None:
    correct(book, "pack-type", "PK-12", {"charge_min_temp_c": 5, "charge_max_temp_c": 40}, by="Ada Quill")
    set_state(book, P1, "quarantined", why="hot after a flight", at=NOW)
    answer = charge_now(book, P1, Asked(at=NOW, temp_c=25))
    assert answer["verdict"] == "no"
    assert "what grounds the pack" in answer["words"]
    assert "By temperature yes" in answer["words"]


def test_eighty_percent_at_about(book: Book) -> None:
    for number in range(1, 9):  # thirty points in an hour, packs together
        rows = packs()
        record_session(
            book,
            {
                "started": f"2031-05-{number:02d}T10:00Z",
                "ended": f"2031-05-{number:02d}T11:00Z",
                "charger": "hangar",
            },
            rows,
        )
        put(book, "flight", flight_at(14, f"F{number}", f"2031-05-{number:02d}"))
    answer = charge_now(book, P1, Asked(at="2031-05-09T10:00Z", wanted=(70, 90)))
    assert (answer["soc_pct"], answer["charger"], answer["packs_together"]) == (60, "hangar", 2)
    seventy, ninety = answer["reaches"]
    assert ninety["low"] <= "2031-05-09T11:00Z" <= ninety["high"]
    assert seventy["mid"] < ninety["mid"]
    assert any("90 % at about 1" in line for line in in_words(answer))
    alone = charge_now(book, P1, Asked(at="2031-05-09T10:00Z", packs_together=1))
    assert alone["reaches"] == []
    assert "needs three charges" in alone["pace_words"]


def test_a_charge_under_way_is_reckoned_from_its_start(book: Book) -> None:
    for number in range(1, 5):
        put(
            book,
            "charge",
            charge(f"C{number}", P1, f"2031-05-0{number}T10:00Z", ended=f"2031-05-0{number}T11:00Z"),
        )
    put(book, "charge", charge("C9", P1, "2031-05-09T10:00Z", soc_end_pct=None))
    answer = charge_now(book, P1, Asked(at="2031-05-09T10:40Z", wanted=(90,)))
    assert answer["soc_pct"] == 60
    assert answer["reaches"][0]["low"] <= "2031-05-09T11:00Z" <= answer["reaches"][0]["high"]
    assert "counted from the start of the charge at 10:00 UTC" in answer["pace_words"]
