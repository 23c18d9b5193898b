import pytest

from logbook.domain.plan import PlanInput, there_and_back_plan
from logbook.domain.record import read_record
from logbook.errors import DataRefused


def read(**fields):
    return read_record(PlanInput, {"aircraft": "ZZ-EAA", **fields})


def test_every_documented_key_of_a_plan_is_taken():
    read(
        date="2031-05-09",
        mass_kg=600,
        aboard=2,
        handled_by="Mira Holm",
        outside_temp_c=-3,
        wind_dir=270,
        wind_kt=12,
        packs=[{"serial_no": "P1", "soc_departure_pct": 98, "soh_pct": 91, "temp_departure_c": 14}],
        legs=[
            {
                "kind": "level",
                "climb_ft": 0,
                "minutes": 0,
                "distance_nm": 12,
                "track_deg": 0,
                "circuits": 0,
                "power_kw": 22,
            }
        ],
    )


def test_a_wind_that_is_flown_through_needs_a_direction_and_is_never_taken_as_a_north_wind():
    there = {"kind": "level", "distance_nm": 20, "track_deg": 180}
    around = {"kind": "circuits", "circuits": 4, "track_deg": 0, "distance_nm": 0}
    for legs, others in (([there], {}), ([around], {"diversion": {"distance_nm": 9}})):
        with pytest.raises(DataRefused, match="the direction it blows from"):
            read(legs=legs, wind_kt=15, **others)
        read(legs=legs, wind_kt=15, wind_dir=0, **others)
        read(legs=legs, wind_kt=0, **others)
    assert read(legs=[around], wind_kt=15).wind_kt == 15


@pytest.mark.parametrize(
    ("legs", "field", "words"),
    [
        ([{"kind": "hover"}], "legs.0.kind", "circuits"),
        ([{"kind": "climb", "climb_ft": -1}], "legs.0.climb_ft", "negative"),
        ([{"kind": "level", "minutes": -5}], "legs.0.minutes", "negative"),
        ([{"kind": "circuits", "circuits": -2}], "legs.0.circuits", "0"),
        ([{"kind": "climb"}], "legs.0", "climb_ft"),
        ([{"kind": "level"}], "legs.0", "minutes or distance_nm"),
        ([{"kind": "circuits"}], "legs.0", "number of circuits"),
        ([{"kind": "airwork"}], "legs.0", "minutes or climb_ft"),
        ([{"kind": "level", "minutes": 3, "circuits": 2}], "legs.0", "leg of its own"),
        ([{"kind": "level", "minutes": 3, "climb_ft": 500}], "legs.0", "leg of its own"),
        ([{"kind": "level", "distance_nm": 3, "wind_kt": 9}], "legs.0", "the direction it blows from"),
        ([{"kind": "level", "minutes": 3, "speed": 4}], "legs.0.speed", "no field"),
        ([{"kind": "level", "minutes": float("nan")}], "legs.0.minutes", "finite"),
        ([{"kind": "level", "minutes": "ten"}], "legs.0.minutes", "number"),
        ([], "", "at least one leg"),
    ],
)
def test_what_cannot_be_flown_is_refused_in_words_at_its_field(legs, field, words):
    with pytest.raises(DataRefused) as refusal:
        read(legs=legs)
    assert refusal.value.field == field
    assert words in str(refusal.value)
    assert refusal.value.next_step


def test_a_pack_named_twice_is_refused():
    with pytest.raises(DataRefused, match="named twice"):
        read(legs=[{"kind": "circuits", "circuits": 1}], packs=[{"serial_no": "P1"}, {"serial_no": "P1"}])


def test_a_diversion_without_a_way_is_refused():
    with pytest.raises(DataRefused, match="distance_nm or minutes"):
        read(legs=[{"kind": "circuits", "circuits": 1}], diversion={"climb_ft": 1000})


def test_a_plan_there_and_back_comes_home_on_the_reciprocal_track():
    plan = there_and_back_plan("ZZ-EAA", 12, 250, 2000, power_kw=20.0)
    assert [leg.leg_kind for leg in plan.legs] == ["climb", "level", "level", "descent"]
    assert [leg.track_deg for leg in plan.legs[1:3]] == [250, 70]
    landing = there_and_back_plan("ZZ-EAA", 12, 250, 2000, land_there=True)
    assert [leg.leg_kind for leg in landing.legs] == [
        "climb",
        "level",
        "descent",
        "climb",
        "level",
        "descent",
    ]


def test_a_plan_survives_being_written_and_read_again():
    plan = there_and_back_plan("ZZ-EAA", 12, 250, 2000, mass_kg=610.0)
    assert PlanInput.model_validate(plan.model_dump(by_alias=True)) == plan
