"""One leg is one line: read with or without units, refused in words, and written back so that it reads the same."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.services.leg_text import KINDS, Spot, read_leg, read_way, read_wind
from logbook.services.leg_words import leg_line

HOME = Spot("Larkfield", 0.0, 0.0)
MOSS = Spot("Mosswick", 0.0, 0.5)
PLACES = {spot.name: spot for spot in (HOME, MOSS)}


@pytest.mark.parametrize(
    ("text", "leg"),
    [
        ("climb 2000", {"kind": "climb", "climb_ft": 2000}),
        ("cl to 3500ft", {"kind": "climb", "to_ft": 3500}),
        ("climb 2000 10nm 270", {"kind": "climb", "climb_ft": 2000, "distance_nm": 10, "track_deg": 270}),
        ("l 12", {"kind": "level", "minutes": 12}),
        ("level 12,5 min 85kt", {"kind": "level", "minutes": 12.5, "tas_kt": 85}),
        ("level 25nm 090", {"kind": "level", "distance_nm": 25, "track_deg": 90}),
        ("LEVEL 25 NM T090 18KW", {"kind": "level", "distance_nm": 25, "track_deg": 90, "power_kw": 18}),
        ("level 25nm 40 w270/15", {"kind": "level", "distance_nm": 25, "track_deg": 40, "wind_dir": 270, "wind_kt": 15}),
        ("circuits 3", {"kind": "circuits", "circuits": 3}),
        ("ci 3 18min", {"kind": "circuits", "circuits": 3, "minutes": 18}),
        ("airwork 15 18kw", {"kind": "airwork", "minutes": 15, "power_kw": 18}),
        ("descent", {"kind": "descent"}),
        ("d 1000ft", {"kind": "descent", "to_ft": 1000}),
        ("ground 5", {"kind": "ground", "minutes": 5}),
    ],
)  # fmt: skip
def test_a_leg_is_read_as_it_is_said(text, leg) -> None:
    meaning = read_leg(text)
    assert (meaning.value, meaning.problem) == (leg, "")
    assert read_leg(leg_line(leg)).value == leg


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("c 3", "climb or circuits"),
        ("fly 3", "begin with"),
        ("level", "how long"),
        ("climb", "how far up"),
        ("climb -5", "negative"),
        ("circuits 2.5", "whole number"),
        ("level 12foo", "not understood"),
        ("level 25nm 090 100", "same thing twice"),
        ("circuits 3 25nm", "leg of its own"),
        ("level 10 track 400", "at most 360"),
    ],
)
def test_what_cannot_be_a_leg_is_said_with_what_to_do(text, words) -> None:
    meaning = read_leg(text)
    assert words in meaning.problem
    assert meaning.value is None


def test_a_comma_is_a_decimal_point_and_two_feet_of_climb_are_doubted() -> None:
    meaning = read_leg("climb 2,000")
    assert meaning.value == {"kind": "climb", "climb_ft": 2}
    assert meaning.doubt


def test_a_place_gives_distance_and_track_half_a_degree_of_equator_being_thirty_miles() -> None:
    # One minute of arc of a great circle is one nautical mile, the definition of the mile before 1929.
    leg = read_leg("level to moss", HOME, PLACES).value
    assert leg["distance_nm"] == pytest.approx(30, abs=0.1)
    assert (leg["track_deg"], leg["to"]) == (90, "Mosswick")
    assert "from where" in read_leg("level to moss", None, PLACES).problem
    assert read_leg("level to moss", MOSS, PLACES).problem.startswith("that is where")
    assert "no place" in read_leg("level to Mars", HOME, PLACES).problem


@pytest.mark.parametrize(
    ("text", "distance"), [("mosswick", 30), ("to moss", 30), ("25nm 090", 25), ("12nm 40", 12)]
)
def test_a_way_is_a_place_or_distance_and_track(text, distance) -> None:
    assert read_way(text, HOME, PLACES).value["distance_nm"] == pytest.approx(distance, abs=0.1)


@pytest.mark.parametrize(
    ("text", "wind"),
    [
        ("270/15", (270, 15)),
        ("w 90/5kt", (90, 5)),
        ("27015kt", (270, 15)),
        ("calm", (0, 0)),
        ("360/10", (0, 10)),
    ],
)
def test_wind_is_read_as_it_is_written(text, wind) -> None:
    assert read_wind(text).value == wind


@pytest.mark.parametrize("text", ["270", "400/10", "270/", "x"])
def test_half_a_wind_is_no_wind(text) -> None:
    assert read_wind(text).problem


@given(
    st.one_of(st.text(max_size=40), st.builds("{} {}".format, st.sampled_from(KINDS), st.text(max_size=30)))
)
def test_any_text_is_read_or_refused_and_what_is_read_reads_back_the_same(text) -> None:
    meaning = read_leg(text, HOME, PLACES)
    assert not (meaning.value and meaning.problem)
    if meaning.value:
        said = {name: value for name, value in meaning.value.items() if name != "to"}
        assert read_leg(leg_line(said)).value == said
