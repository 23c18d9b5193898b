"""How warm the packs will get: judged where the record allows, said to be unknown where it does not."""

import json

import pytest

from logbook.services.plan import keep_plan, plan_flight
from tests import club

LEGS = [{"kind": "climb", "climb_ft": 2000}, {"kind": "level", "minutes": 10}]


@pytest.fixture
def flown(book):
    """Ten flights that each warm the packs from 20 to 35 °C, with the pack at the air's 15 °C two hours after stop."""
    for number in range(10):
        day = f"2031-05-{10 + number}"
        warm = {"temp_departure_c": 20, "temp_max_c": 35, "temp_landing_c": 33}
        readings = [club.reading(serial, **warm) for serial in (club.P1, club.P2)]
        club.put(
            book, "flight", club.flight_at(8, f"F{number}", day=day, outside_temp_c=15, readings=readings)
        )
        club.put(book, "charge", [
            club.charge(None, serial, f"{day}T11:40Z", ended=f"{day}T12:10Z", temp_start_c=24)
            for serial in (club.P1, club.P2)
        ])  # fmt: skip
    return book


def heat_of(book, temp_c, outside_c=15, **plan):
    packs = [
        {"serial_no": s, "soc_departure_pct": 95, "temp_departure_c": temp_c} for s in (club.P1, club.P2)
    ]
    data = {"aircraft": club.WATT, "legs": LEGS, "packs": packs, "outside_temp_c": outside_c} | plan
    planned = plan_flight(book, data, clock=lambda: club.NOW)
    return planned, planned.heat[0]


def test_without_a_temperature_before_start_nothing_is_guessed(flown) -> None:
    heat = heat_of(flown, None)[1]
    assert heat.highest_c is None
    assert "cannot be judged" in heat.words
    assert not heat.warns


def test_without_flights_that_tell_nothing_is_guessed(book) -> None:
    heat = heat_of(book, 20)[1]
    assert heat.highest_c is None
    assert "0 of the 3 flights" in heat.words


def test_a_flight_like_those_before_warms_the_pack_like_those_before(flown) -> None:
    like_those = [{"kind": "climb", "climb_ft": 2000}, {"kind": "level", "minutes": 20}]
    heat = heat_of(flown, 20, legs=like_those)[1]
    assert heat.highest_c.mid == pytest.approx(35, abs=3)  # the energy is forecast, not the one flown
    assert heat.highest_c.low < heat.highest_c.mid < heat.highest_c.high
    assert not heat.warns


def test_a_pack_too_warm_for_the_caution_waits_until_it_is_cool(flown) -> None:
    planned, heat = heat_of(flown, 41)
    assert heat.warns
    assert heat.chance_above > 0.05
    assert heat.warmest_start_c < 41
    assert heat.ready_at > club.NOW
    assert "Wait until about" in heat.words
    assert heat.words in planned.answer.cautions


def test_air_as_warm_as_the_pack_never_cools_it_and_no_time_is_named(flown) -> None:
    heat = heat_of(flown, 41, outside_c=41)[1]
    assert heat.warns
    assert heat.ready_at is None
    assert "too warm" in heat.words


@pytest.mark.parametrize(("temp_c", "word"), [(44, "above the 42 °C"), (-3, "below the 5 °C")])
def test_a_pack_that_may_not_take_off_is_said_before_any_forecast(flown, temp_c, word) -> None:
    heat = heat_of(flown, temp_c)[1]
    assert word in heat.words
    assert heat.warns


def test_what_speaks_against_flying_stands_before_warmth(flown) -> None:
    club.put(flown, "defect", {"aircraft": club.WATT, "found": "2031-06-21T09:00Z", "text": "Brake drags"})
    planned, heat = heat_of(flown, 41)
    assert "Brake drags" in planned.answer.cautions[0]
    assert planned.answer.cautions.index(heat.words) == 1


def test_charging_to_make_it_fit_says_how_long_by_the_record_of_the_charger(flown) -> None:
    packs = [{"serial_no": s, "soc_departure_pct": 40} for s in (club.P1, club.P2)]
    planned, _ = heat_of(flown, None, packs=packs)
    remedy = next(one for one in planned.answer.would_fit if one.change == "charge")
    # Thirty points in thirty minutes on record: about a point a minute, so about as many minutes as points.
    assert remedy.minutes_to_charge == pytest.approx(remedy.amount - 40, rel=0.35)
    assert "at the usual pace" in remedy.words
    assert "charging_pace" not in json.loads(_kept(flown, planned)["inputs"])


def _kept(book, planned):
    from logbook.store.records import Records

    return Records(book, "plan").find(keep_plan(book, planned))[1]
