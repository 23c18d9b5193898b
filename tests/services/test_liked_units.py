"""The units somebody chose: typed and shown in them, stored and written to files as always."""

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.errors import DataRefused
from logbook.measures import USUAL, Measures
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.export_book import export_package
from logbook.services.flight_rows import FlightFilter
from logbook.services.flight_typed import record_of
from logbook.services.leg_text import read_leg
from logbook.services.leg_words import leg_line
from logbook.services.liked_units import measures_of
from logbook.services.questions import list_flights
from logbook.services.settings import change_settings, settings_of
from logbook.services.unfinished import entry_of
from tests.services.club import club_book
from tests.services.test_flight_entry import AFTER, AFTERWARDS, BEFORE

OTHER = {"mass": "lb", "temperature": "°F", "distance": "km", "duration": "h"}
TYPED = {
    "mass_kg": ("1301.5", "read"),
    "outside_temp_c": ("68", "read"),
    "night_min": ("0.5", "read"),
    "P-101.temp_departure_c": ("71.3", "read"),
}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    book = club_book(tmp_path / "club.logbook")
    yield Desk(book, clock=lambda: AFTERWARDS, drafts=Drafts(book.path, tmp_path / "state"))
    book.close()


def logged(desk: Desk, values) -> str:
    entry = desk.begin_flight("AB-1")
    return desk.save_flight(
        desk.flight_form(entry), BEFORE | AFTER | values, entry.flight_id, open_only=False
    ).flight_id


def sheet_of(desk: Desk, flight_id: str) -> str:
    blocks = desk.recorded_of(desk.show("flight", flight_id))
    return "\n".join(f"{line.label} {line.value} {line.unit}" for block in blocks for line in block.lines)


def test_typed_in_pounds_fahrenheit_and_hours_stored_in_kilograms_celsius_and_minutes(desk: Desk) -> None:
    desk.keep_measures(OTHER)
    flight = desk.show("flight", logged(desk, TYPED))
    assert (flight["mass_kg"], flight["outside_temp_c"], flight["night_min"]) == (590.35, 20, 30)
    assert flight["readings"][0]["temp_departure_c"] == 21.83


def test_a_sheet_shows_what_was_typed_with_its_unit(desk: Desk) -> None:
    desk.keep_measures(OTHER)
    shown = sheet_of(desk, logged(desk, TYPED))
    for words in (
        "Take-off mass 1301.5 lb",
        "Outside temp. 68 °F",
        "Night 0.50 h",
        "before 71.3 °F",
        "Block time 0.73 h",
    ):
        assert words in shown, shown


def test_a_form_asks_in_the_chosen_unit_and_what_is_confirmed_is_what_stood_there(desk: Desk) -> None:
    flight_id = logged(desk, {"mass_kg": ("590", "read")})
    desk.keep_measures(OTHER)
    entry = desk.begin_flight("AB-1")
    form = desk.flight_form(entry)
    mass = next(field for field in form.fields if field.name == "mass_kg")
    assert mass.unit == "lb"
    confirmed = {"mass_kg": (mass.expected, "confirmed")}
    stored = record_of(form, confirmed, flight_id="x", open_only=True)["mass_kg"]
    assert stored == 589.988  # 1300.7 lb, a tenth of a pound being what a scale shows; not 590 kg to the gram
    desk.correct("flight", flight_id, {"mass_kg": stored})
    again = desk.flight_form(desk.begin_flight("AB-1"))
    assert next(field for field in again.fields if field.name == "mass_kg").expected == "1300.7"  # no drift


def test_an_expected_mass_in_pounds_has_the_digits_of_a_scale_and_a_correction_all_that_are_stored(
    desk: Desk,
) -> None:
    desk.correct("flight", "last", {"mass_kg": 560})
    desk.keep_measures({"mass": "lb"})
    fields = {field.name: field for field in desk.flight_form(desk.begin_flight("AB-1")).fields}
    assert fields["mass_kg"].expected == "1234.6"  # 560 kg / 0.45359237 = 1234.589 lb
    form = desk.correction_form("flight", desk.show("flight", "last"))
    assert {field.name: field for field in form.fields}["mass_kg"].expected == "1234.589"


def test_a_flight_opened_again_is_the_same_flight(desk: Desk) -> None:
    entry = desk.begin_flight("AB-1")
    values = BEFORE | {"mass_kg": ("590", "read"), "P-101.temp_departure_c": ("18.2", "read")}
    desk.save_flight(desk.flight_form(entry), values, entry.flight_id, open_only=True)
    desk.keep_measures(OTHER)
    again = desk.go_on_with(entry.flight_id)
    desk.save_flight(desk.flight_form(again), again.values, entry.flight_id, open_only=True)
    flight = desk.show("flight", entry.flight_id)
    assert (flight["mass_kg"], flight["versions"]) == (590, [])


def test_a_correction_shows_and_takes_the_chosen_unit(desk: Desk) -> None:
    flight_id = logged(desk, {"mass_kg": ("590", "read")})
    desk.keep_measures(OTHER)
    form = desk.correction_form("flight", desk.show("flight", flight_id))
    mass = next(field for field in form.fields if field.name == "mass_kg")
    assert (mass.unit, form.meaning("mass_kg", mass.expected).value) == ("lb", 590)
    assert form.meaning("mass_kg", "1400").value == 635.029
    assert form.meaning("mass_kg", "635 kg").value == 635


def test_a_draft_keeps_its_meaning_when_units_are_chosen_afterwards(desk: Desk) -> None:
    desk.keep_measures(OTHER)
    entry = desk.begin_flight("AB-1")._replace(
        values={"mass_kg": ("1300", "read"), "remarks": ("12", "read")}
    )
    kept = entry.draft(AFTERWARDS)
    desk.keep_measures({"mass": "kg"})
    again = entry_of(kept, desk.measures)
    assert again.values == {"mass_kg": ("1300 lb", "read"), "remarks": ("12", "read")}
    assert desk.flight_form(again).reader("mass_kg", {})("1300 lb").value == 589.67
    assert entry_of(kept, Measures(**OTHER)).values == entry.values


def test_files_and_json_are_the_same_whatever_is_chosen(desk: Desk, tmp_path: Path) -> None:
    desk.keep_measures(OTHER)
    logged(desk, TYPED)
    before = json.dumps(list(list_flights(desk.book, FlightFilter())))
    export_package(desk.book, tmp_path / "before")
    desk.keep_measures(USUAL._asdict())
    assert json.dumps(list(list_flights(desk.book, FlightFilter()))) == before
    export_package(desk.book, tmp_path / "after")
    names = sorted(path.name for path in (tmp_path / "before").iterdir())
    assert "flights.csv" in names
    for name in names:
        assert (tmp_path / "before" / name).read_bytes() == (tmp_path / "after" / name).read_bytes(), name


def test_flags_are_stored_in_one_unit_and_said_in_the_chosen_one(desk: Desk) -> None:
    flight_id = logged(desk, {"P-101.temp_max_c": ("99", "read")})
    stored = [flag["words"] for flag in desk.show("flight", flight_id)["flags"] if "°C" in flag["words"]]
    assert stored
    desk.keep_measures(OTHER)
    shown = desk.show("flight", flight_id)
    assert [flag["words"] for flag in shown["flags"] if "°C" in flag["words"]] == stored
    assert "°C" not in desk.glance_of(shown)
    assert "210.2 °F" in "\n".join(
        line.note for block in desk.derived_of(shown, None) for line in block.lines
    )


@given(tenths=st.integers(1, 1999))
def test_a_leg_in_kilometres_comes_back_as_typed(tenths: int) -> None:
    metric = Measures(distance="km")
    text = f"level {tenths / 10:g}km 090"
    leg = read_leg(text, measures=metric)
    assert leg.echo.startswith(f"level: {tenths / 10:g} km")
    assert read_leg(leg_line(leg.value, metric), measures=metric).value == leg.value
    assert f"{tenths / 10:g}km" in leg_line(leg.value, metric)


def test_settings_change_together_or_not_at_all(desk: Desk) -> None:
    with pytest.raises(DataRefused, match="mass 'stone'"):
        change_settings(desk.book, {"clock": "local", "mass": "stone"})
    assert settings_of(desk.book)["clock"] == "utc"
    with pytest.raises(DataRefused, match="no setting 'colour'"):
        change_settings(desk.book, {"colour": "red", "mass": "lb"})
    assert measures_of(desk.book) == USUAL
    assert change_settings(desk.book, {"clock": "local", "mass": "lb"})["mass"] == "lb"
    assert measures_of(desk.book).mass == "lb"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=30)
@given(junk=st.one_of(st.none(), st.integers(), st.text(), st.dictionaries(st.text(), st.text())))
def test_a_setting_somebody_else_wrote_is_as_usual(junk: object) -> None:
    assert Measures.of(junk) == USUAL or isinstance(junk, dict)
