"""Night by each rule, against computed sun times and by its own words.

Check values: computed with two independent libraries (astral 3.2 and ephem 4.2.1, horizon -0:34 with the upper limb for
rise and set, -6 degrees of the centre for twilight), which agree within 36 s; whole minutes are within 66 s of both.
Definitions: 14 CFR 1.1 (read second-hand) and 14 CFR 61.57(b).
"""

from __future__ import annotations

import pytest

from logbook.rules.night import Spot, in_passenger_night, night_minutes, sun_day, sun_height_deg
from logbook.units import instant_of, minutes_of

THAMES, NORTH, ALPS = Spot(51.48, 0.0), Spot(59.30, 18.10), Spot(48.0, 11.0)
ROWS = [
    (THAMES, "2024-06-20", "02:54", "03:43", "20:20", "21:09", "21:20"),
    (THAMES, "2024-12-21", "07:23", "08:03", "15:53", "16:34", "16:53"),
    (NORTH, "2024-12-21", "06:47", "07:43", "13:48", "14:44", "14:48"),
    (ALPS, "2024-03-20", "04:47", "05:18", "17:29", "18:00", "18:29"),
    (ALPS, "2024-09-22", "04:32", "05:03", "17:12", "17:44", "18:12"),
]


@pytest.mark.parametrize("row", ROWS)
def test_sun_times_are_within_a_minute_of_two_libraries(row):
    spot, day, *expected, _ = row
    found = sun_day(spot, day)
    assert found.words == ""
    for ours, theirs in zip((found.dawn, found.sunrise, found.sunset, found.dusk), expected, strict=True):
        assert abs(minutes_of(ours) - minutes_of(f"{day}T{theirs}Z")) <= 1


@pytest.mark.parametrize("row", ROWS)
def test_the_passenger_window_opens_an_hour_after_sunset(row):
    spot, day, *_, opens = row
    minute = minutes_of(f"{day}T{opens}Z")
    assert not in_passenger_night(spot, instant_of(minute - 2))
    assert in_passenger_night(spot, instant_of(minute + 2))


@pytest.mark.parametrize("row", ROWS)
def test_a_landing_between_dusk_and_the_window_is_night_for_logging_only(row):
    spot, day, *_, dusk, opens = row
    middle = instant_of((minutes_of(f"{day}T{dusk}Z") + minutes_of(f"{day}T{opens}Z") + 1) // 2)
    later = instant_of(minutes_of(middle) + 1)
    assert night_minutes(middle, later, spot) == 1
    assert not in_passenger_night(spot, middle)


def test_minutes_of_a_flight_into_dusk_are_split_at_civil_twilight():
    assert night_minutes("2024-03-20T17:30Z", "2024-03-20T18:30Z", ALPS) == pytest.approx(30, abs=1)
    assert night_minutes("2024-03-20T10:00Z", "2024-03-20T11:00Z", ALPS) == 0
    assert night_minutes("2024-03-20T22:00Z", "2024-03-20T23:00Z", ALPS) == 60


def test_a_flight_west_sees_dusk_later_than_one_that_stays():
    stays = night_minutes("2024-03-20T17:30Z", "2024-03-20T19:00Z", ALPS)
    goes_west = night_minutes("2024-03-20T17:30Z", "2024-03-20T19:00Z", ALPS, Spot(48.0, 7.0))
    assert 0 < goes_west < stays


def test_a_flight_across_the_date_line_takes_the_short_way():
    minutes = night_minutes("2024-03-20T12:00Z", "2024-03-20T13:00Z", Spot(0, 179.5), Spot(0, -179.5))
    assert minutes == 60  # local midnight there


def test_polar_day_and_polar_night_are_answered_in_words():
    arctic = Spot(78.0, 15.0)
    summer, winter = sun_day(arctic, "2024-06-20"), sun_day(arctic, "2024-12-21")
    assert summer.words == "The Sun does not set that day."
    assert winter.words == "The Sun does not rise that day."
    assert night_minutes("2024-06-20T22:00Z", "2024-06-21T01:00Z", arctic) == 0
    assert night_minutes("2024-12-21T10:00Z", "2024-12-21T12:00Z", arctic) == 120
    assert in_passenger_night(arctic, "2024-12-21T12:00Z")
    assert not in_passenger_night(arctic, "2024-06-20T23:00Z")


def test_twilight_that_lasts_all_night_is_said():
    found = sun_day(Spot(62.0, 18.0), "2024-06-20")
    assert found.sunset is not None
    assert found.dusk is None
    assert "twilight lasts all night" in found.words


def test_the_poles_themselves_give_an_answer():
    assert sun_day(Spot(90, 0), "2024-06-20").words == "The Sun does not set that day."
    assert night_minutes("2024-12-21T10:00Z", "2024-12-21T12:00Z", Spot(-90, 0)) == 0


def test_one_look_at_the_middle_says_the_same_as_looking_all_along():
    for hour in range(24):
        for places in ((ALPS, ALPS), (ALPS, Spot(50.0, 7.0)), (NORTH, THAMES)):
            start, end = (
                f"2024-04-10T{hour:02d}:10Z",
                instant_of(minutes_of(f"2024-04-10T{hour:02d}:10Z") + 90),
            )
            whole = night_minutes(start, end, *places)
            parts = [
                sun_height_deg(between(*places, minute / 90), minutes_of(start) + minute) <= -6
                for minute in range(90)
            ]
            assert whole == pytest.approx(sum(parts), abs=1)


def between(departure, arrival, share):
    return Spot(*(a + (b - a) * share for a, b in zip(departure, arrival, strict=True)))
