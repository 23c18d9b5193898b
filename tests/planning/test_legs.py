import pytest

from logbook.errors import DataRefused
from logbook.planning.diversion import diversion_need
from logbook.planning.legs import cruise_airspeed, flown_legs, setting_of
from logbook.planning.need import Level, Need, need_of
from tests.planning.linear import AIRCRAFT, aircraft, asked, plan


def flown(*legs, craft=AIRCRAFT, circuit_min=None, **others):
    return flown_legs(setting_of(plan(*legs, **others), craft, circuit_min))[1:]


def test_a_climb_takes_its_feet_at_the_usual_rate_and_makes_no_distance():
    (leg,) = flown({"kind": "climb", "climb_ft": 2000})
    assert leg.minutes == 4
    assert leg.distance_nm == 0
    assert leg.height_ft == 2000


def test_a_climb_to_an_altitude_counts_from_the_aerodrome():
    legs = flown({"kind": "climb", "to_ft": 3500}, {"kind": "climb", "to_ft": 4500}, elevation_ft=1500)
    assert [leg.climb_ft for leg in legs] == [2000, 1000]


@pytest.mark.parametrize(
    ("legs", "others", "words"),
    [
        ([{"kind": "climb", "climb_ft": 9_000}], {"elevation_ft": 1500}, "above the ceiling"),
        (
            [{"kind": "climb", "climb_ft": 6_000}, {"kind": "climb", "climb_ft": 6_000}],
            {},
            "above the ceiling",
        ),
        ([{"kind": "climb", "to_ft": 3000}], {}, "elevation"),
        ([{"kind": "climb", "to_ft": 1000}], {"elevation_ft": 1500}, "begins higher"),
        ([{"kind": "descent", "to_ft": 3000}], {"elevation_ft": 1500}, "begins lower"),
        (
            [{"kind": "level", "distance_nm": 9, "track_deg": 90}],
            {"wind_dir": 90, "wind_kt": 85},
            "No heading",
        ),
        (
            [{"kind": "level", "distance_nm": 9, "track_deg": 90}],
            {"wind_dir": 0, "wind_kt": 85},
            "No heading",
        ),
        ([{"kind": "level", "distance_nm": 9}], {"wind_dir": 0, "wind_kt": 85}, "No heading"),
    ],
)
def test_what_cannot_be_flown_is_refused_in_words(legs, others, words):
    with pytest.raises(DataRefused, match=words) as refusal:
        flown(*legs, **others)
    assert refusal.value.next_step
    assert refusal.value.field.startswith("legs.")


def test_circuits_bring_the_aeroplane_down_again():
    legs = flown(
        {"kind": "climb", "climb_ft": 6000},
        {"kind": "circuits", "circuits": 1},
        {"kind": "climb", "climb_ft": 6000},
    )
    assert legs[-1].height_ft == 6000


def test_a_distance_without_any_airspeed_is_refused_and_says_what_to_enter():
    with pytest.raises(DataRefused, match="true airspeed"):
        flown({"kind": "level", "distance_nm": 10, "track_deg": 0}, craft=aircraft(cruise_tas_kt=None))
    (leg,) = flown({"kind": "level", "minutes": 10}, craft=aircraft(cruise_tas_kt=None))
    assert leg.minutes == 10


@pytest.mark.parametrize(("blows", "minutes"), [(None, 15), (90, 20), (270, 12)])
def test_the_wind_along_the_track_changes_the_minutes(blows, minutes):
    wind = {} if blows is None else {"wind_dir": blows, "wind_kt": 20}
    (leg,) = flown({"kind": "level", "distance_nm": 20, "track_deg": 90}, **wind)
    assert leg.minutes == pytest.approx(minutes)


def test_a_leg_may_have_a_wind_of_its_own():
    leg = {"kind": "level", "distance_nm": 20, "track_deg": 90}
    legs = flown({**leg, "wind_dir": 90, "wind_kt": 20}, leg)
    assert [found.minutes for found in legs] == pytest.approx([20, 15])


def test_without_a_track_the_whole_wind_is_on_the_nose_and_that_is_said():
    (leg,) = flown({"kind": "level", "distance_nm": 20}, wind_dir=123, wind_kt=20)
    assert leg.minutes == pytest.approx(20)
    assert "headwind" in leg.remarks[0]
    assert leg.at is None


def test_the_cube_root_stands_in_for_an_airspeed_at_another_power_and_that_is_said():
    tas_kt, said = cruise_airspeed(AIRCRAFT, 10.0)
    assert tas_kt == pytest.approx(80 * 0.5 ** (1 / 3))
    assert "cube root" in said[0]
    assert cruise_airspeed(AIRCRAFT, 20.0) == (80.0, ())
    (leg,) = flown({"kind": "level", "distance_nm": 20, "track_deg": 90, "power_kw": 10, "tas_kt": 60})
    assert leg.groundspeed_kt == 60
    assert leg.remarks == ()


def test_a_calibrated_airspeed_is_turned_true_at_the_height_of_the_leg():
    """100 kt at 10,000 ft in standard air is 116.4 kt true (sigma 0.7385 from the printed table, computed here)."""
    legs = flown(
        {"kind": "climb", "to_ft": 10_000},
        {"kind": "level", "distance_nm": 116.37, "track_deg": 0, "cas_kt": 100},
        elevation_ft=0,
        outside_temp_c=15,
    )
    assert legs[1].minutes == pytest.approx(60, abs=0.05)


def test_a_leg_by_minutes_with_a_track_moves_the_aeroplane():
    (leg,) = flown({"kind": "level", "minutes": 30, "track_deg": 90}, wind_dir=90, wind_kt=20)
    assert leg.distance_nm == pytest.approx(30)
    assert leg.at.east_nm == pytest.approx(30)


def test_circuits_take_the_typed_minutes_before_those_of_the_record():
    leg = {"kind": "circuits", "circuits": 4}
    assert flown(leg)[0].minutes is None
    assert flown(leg, circuit_min=5.5)[0].minutes == 22
    assert flown_legs(setting_of(plan(leg, circuit_min=6), AIRCRAFT, 5.5))[1].minutes == 24


def test_a_wait_on_the_ground_under_power_is_added_to_the_usual_start_and_taxi():
    legs = flown_legs(setting_of(plan({"kind": "ground", "minutes": 6, "power_kw": 5}), AIRCRAFT))
    need = need_of(legs)
    assert need.ground
    assert not need.departure
    assert need.extra_kwh == pytest.approx(0.5)
    silent = need_of(flown_legs(setting_of(plan({"kind": "ground", "minutes": 6}), AIRCRAFT)))
    assert silent == Need(ground=True)


def test_the_departure_counts_once_if_anything_but_circuits_is_flown():
    assert not need_of(flown({"kind": "circuits", "circuits": 3})).departure
    assert need_of(flown({"kind": "circuits", "circuits": 3}, {"kind": "level", "minutes": 3})).departure


def test_needs_add_up_by_power():
    legs = flown(
        {"kind": "level", "minutes": 3, "power_kw": 10},
        {"kind": "airwork", "minutes": 4, "climb_ft": 500},
        {"kind": "descent", "minutes": 2, "power_kw": 10},
        {"kind": "descent", "minutes": 9},
    )
    need = need_of(legs)
    assert set(need.level) == {Level(5, 10), Level(4, None)}
    assert need.climb_ft == 500
    assert need.level_min == 9
    assert need.with_level_min(4.5).level_min == pytest.approx(4.5)


def test_a_diversion_without_a_track_is_flown_into_the_wind():
    setting = setting_of(
        plan({"kind": "circuits", "circuits": 1}, diversion={"distance_nm": 20}, wind_dir=10, wind_kt=20),
        AIRCRAFT,
    )
    assert diversion_need(setting).level_min == pytest.approx(20)
    no_speed = setting._replace(aircraft=aircraft(cruise_tas_kt=None))
    with pytest.raises(DataRefused, match="diversion"):
        diversion_need(no_speed)


class TestDistanceAndMinutesOfOneLeg:
    """40 NM at the airspeed of the cruise (80 kt) take 30 minutes in still air."""

    def doubt(self, **typed):
        wind = {name: typed.pop(name) for name in ("wind_dir", "wind_kt") if name in typed}
        (leg,) = flown({"kind": "level", "distance_nm": 40, "track_deg": 90, "tas_kt": 80, **typed}, **wind)
        return leg

    @pytest.mark.parametrize(
        ("minutes", "said"), [(5, True), (22, True), (23, False), (37, False), (38, True)]
    )
    def test_more_than_a_quarter_apart_is_said_and_the_minutes_count(self, minutes, said):
        leg = self.doubt(minutes=minutes)
        assert leg.minutes == leg.level_min == minutes
        assert bool(leg.doubt) == said
        if said:
            assert "40 NM take about 30 min" in leg.doubt
            assert f"{minutes} min were typed" in leg.doubt

    def test_the_wind_of_the_leg_counts(self):
        assert not self.doubt(minutes=40, wind_dir=90, wind_kt=20).doubt
        assert (
            "about 40 min at a ground speed of 60 kt" in self.doubt(minutes=29, wind_dir=90, wind_kt=20).doubt
        )

    def test_one_of_the_two_alone_is_never_doubted(self):
        assert not self.doubt().doubt
        assert not flown({"kind": "level", "minutes": 5})[0].doubt

    def test_it_stands_among_the_cautions_of_the_answer(self):
        leg = {"kind": "level", "distance_nm": 40, "track_deg": 90, "minutes": 5, "tas_kt": 80}
        said = [one for one in asked(plan(leg)).cautions if "The minutes count; check both" in one]
        assert len(said) == 1
