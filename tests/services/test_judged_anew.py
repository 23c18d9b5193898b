"""Whatever flags rest on, a change of it changes them at once: each change here flips a flag, and a check agrees."""

from __future__ import annotations

import json
from unittest.mock import patch

import pytest

from logbook.services import refresh
from logbook.services.answer import answer
from logbook.services.check import check
from logbook.services.correct import correct, strike
from logbook.services.questions import list_flights, list_records
from logbook.store.flights import FlightFilter
from tests import club
from tests.club import P1, P2, P3, VOLT, WATT, charge, flight_at, put, reading


def flags(book):
    """Every flag of every flight with its words and whether it was answered."""
    return {
        (flight["flight_id"], flag["rule"], flag["serial_no"], flag["words"], flag["answered"])
        for flight in list_flights(book, FlightFilter())
        for flag in flight["flags"]
    }


def fitting_of(book, serial_no):
    (row,) = list_records(book, "installations", FlightFilter(pack=serial_no))
    return row["installation_id"]


def two_flights(book):
    put(book, "flight", [flight_at(8, "F1"), flight_at(12, "F2")])


def charged(book):
    two_flights(book)
    put(book, "charge", [charge("C", P1, "2031-05-09T10:00Z"), charge("C", P2, "2031-05-09T10:00Z")])


def defective(book):
    two_flights(book)
    found = {"serial_no": P1, "found": "2031-05-09T10:00Z", "text": "hot", "needs_inspection": 1}
    put(book, "defect", {"defect_id": "D"} | found)


def mended(book):
    defective(book)
    done = {"entry_id": "M", "completed": "2031-05-09T11:00Z", "text": "inspected", "closes_defect": "D"}
    put(book, "maintenance", done)


def healthier(book):
    put(book, "flight", flight_at(8, "F1", readings=[reading(P1, soh_pct=80), reading(P2)]))
    put(book, "flight", flight_at(12, "F2", readings=[reading(P1, soh_pct=90), reading(P2)]))


def explained(book):
    healthier(book)
    put(
        book,
        "observation",
        {"observation_id": "O", "serial_no": P1, "at": "2031-05-09T10:00Z", "baseline_break": "repair"},
    )


def grounded(book):
    two_flights(book)
    correct(book, "pack", P1, {"state": "quarantined", "state_since": "2031-05-09T10:00Z"})


def released(book):
    two_flights(book)
    correct(book, "pack", P1, {"state": "quarantined", "state_since": "2031-05-09T07:00Z"})
    correct(book, "pack", P1, {"state": "fitted", "state_since": "2031-05-09T16:00Z"})


def low(book):
    put(
        book,
        "flight",
        flight_at(8, "F1", readings=[reading(P1, soc_landing_pct=20), reading(P2, soc_landing_pct=25)]),
    )


def answered(book):
    low(book)
    answer(book, "F1", "landing_below_reserve", "seen")


def lent(book):
    """A pack that flies in one aeroplane, rests for weeks, and flies in the other: 3 points lost."""
    put(book, "flight", flight_at(8, "F1", readings=[reading(P1, soc_landing_pct=93.5), reading(P2)]))
    late = flight_at(8, "F2", day="2031-05-12", aircraft=VOLT, readings=[reading(P1), reading(P3)])
    put(book, "flight", late)


def long_ago(book):
    put(book, "pack", club.pack("OWN", nominal_kwh=12, part_no=None))
    put(book, "flight", flight_at(8, "F1", readings=[reading("OWN", soc_landing_pct=30), reading(P2)]))


def metered(book):
    put(book, "flight", flight_at(8, "F1", meter_start=10, meter_end=10.6))
    put(book, "flight", flight_at(12, "F2", meter_start=10.6, meter_end=11.2))


def landless(book):
    put(book, "flight", flight_at(8, "F1", landings_day=None))


def change(kind, record_id, **values):
    return lambda book: correct(book, kind, record_id, values)


def of_reading(flight_id, **values):
    return lambda book: correct(
        book, "flight", flight_id, {f"{P1}.{name}": value for name, value in values.items()}
    )


def fit(serial_no, **values):
    return lambda book: correct(book, "installation", fitting_of(book, serial_no), values)


def strike_out(kind, record_id):
    return lambda book: strike(book, kind, record_id, why="a test")


def charge_two(book):
    put(book, "charge", [charge("C", P1, "2031-05-09T10:00Z"), charge("C", P2, "2031-05-09T10:00Z")])


def defective_now(book):
    found = {"serial_no": P1, "found": "2031-05-09T10:00Z", "text": "hot", "needs_inspection": 1}
    put(book, "defect", {"defect_id": "D"} | found)


def mend_now(book):
    done = {"entry_id": "M", "completed": "2031-05-09T11:00Z", "text": "inspected", "closes_defect": "D"}
    put(book, "maintenance", done)


def exchange(book):
    put(book, "pack", club.pack("SPARE"))
    correct(book, "installation", fitting_of(book, P1), {"serial_no": "SPARE"})


def fit_another(book):
    put(book, "pack", club.pack("SPARE"))
    put(book, "installation", club.fitting("SPARE", "belly", fitted="2031-05-09T10:00Z"))


def only_answer(book):
    (row,) = list_records(book, "answers", FlightFilter())
    return row["answer_id"]


def hot(book):
    put(book, "flight", flight_at(8, "F1", readings=[reading(P1, temp_max_c=57), reading(P2)]))


def record_one(book):
    found = {"packs": [{"serial_no": P1, "soc_landing_pct": 5}]}
    whole = {
        "recording_id": "R",
        "flight_id": "F1",
        "file_name": "card.csv",
        "digest": "ab" * 32,
        "mapping": "m",
    }
    times = {"started": "2031-05-09T08:00Z", "ended": "2031-05-09T09:00Z", "gap_limit_s": 5}
    counts = {"units": "soc %", "row_count": 9, "used_count": 9}
    put(book, "recording", whole | times | counts | {"findings": json.dumps(found)})


def recorded(book):
    two_flights(book)
    record_one(book)


CHANGES = {
    "a charge is added": (two_flights, charge_two),
    "a charge is struck out": (charged, strike_out("charge", "C")),
    "a charge is moved behind the flight": (charged, change("charge", "C", started="2031-05-09T13:00Z")),
    "a charge ended with less": (charged, change("charge", "C", soc_end_pct=80)),
    "a charge was another pack's": (
        charged,
        lambda book: correct(book, "charge", "C", {f"{P1}.serial_no": P3}),
    ),
    "a defect is added": (two_flights, defective_now),
    "a defect was found later": (defective, change("defect", "D", found="2031-05-09T13:00Z")),
    "a defect was found earlier": (defective, change("defect", "D", found="2031-05-09T07:00Z")),
    "a defect needs no inspection": (defective, change("defect", "D", needs_inspection=0)),
    "a defect was another pack's": (defective, change("defect", "D", serial_no=P3)),
    "a defect is struck out": (defective, strike_out("defect", "D")),
    "an entry closes the defect": (defective, mend_now),
    "an entry was completed later": (mended, change("maintenance", "M", completed="2031-05-09T13:00Z")),
    "an entry closed another defect": (mended, change("maintenance", "M", closes_defect="D9")),
    "an entry is struck out": (mended, strike_out("maintenance", "M")),
    "a baseline break is moved": (explained, change("observation", "O", at="2031-05-09T13:00Z")),
    "a baseline break was another pack's": (explained, change("observation", "O", serial_no=P2)),
    "a baseline break was none": (explained, change("observation", "O", baseline_break="")),
    "a baseline break is struck out": (explained, strike_out("observation", "O")),
    "a pack is grounded": (
        two_flights,
        change("pack", P1, state="quarantined", state_since="2031-05-09T10:00Z"),
    ),
    "a pack is away": (two_flights, change("pack", P1, state="transport", state_since="2031-05-09T10:00Z")),
    "a pack was grounded earlier": (grounded, change("pack", P1, state_since="2031-05-09T07:00Z")),
    "a pack was released earlier": (released, change("pack", P1, state_since="2031-05-09T07:00Z")),
    "a pack is released": (grounded, change("pack", P1, state="fitted")),
    "a packs serial number is corrected": (grounded, change("pack", P1, serial_no="LARK-1")),
    "a pack holds less": (long_ago, change("pack", "OWN", nominal_kwh=3)),
    "a pack type holds less": (low, change("pack-type", "PK-12", nominal_kwh=6)),
    "a pack type has another limit": (two_flights, change("pack-type", "PK-12", temp_limit_c=30)),
    "a pack type is renamed": (hot, change("pack-type", "PK-12", part_no="PK-13")),
    "a pack is of no type": (hot, change("pack", P1, part_no="")),
    "the reserve is raised": (two_flights, change("aircraft", WATT, reserve_soc_pct=61)),
    "the least departure is raised": (two_flights, change("aircraft", WATT, minimum_departure_soc_pct=95)),
    "the final reserve is raised": (two_flights, change("aircraft", WATT, final_reserve_min_local=60)),
    "the final reserve needs more power": (two_flights, change("aircraft", WATT, final_reserve_kw_local=200)),
    "the cruise needs more power": (two_flights, change("aircraft", WATT, cruise_power_kw=200)),
    "the aeroplane has a limit": (long_ago, change("aircraft", WATT, temp_limit_c=30)),
    "a pack was removed before": (two_flights, fit(P1, removed="2031-05-09T10:00Z")),
    "a pack was fitted later": (two_flights, fit(P1, fitted="2031-05-09T10:00Z")),
    "a fitting is struck out": (
        two_flights,
        lambda book: strike(book, "installation", fitting_of(book, P1), why="x"),
    ),
    "a fitting was another pack's": (two_flights, exchange),
    "a fitting was in the other aeroplane": (two_flights, fit(P1, aircraft=VOLT, position="belly")),
    "a pack was fitted too": (two_flights, fit_another),
    "a recording is taken in": (two_flights, record_one),
    "a recording is struck out": (recorded, strike_out("recording", "R")),
    "a recording was another flight's": (recorded, change("recording", "R", flight_id="F2")),
    "an answer is given": (low, lambda book: answer(book, "F1", "landing_below_reserve", "seen")),
    "an answer is struck out": (answered, lambda book: strike(book, "answer", only_answer(book), why="x")),
    "an answered figure changes": (answered, of_reading("F1", soc_landing_pct=19)),
    "a reading changes": (two_flights, of_reading("F1", soc_landing_pct=89)),
    "a reading is from memory": (two_flights, of_reading("F1", source="remembered")),
    "a reading is another pack's": (two_flights, of_reading("F1", serial_no=P3)),
    "the health before was the same": (healthier, of_reading("F1", soh_pct=90)),
    "a flight is moved over another": (
        two_flights,
        change("flight", "F2", off_blocks="2031-05-09T08:20Z", takeoff=""),
    ),
    "a flight is struck out": (two_flights, strike_out("flight", "F1")),
    "a flight was another aeroplane's": (two_flights, change("flight", "F1", aircraft=VOLT)),
    "a flight was none": (low, change("flight", "F1", outcome="ground-run")),
    "a pack came home later": (lent, change("flight", "F1", on_blocks="2031-05-11T22:00Z")),
    "the meter before was misread": (metered, change("flight", "F1", meter_end=10.3)),
    "landings are found in the crew": (
        landless,
        lambda book: correct(book, "flight", "F1", {f"{club.CLEO}.landings_day": 1}),
    ),
}


@pytest.mark.parametrize("case", CHANGES)
def test_a_change_is_judged_at_once_and_a_fresh_computation_agrees(book, case):
    before, make = CHANGES[case]
    before(book)
    known = flags(book)
    make(book)
    assert flags(book) != known
    assert check(book) == []
    with patch.object(refresh, "_MANY", 0):
        assert check(book) == []


UNTOUCHED = {
    "a price": change("aircraft", WATT, pack_set_price=5000),
    "a note on the aeroplane": change("aircraft", WATT, text="new tyres"),
    "a note on the pack": change("pack", P1, text="clean"),
    "a limit of life": change("pack", P1, limit_hours=500),
    "a person's licence": change("person", club.ADA, licence_no="L-1"),
    "a defect that grounds nothing": lambda book: put(
        book, "defect", {"serial_no": P1, "found": "2031-05-01T10:00Z", "text": "scratch"}
    ),
}


@pytest.mark.parametrize("case", UNTOUCHED)
def test_what_no_flag_rests_on_makes_no_flight_be_judged_anew(book, case):
    two_flights(book)
    with patch("logbook.services.refresh.Cases.build", side_effect=AssertionError("judged anew")):
        UNTOUCHED[case](book)
    assert check(book) == []
