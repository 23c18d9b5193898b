"""Published wind triangles; "exact" figures beside them were computed with full trigonometry."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from logbook.errors import DataRefused
from logbook.planning.wind import STILL, Wind, course, needed_course

ANGLES = st.floats(0, 359.99)


def made_good(heading, tas, wind):
    """Track and ground speed of a heading: the vectors of air and wind, added."""
    head, blows = math.radians(heading), math.radians(wind.from_deg)
    north = tas * math.cos(head) - wind.speed_kt * math.cos(blows)
    east = tas * math.sin(head) - wind.speed_kt * math.sin(blows)
    return math.degrees(math.atan2(east, north)) % 360, math.hypot(north, east)


@pytest.mark.parametrize(
    ("triangle", "solution"),
    [
        # Pilot's Handbook of Aeronautical Knowledge, ch. 16 (set-up verified, numbers from memory)
        ((90, 120, Wind(45, 40)), (76.37, -13.63, 88.34)),
        # atplquestions.com, EASA ECQB 2020 general navigation: heading 174, ground speed 176
        ((180, 180, Wind(100, 18)), (174.35, -5.65, 176.00)),
    ],
)
def test_a_published_track_gives_its_heading_and_ground_speed(triangle, solution):
    assert course(*triangle) == pytest.approx(solution, abs=0.006)


@pytest.mark.parametrize(
    ("heading", "tas", "wind", "track", "groundspeed"),
    [
        # US War Department, mathematics for air crew trainees (1940s): course 304, ground speed 153
        (315, 150, Wind(45, 30), 303.69, 152.97),
        # atpforum.eu, "using vectors, triangle, wind correction": track 015, ground speed 117
        (20, 120, Wind(90, 10), 15.39, 116.96),
        # recreationalflying.com, the effect of wind: about 15 degrees left
        (45, 75, Wind(135, 20), 30.07, 77.62),
    ],
)
def test_the_track_a_published_heading_makes_good_asks_for_that_heading(
    heading, tas, wind, track, groundspeed
):
    found = course(track, tas, wind)
    assert found.heading_deg == pytest.approx(heading, abs=0.006)
    assert found.groundspeed_kt == pytest.approx(groundspeed, abs=0.006)


def test_a_published_wind_asks_for_the_heading_from_which_it_was_found():
    """US War Department, mathematics for air crew trainees: heading 104, airspeed 165, track 094, ground speed 146.

    The wind is 154/34 there, read off a slide rule; exact 154.1/33.1.
    """
    found = course(94, 165, Wind(154.1, 33.1))
    assert found.heading_deg == pytest.approx(104, abs=0.06)
    assert found.groundspeed_kt == pytest.approx(146, abs=0.06)


@given(ANGLES, st.floats(30, 200), ANGLES, st.floats(0, 60))
def test_heading_and_track_undo_each_other(track, tas, blows, speed):
    wind = Wind(blows, speed)
    found = course(track, tas, wind)
    assume(found is not None and found.groundspeed_kt > 1)
    back, groundspeed = made_good(found.heading_deg, tas, wind)
    assert groundspeed == pytest.approx(found.groundspeed_kt, rel=1e-6)
    assert math.cos(math.radians(back - track)) == pytest.approx(1, abs=1e-6)


@given(ANGLES, st.floats(30, 200))
def test_without_wind_ground_speed_is_airspeed(track, tas):
    found = course(track, tas, STILL)
    assert found is not None
    assert found.groundspeed_kt == pytest.approx(tas)
    assert found.correction_deg == 0


@given(ANGLES, st.floats(30, 200), ANGLES, st.floats(1, 60))
def test_out_and_home_in_wind_is_never_quicker_than_in_still_air(track, tas, blows, speed):
    wind = Wind(blows, speed)
    out, home = course(track, tas, wind), course(track + 180, tas, wind)
    if out is None or home is None:
        return
    assert 1 / out.groundspeed_kt + 1 / home.groundspeed_kt >= 2 / tas - 1e-12


@pytest.mark.parametrize("wind", [Wind(0, 61), Wind(90, 60), Wind(90, 80), Wind(60, 90)])
def test_too_strong_a_wind_is_an_explicit_no_and_never_not_a_number(wind):
    assert course(90, 60, wind) is None
    with pytest.raises(DataRefused, match="No heading") as refusal:
        needed_course(90, 60, wind, field="legs.1")
    assert refusal.value.field == "legs.1"
    assert refusal.value.next_step


@pytest.mark.parametrize("tas", [0, -5, float("nan")])
def test_an_airspeed_of_nothing_is_refused(tas):
    with pytest.raises(DataRefused, match="airspeed"):
        course(90, tas, STILL)


def test_the_wind_is_printed_as_a_forecast_states_it():
    assert Wind(45, 12.4).words() == "045° / 12 kt"
    assert Wind(359.8, 12).words() == "000° / 12 kt"
    assert STILL.words() == "still air"
