"""Correcting, striking and answering: the record is mended, the earlier state stays, and flags follow the figures."""

from __future__ import annotations

import sqlite3

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.services.answer import answer
from logbook.services.check import check
from logbook.services.correct import correct, strike
from logbook.services.questions import list_flights, show, show_flight
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests import club
from tests.club import ADA, BEN, CLEO, P1, P2, charge, flight, flight_at, put, reading


def of_pack(shown, serial_no):
    return next(row for row in shown["readings"] if row["serial_no"] == serial_no)


def rules(book, flight_id="F1"):
    return {flag["rule"]: flag for flag in show_flight(book, flight_id)["flags"]}


def test_a_corrected_field_has_its_old_value_in_the_history_with_who_and_why(book):
    put(book, "flight", flight(remarks="calm"))
    done = correct(book, "flight", "F1", {"remarks": "gusty"}, by=BEN, why="read wrongly")
    assert done.changes == [("remarks", "calm", "gusty")]
    (version,) = done.record["versions"]
    assert version["was"]["remarks"] == "calm"
    assert (version["by_whom"], version["why"]) == (BEN, "read wrongly")


def test_a_correction_that_changes_nothing_writes_nothing(book):
    put(book, "flight", flight(remarks="calm"))
    done = correct(book, "flight", "F1", {"remarks": "calm", f"{P1}.soc_landing_pct": "60"})
    assert done.changes == []
    assert done.record["versions"] == []


def test_one_packs_reading_is_corrected_and_the_others_stay(book):
    put(book, "flight", flight())
    done = correct(book, "flight", "F1", {f"{P1}.soc_landing_pct": "55,5"})
    assert done.changes == [(f"{P1}.soc_landing_pct", 60, 55.5)]
    assert of_pack(done.record, P1)["soc_landing_pct"] == 55.5
    assert of_pack(done.record, P2)["soc_landing_pct"] == 60


def test_emptying_a_field_makes_it_unknown(book):
    put(book, "flight", flight(remarks="calm"))
    done = correct(book, "flight", "F1", {"remarks": "", f"{P1}.soh_pct": ""})
    assert done.record["remarks"] is None
    assert of_pack(done.record, P1)["soh_pct"] is None


def test_a_reading_and_a_crew_row_that_were_missing_are_added_and_the_history_says_so(book):
    put(book, "flight", flight(readings=[reading(P1)]))
    done = correct(book, "flight", "F1", {f"{P2}.soc_landing_pct": "61", f"{CLEO}.handled": "1"}, by=BEN)
    assert of_pack(done.record, P2)["soc_landing_pct"] == 61
    assert done.record["crew"] == [dict(done.record["crew"][0], person=CLEO, handled=1)]
    assert [(v["record"], v["was"]) for v in done.record["versions"]] == [("reading", None), ("crew", None)]


def test_a_crew_row_is_corrected_by_the_persons_name_also_with_a_point_in_it(book):
    put(book, "person", {"person": "Dr. D. Reed"})
    put(book, "flight", flight(crew=[{"person": "Dr. D. Reed", "function": "dual"}]))
    done = correct(book, "flight", "F1", {"Dr. D. Reed.function": "solo"})
    assert done.changes == [("Dr. D. Reed.function", "dual", "solo")]


def test_a_serial_number_with_a_colon_is_a_serial_number(book):
    put(book, "pack", club.pack("A:1"))
    put(book, "flight", flight(readings=[reading("A:1"), reading(P1)]))
    for sign in (".", ":"):
        value = 51 if sign == "." else 52
        done = correct(book, "flight", "F1", {f"A:1{sign}soc_landing_pct": value})
        assert of_pack(done.record, "A:1")["soc_landing_pct"] == value
    assert len(done.record["readings"]) == 2


def test_a_reading_written_down_for_the_wrong_pack_goes_to_the_right_one_and_is_there_once(book):
    put(book, "flight", flight(readings=[reading(P1), reading(club.P3)]))
    assert "pack_not_fitted" in rules(book)
    done = correct(book, "flight", "F1", {f"{club.P3}.serial_no": P2})
    assert [row["serial_no"] for row in done.record["readings"]] == [P1, P2]
    assert done.record["versions"][-1]["was"]["serial_no"] == club.P3
    assert rules(book) == {}
    assert check(book) == []


def test_a_reading_cannot_go_to_a_pack_that_has_one(book):
    put(book, "flight", flight())
    with pytest.raises(DataRefused, match="two readings"):
        correct(book, "flight", "F1", {f"{P1}.serial_no": P2})


def test_the_figure_for_the_whole_aeroplane_is_corrected_by_the_registration_and_never_copied_to_packs(book):
    put(book, "flight", flight(readings=[reading(None, soc_landing_pct=60)]))
    done = correct(book, "flight", "F1", {f"{club.WATT}.soc_landing_pct": 20})
    (row,) = done.record["readings"]
    assert (row["serial_no"], row["soc_landing_pct"]) == (None, 20)
    # 70 points of two packs of 12 kWh at a state of health of 98 %: 0.7 + 0.3 × 0.98 of nominal
    assert row["derived"]["energy_kwh"] == pytest.approx(0.7 * 24 * 0.994, abs=1e-3)
    assert "landing_below_reserve" in rules(book)
    assert "readings_missing" not in rules(book)
    packs = book.connection.execute("SELECT count(*) FROM reading WHERE serial_no IS NOT NULL").fetchone()[0]
    assert packs == 0


def test_a_part_left_out_of_a_whole_new_list_is_refused_not_forgotten(book):
    put(book, "flight", flight())
    with pytest.raises(DataRefused, match="never removed"):
        correct(book, "flight", "F1", {"readings": [reading(P1)]})
    assert len(show_flight(book, "F1")["readings"]) == 2


def test_the_phases_of_a_recorder_can_be_corrected(book):
    put(book, "flight", flight(phases=[{"sequence": 1, "phase": "climb", "minutes": 4}]))
    done = correct(book, "flight", "F1", {"phases": [{"sequence": 1, "phase": "climb", "minutes": 5}]})
    assert done.record["phases"][0]["minutes"] == 5
    assert done.record["versions"][0]["was"]["minutes"] == 4


def test_a_struck_flight_counts_nowhere_and_its_time_may_be_entered_again(book):
    put(book, "flight", [flight_at(8, "F1"), flight_at(10, "F2")])
    assert "ledger_gap" in rules(book, "F2")
    strike(book, "flight", "F1", by=BEN, why="never flown")
    assert rules(book, "F2") == {}
    assert [row["flight_id"] for row in list_flights(book, FlightFilter())] == ["F2"]
    assert put(book, "flight", flight_at(8, "F3"))[0].fate == "new"
    with pytest.raises(DataRefused, match="stands in that place"):
        correct(book, "flight", "F1", {"struck": 0})
    assert check(book) == []


def test_striking_needs_a_reason(book):
    put(book, "flight", flight())
    with pytest.raises(UsageError):
        strike(book, "flight", "F1", why=" ")


def test_every_kind_can_be_struck_and_restored(book):
    put(book, "observation", {"observation_id": "O", "serial_no": P1, "at": "2031-05-09T12:00Z"})
    for kind, record_id in (("observation", "O"), ("pack", P1), ("person", ADA), ("aircraft", club.WATT)):
        assert strike(book, kind, record_id, why="a test")["struck"] == 1
        restored = correct(book, kind, record_id, {"struck": 0}).record
        assert restored["struck"] == 0
        assert len(restored["versions"]) == 2


def test_a_person_who_changes_their_name_keeps_flights_and_history(book):
    put(book, "flight", flight())
    correct(book, "person", ADA, {"person": "Ada Reed"})
    assert show_flight(book, "F1")["pilot"] == "Ada Reed"
    assert show(book, "person", ADA)["person"] == "Ada Reed"
    assert show(book, "person", "Ada Reed")["versions"][0]["was"]["person"] == ADA


# ---- answers


def low(book, soc=20):
    put(book, "flight", flight(readings=[reading(P1, soc_landing_pct=soc), reading(P2, soc_landing_pct=25)]))


def test_an_answer_holds_until_the_figure_changes_and_then_the_flag_is_open_again(book):
    low(book)
    answer(book, "F1", "landing_below_reserve", "went around twice", by=ADA)
    assert rules(book)["landing_below_reserve"]["answered"]
    correct(book, "flight", "F1", {"remarks": "nothing to do with it"})
    assert rules(book)["landing_below_reserve"]["answered"]
    correct(book, "flight", "F1", {f"{P1}.soc_landing_pct": 19})
    assert not rules(book)["landing_below_reserve"]["answered"]
    assert show_flight(book, "F1")["answers"][0]["words"] == "went around twice"


def test_an_answer_reopens_when_the_policy_changes_the_figure(book):
    low(book)
    answer(book, "F1", "landing_below_reserve", "seen")
    correct(book, "aircraft", club.WATT, {"reserve_soc_pct": 30})
    assert not rules(book)["landing_below_reserve"]["answered"]


def test_a_struck_answer_no_longer_answers(book):
    low(book)
    answer_id = answer(book, "F1", "landing_below_reserve", "seen")
    strike(book, "answer", answer_id, why="about another flight")
    assert not rules(book)["landing_below_reserve"]["answered"]


def test_an_answer_to_one_packs_flag_leaves_the_others_open(book):
    hot = [reading(P1, temp_max_c=57), reading(P2, temp_max_c=58)]
    put(book, "flight", flight(readings=hot))
    answer(book, "F1", "temperature_limit", "sensor replaced", serial_no=P2)
    open_packs = {f["serial_no"] for f in show_flight(book, "F1")["flags"] if not f["answered"]}
    assert open_packs == {P1}


def test_a_flag_may_be_answered_again_and_the_same_words_are_the_same_answer(book, monkeypatch):
    low(book)
    first = answer(book, "F1", "landing_below_reserve", "seen")
    monkeypatch.setattr("logbook.services.answer.now", lambda: "2039-01-01T00:00Z")
    assert answer(book, "F1", "landing_below_reserve", "seen") == first
    assert answer(book, "F1", "landing_below_reserve", "talked over with Ben") != first
    assert len(show_flight(book, "F1")["answers"]) == 2


def test_a_struck_answer_may_be_given_anew(book):
    low(book)
    strike(book, "answer", answer(book, "F1", "landing_below_reserve", "seen"), why="too early")
    answer(book, "F1", "landing_below_reserve", "seen")
    assert rules(book)["landing_below_reserve"]["answered"]


def test_an_answer_needs_words_and_a_flag(book):
    low(book)
    with pytest.raises(DataRefused):
        answer(book, "F1", "landing_below_reserve", "  ")
    with pytest.raises(DataRefused):
        answer(book, "F1", "overlap", "there is none")


# ---- charges


def session(book):
    rows = [charge("C1", pack, "2031-05-09T10:00Z", shared_energy_kwh=9, price=4) for pack in (P1, P2)]
    put(book, "charge", rows)


def test_a_plain_field_of_a_charge_changes_for_all_its_packs_and_a_packs_own_for_one(book):
    session(book)
    done = correct(book, "charge", "C1", {"shared_energy_kwh": 10, f"{P2}.soc_end_pct": 95}, by=BEN)
    rows = {row["serial_no"]: row for row in done.record["packs"]}
    assert [row["shared_energy_kwh"] for row in rows.values()] == [10, 10]
    assert (rows[P1]["soc_end_pct"], rows[P2]["soc_end_pct"]) == (90, 95)
    assert len(done.record["versions"]) == 2


def test_a_charge_corrected_for_one_pack_only_when_it_cannot_be_is_not_corrected_for_any(book):
    session(book)
    with pytest.raises(DataRefused):
        correct(book, "charge", "C1", {"ended": "2031-05-09T11:00Z", f"{P2}.started": "2031-05-09T12:00Z"})
    assert {row["ended"] for row in show(book, "charge", "C1")["packs"]} == {None}


def test_a_struck_charge_leaves_the_line_of_charge(book):
    put(book, "flight", [flight_at(8, "F1"), flight_at(12, "F2")])
    session(book)
    assert "ledger_gap" not in rules(book, "F2")
    strike(book, "charge", "C1", why="another aeroplane's")
    assert "ledger_gap" in rules(book, "F2")
    assert check(book) == []


def test_what_another_tool_wrote_is_kept_in_the_history_and_judged_at_the_next_opening(book, book_path):
    from logbook.services.freshness import freshen

    low(book, soc=60)
    book.close()
    raw = sqlite3.connect(book_path)
    raw.execute("UPDATE reading SET soc_landing_pct = 5")
    raw.commit()
    raw.close()
    with Book.open(book_path) as again:
        freshen(again)
        assert rules(again)["landing_below_reserve"]["figures"]["soc_pct"] == 5
        assert [v["was"]["soc_landing_pct"] for v in show_flight(again, "F1")["versions"]] == [60, 25]
        assert check(again) == []
