"""The plan form takes what is typed, leaves nothing out silently, and never takes an expected figure for a typed one."""

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.plan import plan_flight
from logbook.services.plan_desk import PlanDesk
from logbook.services.plan_form import CIRCUITS, LEGS, THERE_AND_BACK, plan_form
from logbook.services.plan_typed import as_legs, left_out, plan_of, values_of
from tests import club

PLACES = [
    {"place": "Northhill", "latitude_deg": 50.0, "longitude_deg": 10.0},
    {"place": "Southmoor", "latitude_deg": 49.5, "longitude_deg": 10.0},
]


def form_of(book, way=CIRCUITS, legs=3):
    return plan_form(book, club.WATT, way, legs=legs, now=club.NOW)


def typed(**texts: str) -> dict[str, tuple[str, str]]:
    return {name.replace("__", "."): (text, "read") for name, text in texts.items()}


def test_a_number_of_circuits_is_a_whole_plan(book) -> None:
    plan = plan_of(form_of(book), typed(circuits="6")).plan
    assert plan == {"aircraft": club.WATT, "kind": "circuits", "legs": [{"kind": "circuits", "circuits": 6}]}


def test_expected_readings_stand_beside_the_fields_and_not_in_the_plan(book) -> None:
    club.put(book, "flight", club.flight())
    form = form_of(book)
    fields = {field.name: field for field in form.fields}
    assert fields[f"{club.P1}.soc_departure_pct"].expected == "60"
    assert fields[f"{club.P1}.temp_departure_c"].expected == ""  # weeks old: nothing to expect
    assert "packs" not in plan_of(form, typed(circuits="6")).plan
    confirmed = typed(circuits="6") | {f"{club.P1}.soc_departure_pct": ("60", "confirmed")}
    assert plan_of(form, confirmed).plan["packs"] == [{"serial_no": club.P1, "soc_departure_pct": 60}]


def test_a_temperature_of_an_hour_ago_is_expected(book) -> None:
    club.put(book, "flight", club.flight_at(11, "F9", day="2031-06-30"))
    fields = {field.name: field for field in form_of(book).fields}
    assert fields[f"{club.P1}.temp_departure_c"].expected == "33"


@pytest.mark.parametrize(
    ("name", "text"),
    [("wind", "270"), ("mass_kg", "heavy"), ("handled_by", "Nobody"), ("outside_temp_c", "99")],
)
def test_a_field_that_is_wrong_is_never_left_out_silently(book, name, text) -> None:
    found = plan_of(form_of(book), typed(circuits="6", **{name: text}))
    assert (found.plan, found.field) == (None, name)
    assert found.lacking


def test_an_improbable_value_waits_until_it_is_confirmed(book) -> None:
    form, values = form_of(book, LEGS), typed(leg__1="climb 2,000")
    assert plan_of(form, values).field == "leg.1"
    assert plan_of(form, values, frozenset({"leg.1"})).plan["legs"] == [{"kind": "climb", "climb_ft": 2}]


def test_there_and_back_takes_distance_and_track_from_coordinates(book) -> None:
    club.put(book, "place", PLACES)
    values = typed(out="south", climb_ft="2000", place_from="north")
    legs = plan_of(form_of(book, THERE_AND_BACK), values).plan["legs"]
    assert [leg["kind"] for leg in legs] == ["climb", "level", "level", "descent"]
    # Half a degree of latitude is thirty minutes of arc, so thirty nautical miles, due south and due north.
    assert legs[1]["distance_nm"] == pytest.approx(30, abs=0.1)
    assert (legs[1]["track_deg"], legs[2]["track_deg"]) == (180, 0)


def test_legs_lead_from_place_to_place(book) -> None:
    club.put(book, "place", PLACES)
    values = typed(place_from="north", leg__1="level to south", leg__3="level to north")
    legs = plan_of(form_of(book, LEGS), values).plan["legs"]
    assert [(leg["track_deg"], leg["name"]) for leg in legs] == [(180, "to Southmoor"), (0, "to Northhill")]
    lost = typed(place_from="north", leg__1="level 10nm 090", leg__2="level to north")
    assert "from where" in plan_of(form_of(book, LEGS), lost).lacking


@pytest.mark.parametrize("way", [CIRCUITS, THERE_AND_BACK, LEGS])
def test_an_empty_form_says_what_to_type_first(book, way) -> None:
    found = plan_of(form_of(book, way), {})
    assert found.plan is None
    assert found.lacking


def test_a_short_way_becomes_legs_that_mean_the_same(book) -> None:
    short = form_of(book, THERE_AND_BACK)
    values = typed(out="25nm 090", climb_ft="2000", land_there="yes", level_kw="18")
    legs = as_legs(short, values)
    assert plan_of(form_of(book, LEGS, 8), legs).plan["legs"] == [
        {name: value for name, value in leg.items() if name != "circuits"}
        for leg in plan_of(short, values).plan["legs"]
    ]


def test_everything_typed_comes_back_from_a_kept_plan_but_what_the_gauges_said(book) -> None:
    values = typed(
        leg__1="climb 2000ft", leg__2="level 25nm track 90 18kw w270/15", wind="240/12", handled_by="Ben", aboard="2",
        mass_kg="540", outside_temp_c="-5", kind="local", diversion="12nm 040", diversion_climb_ft="500", landings_night="1",
        place_from="Larkfield", elevation_ft="340", return_power_kw="16", return_tas_kt="70", circuit_min="6",
    ) | {f"{club.P1}.soc_departure_pct": ("95", "read")}  # fmt: skip
    first = plan_of(form_of(book, LEGS), values).plan
    way, again = values_of(first)
    second = plan_of(form_of(book, way), again).plan
    assert second == {name: value for name, value in first.items() if name != "packs"}


def test_circuits_planned_as_a_check_flight_stay_one_with_its_final_reserve_and_tenths_of_a_knot(
    book,
) -> None:
    plan = {
        "aircraft": club.WATT,
        "kind": "check",
        "wind_dir": 40,
        "wind_kt": 12.6,
        "legs": [{"kind": "circuits", "circuits": 3}],
    }
    way, again = values_of(plan)
    assert way == CIRCUITS
    assert plan_of(form_of(book, way), again).plan == plan


def test_what_no_field_of_a_plan_takes_is_named() -> None:
    leg = {"kind": "level", "minutes": 20, "name": "lake"}
    plan = {"aircraft": club.WATT, "legs": [leg], "descent_fpm": 500, "charging_pace": [{}], "wind_kt": 9}
    assert left_out(plan) == [
        "rate of descent",
        "pace of charging",
        "names of legs",
        "a wind without direction",
    ]
    assert (
        left_out(
            {"aircraft": club.WATT, "legs": [leg | {"name": "to Larkfield"}], "wind_dir": 0, "wind_kt": 9}
        )
        == []
    )


def test_a_plan_the_rules_refuse_says_why_in_the_answers_place(book) -> None:
    planning = PlanDesk(book, lambda: club.NOW, {})
    view = planning.answer(form_of(book, LEGS), typed(leg__1="level 30nm 090 w090/120"))
    assert view.planned is None
    assert "wind" in view.lacking.lower()


@pytest.mark.parametrize(
    ("known", "least"),
    [({"empty_mass_kg": 430}, "430 kg"), ({"empty_mass_kg": None, "handbook_mass_kg": 600}, "360 kg")],
)
def test_the_people_alone_are_not_taken_for_the_take_off_mass(tmp_path, book, known, least) -> None:
    """The slip made six circuits fit that do not: a forecast for an aeroplane of 160 kg."""
    desk = Desk(book, clock=lambda: club.NOW, drafts=Drafts(book.path, tmp_path))
    desk.correct("aircraft", club.WATT, known, why="weighed")
    form, light = form_of(book), typed(circuits="6", mass_kg="160")
    found = plan_of(form, light)
    assert (found.plan, found.field) == (None, "mass_kg")
    assert least in found.lacking
    assert "the aeroplane itself belongs in it" in found.lacking
    assert plan_of(form, typed(circuits="6", mass_kg="545")).plan["mass_kg"] == 545
    kept = plan_of(form, light, frozenset({"mass_kg"})).plan
    cautions = " ".join(plan_flight(book, kept).answer.cautions)
    assert "The take-off mass of 160 kg is not above" in cautions
    assert least in cautions
    logged = desk.flight_form(desk.begin_flight(club.WATT))
    doubt = logged.reader("mass_kg", {})("160").doubt
    assert least in doubt
    assert not logged.reader("mass_kg", {})("545").doubt
