"""Points on the planned track against the closed forms, whose own tests are the published worked examples."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from logbook.errors import DataRefused
from tests.planning.closed_forms import point_of_equal_time, point_of_no_return
from tests.planning.linear import Linear, aircraft, asked, plan

QUICK = settings(max_examples=40, deadline=None)
NO_FINAL = aircraft(final_reserve_min_day=None)
"""30 % must remain: 14 of 20 kWh may be spent."""


def out(distance, track=90, **leg):
    return {"kind": "level", "distance_nm": distance, "track_deg": track, **leg}


def points(*legs, craft=NO_FINAL, forecaster=None, **others):
    return asked(plan(*legs, **others), forecaster, craft).points


def test_in_still_air_it_is_half_of_what_may_be_spent():
    """14 kWh at 20 kW is 42 min, 21 out: 28 NM at 80 kt."""
    point = points(out(40)).no_return
    assert point.distance_nm == pytest.approx(28, abs=0.2)
    assert point.minutes == pytest.approx(21, abs=0.2)
    assert not point.beyond


def test_a_climb_is_paid_first_and_its_time_counts():
    """2000 ft take 4 kWh and 4 min: 10 kWh are left, 15 min out, 20 NM."""
    point = points({"kind": "climb", "climb_ft": 2000}, out(40)).no_return
    assert point.distance_nm == pytest.approx(20, abs=0.2)
    assert point.minutes == pytest.approx(4 + 15, abs=0.2)


def test_it_may_lie_beyond_the_plan_and_is_told_so():
    point = points(out(10)).no_return
    assert point.distance_nm == pytest.approx(28, abs=0.2)
    assert point.beyond
    assert "18 NM beyond" in point.words


def test_the_way_home_at_another_power_counts_with_its_own():
    """Out 20 kW at 80 kt, home 10 kW at 60 kt: the closed form with unequal powers."""
    point = points(out(60), return_power_kw=10, return_tas_kt=60).no_return
    assert point.distance_nm == pytest.approx(point_of_no_return(14, 80, 60, 20, 10).distance_nm, abs=0.3)


@QUICK
@given(st.floats(0, 359), st.floats(0, 35), st.floats(0, 359))
def test_it_agrees_with_the_closed_form_in_any_wind(track, speed, blows):
    found = points(out(30, track), wind_dir=blows, wind_kt=speed)
    from logbook.planning.wind import Wind, course

    ahead, home = course(track, 80, Wind(blows, speed)), course(track + 180, 80, Wind(blows, speed))
    expected = point_of_no_return(14, ahead.groundspeed_kt, home.groundspeed_kt, 20, 20)
    assert found.no_return.distance_nm == pytest.approx(expected.distance_nm, abs=0.2)
    even = point_of_equal_time(30, ahead.groundspeed_kt, home.groundspeed_kt)
    assert found.equal_time.distance_nm == pytest.approx(even.distance_nm, abs=0.1)
    assert found.equal_time.minutes == pytest.approx(even.minutes, abs=0.2)


@QUICK
@given(st.floats(0, 359), st.floats(0, 35), st.floats(0, 359), st.floats(0, 0.2))
def test_no_steady_wind_moves_the_point_of_no_return_out(track, speed, blows, spread):
    forecaster = Linear(spread=spread)
    still = points(out(30, track), forecaster=forecaster).no_return.distance_nm
    windy = points(out(30, track), forecaster=forecaster, wind_dir=blows, wind_kt=speed)
    assert windy.no_return.distance_nm <= still + 0.2


@QUICK
@given(st.floats(1, 40))
def test_a_stronger_headwind_never_moves_it_out(speed):
    found = points(out(30), wind_dir=90, wind_kt=speed)
    assert found.no_return_more_wind.distance_nm <= found.no_return.distance_nm + 0.2
    assert found.equal_time_more_wind.distance_nm >= found.equal_time.distance_nm - 0.1  # it moves upwind


def test_a_wider_forecast_moves_it_in():
    sure = points(out(40)).no_return.distance_nm
    assert points(out(40), forecaster=Linear(spread=0.15)).no_return.distance_nm < sure


def test_a_stricter_reserve_moves_it_in():
    assert points(out(40), craft=aircraft()).no_return.distance_nm < points(out(40)).no_return.distance_nm


def test_coming_home_from_it_keeps_exactly_the_reserve():
    point = points({"kind": "climb", "climb_ft": 1500}, out(60), wind_dir=60, wind_kt=18).no_return
    distance = int(100 * point.distance_nm) / 100
    there_and_back = plan(
        {"kind": "climb", "climb_ft": 1500},
        out(distance),
        out(distance, 270),
        wind_dir=60,
        wind_kt=18,
    )
    answer = asked(there_and_back, craft=NO_FINAL)
    assert answer.packs[0].margin_pct == pytest.approx(0, abs=0.5)
    assert answer.packs[0].margin_pct >= -1e-6


def test_on_a_route_with_a_bend_home_is_flown_straight():
    """20 NM east, then north: what was spent and the straight way home together are the 14 kWh that may be spent."""
    found = points(out(20), out(20, 0))
    before = 20 / 80 * 20
    spent = before + (found.no_return.distance_nm - 20) / 80 * 20
    north = found.no_return.distance_nm - 20
    home = (20**2 + north**2) ** 0.5 / 80 * 20
    assert spent + home == pytest.approx(14, abs=0.1)


def test_a_plan_there_and_back_has_its_points_on_the_way_out():
    found = points(out(10), out(10, 270))
    assert found.no_return.beyond
    assert found.equal_time.distance_nm == pytest.approx(5, abs=0.05)


def test_nothing_to_give_is_said():
    assert "No leg leads away" in points({"kind": "circuits", "circuits": 3}).why_not
    assert "No leg leads away" in points({"kind": "level", "minutes": 20}).why_not


def test_where_the_reserve_is_gone_at_the_start_there_is_no_way_out():
    found = points({"kind": "climb", "climb_ft": 8000}, out(10))
    assert found.no_return.distance_nm == 0
    assert "no way out" in found.no_return.words


def test_a_wind_that_cannot_be_flown_at_once_and_a_half_is_said():
    found = points(out(20, 90), wind_dir=0, wind_kt=60)
    assert found.no_return is not None
    assert found.no_return_more_wind is None
    assert "1.4 times" in found.more_wind


def test_the_wind_assumed_is_printed():
    found = points(out(20), wind_dir=45, wind_kt=10)
    assert found.wind == "045° / 10 kt"
    assert found.more_wind == "045° / 14 kt"
    assert points(out(20)).wind == "still air"


def test_a_way_home_that_the_wind_forbids_is_said():
    typed = plan(out(20, 0), wind_dir=180, wind_kt=70, return_tas_kt=60, return_power_kw=10)
    answer = asked(typed, craft=NO_FINAL)
    assert "way home cannot be flown" in answer.points.why_not
    assert answer.legs[-1].packs[0].turn_back_pct is None


@QUICK
@given(
    st.lists(st.tuples(st.floats(0, 359), st.floats(1, 25)), min_size=1, max_size=3),
    st.floats(0, 359),
    st.floats(0, 30),
    st.floats(0.5, 10),
)
def test_more_distance_never_lands_fuller(legs, blows, speed, more):
    try:
        shorter = asked(
            plan(*(out(distance, track) for track, distance in legs), wind_dir=blows, wind_kt=speed)
        )
    except DataRefused:
        assume(False)
    longer_legs = [out(distance, track) for track, distance in legs]
    longer_legs[-1]["distance_nm"] += more
    longer = asked(plan(*longer_legs, wind_dir=blows, wind_kt=speed))
    assert longer.packs[0].landing_soc_pct.mid <= shorter.packs[0].landing_soc_pct.mid
    assert longer.packs[0].margin_pct < shorter.packs[0].margin_pct
