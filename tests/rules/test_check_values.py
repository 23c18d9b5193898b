"""Figures pilots of such aeroplanes reckon with: common practice, no published source. They live in tests only.

Two packs of 11 kWh nominal. New (state of health 100) a climb takes 7 % and ten minutes at 25 kW take 19 %; worn
(state of health 40) 10 % and 28 %. That fits a scale on which state of health 0 leaves 46 % of the nominal capacity.
The time definitions are those of 14 CFR 1.1 (flight time: read at the source; time in service: read second-hand).
"""

from __future__ import annotations

import pytest

from logbook.energy.usable import PackNow, minutes_left, usable_from_soh
from tests import club
from tests.club import put

NOMINAL_KWH = 11.0


def usable(soh_pct, zero):
    found = usable_from_soh(NOMINAL_KWH, soh_pct, zero, 1.0)
    assert found is not None
    return found


def percent_of_ten_minutes(soh_pct, zero):
    """Ten minutes at 25 kW from two packs, in percent of one."""
    return 25 * 10 / 60 / 2 / usable(soh_pct, zero).mid * 100


def test_ten_minutes_at_25_kw_take_19_percent_when_new_and_28_when_worn():
    assert percent_of_ten_minutes(100, 0.46) == pytest.approx(19, abs=0.5)
    assert percent_of_ten_minutes(40, 0.46) == pytest.approx(28, abs=0.5)


def test_a_climb_of_7_percent_when_new_takes_10_when_worn():
    climb_kwh = 0.07 * usable(100, 0.46).mid
    assert 100 * climb_kwh / usable(40, 0.46).mid == pytest.approx(10, abs=0.5)


def test_health_taken_as_the_fraction_left_fails_by_far():
    assert percent_of_ten_minutes(40, 0.0) > 28 + 15
    assert 100 * 0.07 / 0.4 > 10 + 5


def test_thirty_percent_is_about_a_quarter_of_an_hour_at_25_kw_when_new_and_less_when_worn():
    new = minutes_left([PackNow(30, usable(100, 0.46), 0, 0.5)] * 2, 25)
    worn = minutes_left([PackNow(30, usable(40, 0.46), 0, 0.5)] * 2, 25)
    assert new is not None
    assert worn is not None
    assert new.mid == pytest.approx(15.8, abs=0.1)
    assert worn.mid == pytest.approx(10.7, abs=0.1)


@pytest.fixture
def school(book):
    """An aeroplane with these packs: land with 30 % or more, not depart at 50 % or less, 58 °C at the most."""
    put(
        book,
        "pack-type",
        {"part_no": "PK-11", "nominal_kwh": 11, "soh_zero_fraction": 0.46, "temp_limit_c": 58},
    )
    put(
        book,
        "aircraft",
        club.aircraft(
            "X-ELEV",
            reserve_soc_pct=30,
            minimum_departure_soc_pct=50,
            final_reserve_kw_local=25,
            final_reserve_kw_day=25,
        ),
    )
    put(book, "pack", [club.pack("E-1", part_no="PK-11"), club.pack("E-2", part_no="PK-11")])
    put(book, "installation", [club.fitting("E-1", "front", "X-ELEV"), club.fitting("E-2", "rear", "X-ELEV")])
    return book


def flown(book, before=90, after=60, **changes):
    values = {"soc_departure_pct": before, "soc_landing_pct": after, "soh_pct": 100}
    readings = [
        club.reading("E-1", **values | changes.pop("reading", {})),
        club.reading("E-2", **values),
    ]
    return put(book, "flight", club.flight("E", aircraft="X-ELEV", readings=readings, **changes))[0]


def flag_of(added, rule):
    return next((flag for flag in added.flags if flag["rule"] == rule), None)


def test_landing_with_30_percent_is_no_flag_in_the_circuit_and_29_is(school):
    assert flag_of(flown(school, after=30, kind="circuits"), "landing_below_reserve") is None


def test_landing_with_29_percent_is_below_the_reserve_though_the_minutes_in_the_circuit_suffice(school):
    added = flown(school, after=29, kind="circuits")
    assert flag_of(added, "landing_below_reserve")["figures"]["short_pct"] == 1
    assert flag_of(added, "final_reserve_short") is None  # 15 min left, 10 wanted


def test_thirty_percent_by_day_elsewhere_is_less_than_the_half_hour_and_both_are_shown(school):
    from logbook.services.questions import show_flight

    added = flown(school, after=30, kind="cross-country", place_to=club.MOSS)
    assert flag_of(added, "landing_below_reserve") is None
    short = flag_of(added, "final_reserve_short")
    assert short["figures"]["minutes_left"] == pytest.approx(15.8, abs=0.1)
    assert short["figures"]["final_reserve_min"] == 30
    derived = show_flight(school, "E")["derived"]
    assert derived["landing_soc_pct"] == 30
    assert derived["minutes_left"] == pytest.approx(15.84, abs=0.01)
    assert derived["minutes_left_at_kw"] == 25


@pytest.mark.parametrize(("highest", "flagged"), [(57.9, False), (58, True)])
def test_reaching_58_degrees_is_over_temperature(school, highest, flagged):
    added = flown(school, reading={"temp_max_c": highest})
    assert (flag_of(added, "temperature_limit") is not None) == flagged


@pytest.mark.parametrize(("charge", "flagged"), [(50, True), (51, False)])
def test_departing_at_50_percent_is_flagged_and_above_it_is_not(school, charge, flagged):
    added = flown(school, before=charge, after=45)
    assert (flag_of(added, "departure_below_minimum") is not None) == flagged


def test_flight_time_runs_from_first_movement_and_time_in_service_from_leaving_the_ground(book):
    # 14 CFR 1.1: flight time 08:30 to 09:10 = 40 min; time in service 08:36 to 09:06 = 30 min.
    from logbook.services.questions import show_flight

    put(book, "flight", club.flight())
    derived = show_flight(book, "F1")["derived"]
    assert (derived["block_min"], derived["air_min"]) == (40, 30)
    assert derived["air_min"] <= derived["block_min"]
