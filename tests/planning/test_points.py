"""Published worked examples of the point of safe return and the point of equal time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.planning.wind import Wind, course, needed_course
from tests.planning.closed_forms import point_of_equal_time, point_of_no_return

SPEEDS = st.floats(20, 300)


@pytest.mark.parametrize(
    ("hours", "out", "home", "minutes", "distance"),
    [
        (5, 220, 180, 135.0, 495.0),  # runup.ca, "calculating time to critical point": 2:15
        (8.5, 365, 480, 289.70, 1762.4),  # atplquestions.com, performance, question 19: 290 min
        (8, 385, 465, 262.59, 1684.94),  # pprune.org thread 5674363: 1685 NM
    ],
)
def test_published_points_of_no_return(hours, out, home, minutes, distance):
    point = point_of_no_return(hours, out, home)
    assert point.minutes == pytest.approx(minutes, abs=0.006)
    assert point.distance_nm == pytest.approx(distance, abs=0.06)


def test_a_published_point_of_no_return_with_its_wind():
    """atplquestions.com, flight planning 12: off 14:00, track 270, wind 270/20, TAS 200, 6 h: at 17:18."""
    wind = Wind(270, 20)
    out, home = needed_course(270, 200, wind), needed_course(90, 200, wind)
    point = point_of_no_return(6, out.groundspeed_kt, home.groundspeed_kt)
    assert point.minutes == pytest.approx(3 * 60 + 18)
    assert point.distance_nm == pytest.approx(594)


def test_a_published_point_of_no_return_in_a_cross_wind():
    """EASA ECQB 2020 flight planning 15 (atplquestions.com): O 121, H 129, 1.7 h, 205.7 NM; exact 120.3/128.0/1.703 h."""
    wind = Wind(290, 15)
    out, home = needed_course(5, 125, wind), needed_course(185, 125, wind)
    assert out.groundspeed_kt == pytest.approx(120.3, abs=0.06)
    assert home.groundspeed_kt == pytest.approx(128.0, abs=0.06)
    point = point_of_no_return(3.3, out.groundspeed_kt, home.groundspeed_kt)
    assert point.minutes / 60 == pytest.approx(1.7, abs=0.005)
    assert point.distance_nm == pytest.approx(204.7, abs=0.06)  # printed: 1.7 h at the rounded 121 kt


@pytest.mark.parametrize(
    ("distance", "out", "home", "at_nm", "minutes"),
    [
        # runup.ca: 252 NM; its time "1.4 h" is an arithmetic slip (252/180 where 252/220 is meant): 68.7 min
        (560, 220, 180, 252.0, 68.7),
        (2484, 420, 500, 1350.0, 192.86),  # pprune.org: 1350 NM, 193 min
        # the three cases set in a training school's chapter on the subject (2002); figures computed here
        (600, 300, 300, 300, 60.0),
        (600, 250, 350, 350, 84.0),
        (600, 350, 250, 250, 42.9),
    ],
)
def test_published_points_of_equal_time(distance, out, home, at_nm, minutes):
    point = point_of_equal_time(distance, out, home)
    assert point.distance_nm == pytest.approx(at_nm, abs=0.06)
    assert point.minutes == pytest.approx(minutes, abs=0.06)


@given(st.floats(0.1, 10), SPEEDS)
def test_in_still_air_half_the_endurance_is_spent_at_the_point_of_no_return(hours, speed):
    assert point_of_no_return(hours, speed, speed).minutes == pytest.approx(30 * hours)


@given(st.floats(0.1, 10), st.floats(60, 200), st.floats(0, 360), st.floats(0, 50), st.floats(0, 360))
def test_no_steady_wind_moves_the_point_of_no_return_out(hours, tas, track, speed, blows):
    wind = Wind(blows, speed)
    out, home = course(track, tas, wind), course(track + 180, tas, wind)
    assert out is not None
    assert home is not None
    still = point_of_no_return(hours, tas, tas).distance_nm
    assert point_of_no_return(hours, out.groundspeed_kt, home.groundspeed_kt).distance_nm <= still + 1e-9


@given(st.floats(0.1, 30), SPEEDS, SPEEDS, st.floats(5, 60), st.floats(5, 60))
def test_out_and_home_spend_exactly_what_may_be_spent(energy, out, home, power_out, power_home):
    point = point_of_no_return(energy, out, home, power_out, power_home)
    spent = point.distance_nm / out * power_out + point.distance_nm / home * power_home
    assert spent == pytest.approx(energy)


@given(st.floats(1, 300), SPEEDS, SPEEDS, st.floats(5, 60), st.floats(5, 60))
def test_at_the_point_of_equal_time_home_costs_what_going_on_costs(
    distance, out, home, power_out, power_home
):
    point = point_of_equal_time(distance, out, home, power_out, power_home)
    assert 0 <= point.distance_nm <= distance
    assert point.distance_nm / home * power_home == pytest.approx(
        (distance - point.distance_nm) / out * power_out
    )


@given(st.floats(1, 300), st.floats(80, 200), st.floats(1, 40))
def test_the_point_of_equal_time_moves_upwind(distance, tas, headwind):
    assert point_of_equal_time(distance, tas - headwind, tas + headwind).distance_nm > distance / 2
    assert point_of_equal_time(distance, tas + headwind, tas - headwind).distance_nm < distance / 2


def test_with_nothing_to_spend_the_point_is_here():
    assert point_of_no_return(-1, 100, 100) == (0, 0)
