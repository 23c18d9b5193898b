"""Flights that are written down in two halves, and attempts that were no flights."""

from __future__ import annotations

import pytest

from logbook.services.check import check
from logbook.services.correct import correct
from logbook.services.questions import list_flights, show_flight
from logbook.services.today import today
from logbook.store.flights import FlightFilter
from tests import club
from tests.club import P1, flight, put, reading

BEFORE = {
    "flight_id": "F1",
    "date": "2031-05-09",
    "aircraft": club.WATT,
    "state": "open",
    "pilot": club.ADA,
    "readings": [{"serial_no": P1, "soc_departure_pct": 90}, {"serial_no": club.P2, "soc_departure_pct": 91}],
}


def test_readings_before_start_are_kept_as_an_open_flight_without_any_flag(book):
    (added,) = put(book, "flight", BEFORE)
    assert added.flags == []
    shown = show_flight(book, "F1")
    assert (shown["state"], shown["off_blocks"]) == ("open", None)
    assert shown["derived"]["block_min"] is None


def test_while_an_aeroplane_is_out_its_packs_show_what_was_read_before_start(book):
    put(book, "flight", BEFORE)
    out = next(one for one in today(book, "2031-05-09T08:40Z").aircraft if one.registration == club.WATT)
    shown = {pack.serial_no: (pack.reading.soc_pct, pack.before_start) for pack in out.packs}
    assert shown == {P1: (90, True), club.P2: (91, True)}


def test_an_open_flight_is_closed_after_landing_and_judged_then(book):
    put(book, "flight", BEFORE)
    after = {
        "state": "closed",
        "off_blocks": "2031-05-09T08:30Z",
        "on_blocks": "2031-05-09T09:10Z",
        "place_from": club.FIELD,
        "place_to": club.FIELD,
        "kind": "local",
        "function": "pic",
        "landings_day": "1",
        f"{P1}.soc_landing_pct": "24",
        f"{club.P2}.soc_landing_pct": "30",
    }
    done = correct(book, "flight", "F1", after)
    assert {flag["rule"] for flag in done.record["flags"]} == {"landing_below_reserve"}
    assert done.record["derived"]["block_min"] == 40
    assert check(book) == []


def test_several_open_flights_without_times_stand_beside_each_other(book):
    put(book, "flight", [BEFORE, BEFORE | {"flight_id": "F2"}])
    assert len(list(list_flights(book, FlightFilter()))) == 2
    assert check(book) == []


@pytest.mark.parametrize("outcome", ["ground-run", "aborted", "rejected", "device"])
def test_every_other_outcome_enters_without_blocks_and_is_no_landing(book, outcome):
    bare = {"flight_id": "F1", "date": "2031-05-09", "aircraft": club.WATT, "outcome": outcome}
    (added,) = put(book, "flight", bare | {"readings": [reading(P1, soc_landing_pct=5), reading(club.P2)]})
    assert "landing_below_reserve" not in {flag["rule"] for flag in added.flags}
    assert check(book) == []


def test_a_flight_with_meter_readings_alone_knows_its_meter_time(book):
    put(book, "flight", flight(takeoff=None, landing=None, meter_start=100.4, meter_end=101.0))
    derived = show_flight(book, "F1")["derived"]
    assert (derived["air_min"], derived["meter_h"]) == (None, 0.6)


def test_energy_carries_its_width_and_says_how_it_was_made(book):
    # 30 % of 12 kWh x (0.7 + 0.3 x 98 %) = 30 % of 11.928 kWh a pack.
    put(book, "flight", flight())
    derived = show_flight(book, "F1")["derived"]
    assert derived["energy_kwh"] == pytest.approx(2 * 0.3 * 11.928, abs=1e-3)
    assert derived["energy_kwh_low"] < derived["energy_kwh"] < derived["energy_kwh_high"]
    assert derived["energy_kwh_per_min"] == pytest.approx(derived["energy_kwh"] / 30, abs=1e-4)
    assert "SOH" in derived["how"]


def test_the_gauge_alone_makes_an_energy_uncertain_by_more_than_its_rounding():
    # Two readings rounded to 1 % differ by an error with variance 1/6 (computed here from two uniform errors;
    # a digital step dx has u = dx / sqrt 12 by JCGM 100:2008, F.2.2.1, clause number from memory).
    from logbook.energy.estimate import Z90, Estimate
    from logbook.energy.usable import GAUGE_SD_PCT, energy_of_drop

    energy = energy_of_drop(Estimate(10, 10, 10), 80, 50)
    assert energy.mid == pytest.approx(3)
    assert energy.high - energy.low == pytest.approx(2 * Z90 * GAUGE_SD_PCT / 100 * 10, rel=1e-9)
    assert energy.high - energy.low > 2 * Z90 * (1 / 6) ** 0.5 / 100 * 10
