"""What people type is understood as they mean it, or told plainly; nothing is guessed and nothing raises."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.measures import USUAL
from logbook.services import typed
from logbook.units import parse_number

READERS = [
    typed.percent, typed.health, typed.pack_temperature(USUAL), typed.outside_temperature(USUAL), typed.count(99, 25), typed.number("h", 0, 1e5),
    typed.one_of(("pic", "picus", "dual")), typed.known_name(("Ana Lind", "Bea Rush"), "person"),
]  # fmt: skip


@given(text=st.text(max_size=20))
def test_any_text_in_any_field_means_something_or_is_told_what_is_wrong(text: str) -> None:
    for read in READERS:
        meaning = read(text)
        assert (meaning.value is None) == bool(meaning.problem)


@pytest.mark.parametrize(
    ("text", "value"),
    [("7.4", 7.4), ("7,4", 7.4), ("7,4%", 7.4), ("97 %", 97), ("100", 100), ("0", 0), ("−0", 0)],
)
def test_percent_with_comma_or_point_with_or_without_its_sign(text: str, value: float) -> None:
    assert typed.percent(text).value == value


@pytest.mark.parametrize(
    ("text", "value"),
    [("18", 18), ("18c", 18), ("18 °C", 18), ("-5", -5), ("−5", -5), ("64f", 17.78), ("64 °F", 17.78)],
)
def test_degrees_with_or_without_unit_fahrenheit_named(text: str, value: float) -> None:
    assert typed.pack_temperature(USUAL)(text).value == value  # (64 − 32) / 1.8 = 17.78


@pytest.mark.parametrize(
    ("unit", "own", "other"),
    [
        ("ft", "2000 FT", "2000 m"),
        ("kg", "590kg", "590 lb"),
        ("kt", "12 kts", "12 km/h"),
        ("kt true", "90 kt", "90 mph"),
        ("kWh", "7,4 kwh", "7400 Wh"),
        ("kW", "25 kW", "25 kWh"),
        ("min", "35 minutes", "35 h"),
        ("h", "1.5 h", "90 min"),
        ("kWh/1000 ft", "1.4 kWh / 1000 ft", "1.4 kWh/100 m"),
        ("°", "270°", "270 ft"),
        ("", "3", "3 ft"),
    ],
)
def test_a_unit_that_is_not_the_fields_own_is_refused_never_dropped(unit: str, own: str, other: str) -> None:
    read = typed.number(unit, 0, 1e5)
    assert read(own).value == parse_number(re.match("[0-9.,]+", own)[0])
    assert read(other).value is None
    assert (f"in {unit}" if unit else "without a unit") in read(other).problem


def test_a_unit_of_something_else_is_no_percent_and_no_temperature() -> None:
    assert typed.pack_temperature(USUAL)("30 K").problem
    assert typed.percent("30 C").problem


@pytest.mark.parametrize("text", ["101", "-1", "1e2", "99,5,1", "x", "½"])
def test_impossible_percents_are_refused(text: str) -> None:
    assert typed.percent(text).problem


def test_improbable_values_are_doubted_not_refused() -> None:
    hot = typed.pack_temperature(USUAL)("90")
    assert (hot.value, hot.doubt) == (90, "improbable.")


def test_a_choice_is_made_by_its_number_its_beginning_or_its_name() -> None:
    read = typed.one_of(("pic", "dual", "instructor", "picus"))
    assert [read(text).value for text in ("3", "d", "PIC", "inst")] == [
        "instructor",
        "dual",
        "pic",
        "instructor",
    ]
    assert read("pi").problem == "which: pic, picus?"
    assert "1 pic" in read("x").problem


def test_a_name_is_found_by_its_beginning_or_by_its_family_name() -> None:
    read = typed.known_name(("Ana Lind", "Anabel Moss", "Bea Rush"), "person")
    assert [read(text).value for text in ("ANA LIND", "rush", "be")] == ["Ana Lind", "Bea Rush", "Bea Rush"]
    assert read("ana").problem == "which: Ana Lind, Anabel Moss?"
    assert "add it in Setup" in read("Zoe").problem


def test_names_that_may_have_been_meant_come_best_first_and_others_not_at_all() -> None:
    names = ("Ana Lind", "Anabel Moss", "Bea Rush")
    assert typed.alike(names, "ana") == ["Ana Lind", "Anabel Moss"]
    assert typed.alike(names, "bea rusch") == ["Bea Rush"]
    assert typed.alike(names, "lindt") == ["Ana Lind"]
    assert typed.alike(names, "Zoe Tarn") == []
    assert typed.alike(names, "") == []
