"""The same rules through the real way in: what is added is stored, and flagged in the same transaction."""

from __future__ import annotations

import pytest

from logbook.services.correct import correct, strike
from logbook.services.questions import show_flight
from tests import club
from tests.club import P1, P2, charge, flight, flight_at, put, reading, rules_of


def add_flight(book, **changes):
    return rules_of(put(book, "flight", flight(**changes)))


def with_reading(**changes):
    return {"readings": [reading(P1, **changes), reading(P2)]}


ONE_FLIGHT = {
    "landing_below_reserve": (with_reading(soc_landing_pct=24), with_reading(soc_landing_pct=50)),
    "departure_below_minimum": (
        with_reading(soc_departure_pct=40, soc_landing_pct=39),
        with_reading(soc_departure_pct=41, soc_landing_pct=39),
    ),
    "temperature_limit": (with_reading(temp_landing_c=56), with_reading(temp_landing_c=55.9)),
    "temperature_caution": (with_reading(temp_max_c=48), with_reading(temp_max_c=47.9)),
    "takeoff_temperature": (with_reading(temp_departure_c=42.1), with_reading(temp_departure_c=42)),
    "packs_apart": (with_reading(soc_landing_pct=47.9), with_reading(soc_landing_pct=48)),
    "soc_rose": (with_reading(soc_landing_pct=95), with_reading(soc_landing_pct=90)),
    "final_reserve_short": (
        {
            "kind": "cross-country",
            "readings": [reading(P1, soc_landing_pct=41), reading(P2, soc_landing_pct=41)],
        },
        {
            "kind": "cross-country",
            "readings": [reading(P1, soc_landing_pct=43), reading(P2, soc_landing_pct=43)],
        },
    ),
    "times_improbable": (
        {"landing": "2031-05-09T12:06Z", "on_blocks": "2031-05-09T12:10Z"},
        {},
    ),
    "record_incomplete": ({"pilot": None}, {}),
    "readings_missing": ({"readings": [reading(P1)]}, {}),
    "pack_not_fitted": ({"readings": [reading(P1), reading(club.P3)]}, {}),
    "value_improbable": ({"mass_kg": 49}, {"mass_kg": 50}),
    "conditions_exceed_flight": ({"night_min": 44}, {"night_min": 40}),
}


@pytest.mark.parametrize("rule", ONE_FLIGHT)
def test_one_flight_is_flagged_beyond_the_threshold_only(book, rule):
    beyond, within = ONE_FLIGHT[rule]
    assert rule in add_flight(book, flight_id="beyond", **beyond)
    strike(book, "flight", "beyond", why="the other side is tried next")
    assert rule not in add_flight(book, flight_id="within", **within)


def test_the_whole_flight_without_fault_raises_nothing(book):
    assert add_flight(book) == set()


def test_a_flight_before_the_first_fitting_has_packs_that_were_not_fitted(book):
    early = flight_at(8, "early", day="2031-03-31")
    assert "pack_not_fitted" in rules_of(put(book, "flight", early))


def test_a_pack_fitted_but_not_read_is_missed_when_the_fitting_is_recorded_later(book):
    put(book, "pack", club.pack("LATE-1"))
    put(book, "flight", flight())
    put(book, "installation", club.fitting("LATE-1", "belly"))
    assert "readings_missing" in {flag["rule"] for flag in show_flight(book, "F1")["flags"]}


def test_overlapping_flights_are_both_flagged_and_freed_when_one_is_struck(book):
    put(book, "flight", flight_at(8, "F1"))
    put(book, "flight", flight("F2", off_blocks="2031-05-09T08:20Z", takeoff=None, landing=None))
    for flight_id in ("F1", "F2"):
        assert "overlap" in {flag["rule"] for flag in show_flight(book, flight_id)["flags"]}
    strike(book, "flight", "F2", why="entered twice")
    assert "overlap" not in {flag["rule"] for flag in show_flight(book, "F1")["flags"]}


def test_a_gap_in_the_line_of_charge_closes_when_the_missing_charge_is_entered(book):
    put(book, "flight", [flight_at(8, "F1"), flight_at(11, "F2")])
    assert "ledger_gap" in {flag["rule"] for flag in show_flight(book, "F2")["flags"]}
    put(book, "charge", [charge("C", P1, "2031-05-09T09:00Z"), charge("C", P2, "2031-05-09T09:00Z")])
    assert "ledger_gap" not in {flag["rule"] for flag in show_flight(book, "F2")["flags"]}


def test_a_charge_that_starts_elsewhere_than_the_flight_landed_is_seen_from_the_flight(book):
    put(book, "flight", flight_at(8, "F1"))
    put(book, "charge", charge("C", P1, "2031-05-09T09:00Z", soc_start_pct=55))
    assert "charge_start_differs" in {flag["rule"] for flag in show_flight(book, "F1")["flags"]}


def test_who_enters_a_charge_hears_at_once_that_it_does_not_meet_the_flight_before(book):
    put(book, "flight", flight_at(8, "F1"))
    (added,) = put(book, "charge", charge("C", P1, "2031-05-09T09:00Z", soc_start_pct=55))
    (flag,) = [flag for flag in added.flags if flag["rule"] == "charge_start_differs"]
    assert (flag["serial_no"], "started at 55 %" in flag["words"]) == (P1, True)
    (met,) = put(book, "charge", charge("D", P2, "2031-05-09T09:00Z", soc_start_pct=60))
    assert [flag["rule"] for flag in met.flags if flag["rule"] == "charge_start_differs"] == []


def test_exchanged_landing_charges_are_named_as_exchanged(book):
    put(
        book,
        "flight",
        flight_at(8, "F1", readings=[reading(P1, soc_landing_pct=55), reading(P2, soc_landing_pct=61)]),
    )
    put(
        book,
        "charge",
        [
            charge("C", P1, "2031-05-09T09:00Z", soc_start_pct=61),
            charge("C", P2, "2031-05-09T09:00Z", soc_start_pct=55),
        ],
    )
    rules = {flag["rule"] for flag in show_flight(book, "F1")["flags"]}
    assert "packs_swapped" in rules
    assert "charge_start_differs" not in rules


def rises(book, *, day="2031-05-10"):
    put(book, "flight", flight_at(8, "F1", readings=[reading(P1, soh_pct=90), reading(P2)]))
    put(book, "flight", flight_at(8, "F2", day=day, readings=[reading(P1, soh_pct=94), reading(P2)]))
    return {flag["rule"] for flag in show_flight(book, "F2")["flags"]}


def test_health_that_rises_is_flagged_until_a_baseline_break_explains_it(book):
    assert "soh_rose" in rises(book)
    put(
        book,
        "observation",
        {"serial_no": P1, "at": "2031-05-09T12:00Z", "baseline_break": "new software"},
    )
    assert "soh_rose" not in {flag["rule"] for flag in show_flight(book, "F2")["flags"]}


def test_a_baseline_break_moved_behind_the_flight_explains_it_no_more(book):
    rises(book)
    put(
        book,
        "observation",
        {"observation_id": "O", "serial_no": P1, "at": "2031-05-09T12:00Z", "baseline_break": "repair"},
    )
    correct(book, "observation", "O", {"at": "2031-05-20T12:00Z"}, by=club.ADA)
    assert "soh_rose" in {flag["rule"] for flag in show_flight(book, "F2")["flags"]}


def test_a_quarantined_pack_that_flies_is_flagged_from_the_day_it_was_grounded(book):
    correct(book, "pack", P1, {"state": "quarantined", "state_since": "2031-05-09T12:00Z"})
    assert "pack_quarantined" not in rules_of(put(book, "flight", flight_at(8, "F1")))
    assert "pack_quarantined" in rules_of(put(book, "flight", flight_at(13, "F2")))


def test_a_pack_that_needs_inspection_is_grounded_until_an_entry_closes_the_defect(book):
    put(
        book,
        "defect",
        {
            "defect_id": "D",
            "serial_no": P1,
            "found": "2031-05-09T07:00Z",
            "text": "over temperature",
            "needs_inspection": 1,
        },
    )
    assert "pack_quarantined" in rules_of(put(book, "flight", flight_at(8, "F1")))
    put(
        book,
        "maintenance",
        {
            "entry_id": "M",
            "serial_no": P1,
            "completed": "2031-05-09T10:00Z",
            "text": "inspected, no finding",
            "closes_defect": "D",
        },
    )
    assert "pack_quarantined" not in rules_of(put(book, "flight", flight_at(11, "F2")))
    assert "pack_quarantined" in {flag["rule"] for flag in show_flight(book, "F1")["flags"]}


def test_the_hour_meter_that_does_not_follow_on_is_flagged(book):
    put(book, "flight", flight_at(8, "F1", meter_start=100.0, meter_end=100.6))
    assert "meter_gap" not in rules_of(
        put(book, "flight", flight_at(10, "F2", meter_start=100.7, meter_end=101.3))
    )
    assert "meter_gap" in rules_of(put(book, "flight", flight_at(12, "F3", meter_start=102.3, meter_end=103)))
