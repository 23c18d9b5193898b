import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.planning.route import HOME, great_circle


@given(st.floats(0, 359.9), st.floats(1, 200))
def test_out_and_the_same_back_ends_at_home(track, distance):
    there = HOME.moved(track, distance)
    back, home_track = there.to(HOME)
    assert back == pytest.approx(distance)
    assert there.moved(home_track, back).to(HOME)[0] == pytest.approx(0, abs=1e-6)


def test_a_minute_of_latitude_is_a_nautical_mile():
    """The old definition of the nautical mile; on a sphere of 6371.0 km it is 1.0007 NM (computed here)."""
    distance, track = great_circle((50.0, 8.0), (51.0, 8.0))
    assert distance == pytest.approx(60, abs=0.05)
    assert track == pytest.approx(0)


def test_a_quarter_of_the_equator_is_5400_minutes_of_arc():
    distance, track = great_circle((0.0, 0.0), (0.0, 90.0))
    assert distance == pytest.approx(5400, rel=0.001)
    assert track == pytest.approx(90)


def test_the_same_place_is_no_distance_away():
    assert great_circle((47.1, 11.2), (47.1, 11.2))[0] == 0


@given(st.floats(-60, 60), st.floats(-179, 179), st.floats(0, 359), st.floats(1, 60))
def test_the_flat_map_agrees_with_the_sphere_over_short_ways(latitude, longitude, track, distance):
    """Local scale: one degree of longitude shrinks with the cosine of the latitude."""
    from math import cos, radians

    there = HOME.moved(track, distance)
    end = (
        latitude + there.north_nm / 60,
        longitude + there.east_nm / 60 / cos(radians(latitude + there.north_nm / 120)),
    )
    assert great_circle((latitude, longitude), end)[0] == pytest.approx(distance, rel=0.003, abs=0.02)
