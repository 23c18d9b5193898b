"""What people type is understood as they mean it, or told plainly; nothing is guessed and nothing raises."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.measures import USUAL
from logbook.services import typed
from logbook.services.typed import Clock, clock_text, local_day, read_day, read_time
from logbook.units import minutes_of, parse_number

UTC_DAY = Clock("2031-05-09")
ROME = Clock("2031-05-09", "Europe/Rome", "Europe/Rome")  # two hours ahead in summer
ROME_IN_UTC = Clock("2031-05-09", "UTC", "Europe/Rome")


@pytest.mark.parametrize(
    "text", ["0935", "935", "9:35", "09:35", "9.35", "9h35", " 0935 ", "0935z", "0935 UTC"]
)
def test_a_time_may_be_typed_as_pilots_write_it(text: str) -> None:
    assert read_time(text, UTC_DAY).value == "2031-05-09T09:35Z"


@pytest.mark.parametrize(
    "text", ["", "9", "2460", "0960", "25:00", "abc", "12345", "-5", "+", "+1234", "²³²³"]
)
def test_what_is_no_time_is_told_with_an_example(text: str) -> None:
    meaning = read_time(text, UTC_DAY)
    assert meaning.value is None
    assert "0935" in meaning.problem or "+ counts" in meaning.problem


def test_a_plus_counts_minutes_from_the_time_before() -> None:
    assert read_time("+42", UTC_DAY, "2031-05-09T09:35Z").value == "2031-05-09T10:17Z"
    assert read_time("+42", UTC_DAY).problem.startswith("+ counts from the time before")


def test_a_time_past_midnight_belongs_to_the_next_day_and_is_asked_about_once() -> None:
    landed = read_time("0010", UTC_DAY, "2031-05-09T23:50Z")
    assert landed.value == "2031-05-10T00:10Z"
    assert landed.doubt == "the next day."
    stopped = read_time("0015", UTC_DAY, landed.value)
    assert (stopped.value, stopped.doubt) == ("2031-05-10T00:15Z", "")


def test_a_time_before_the_one_above_is_refused_also_after_midnight() -> None:
    assert "before 09:35" in read_time("0930", UTC_DAY, "2031-05-09T09:35Z").problem
    assert "before 00:10" in read_time("0005", UTC_DAY, "2031-05-10T00:10Z").problem


def test_local_times_are_stored_in_utc_and_both_clocks_are_named() -> None:
    meaning = read_time("1135", ROME)
    assert (meaning.value, meaning.echo) == ("2031-05-09T09:35Z", "11:35 local 09:35Z")
    assert read_time("0935", ROME_IN_UTC).echo == "09:35Z 11:35 local"


def test_utc_times_of_a_local_day_may_lie_on_the_utc_day_before_or_after() -> None:
    assert read_time("2230", ROME_IN_UTC).value == "2031-05-08T22:30Z"  # half past midnight at home
    assert read_time("2130", ROME_IN_UTC).value == "2031-05-09T21:30Z"  # half past eleven at night
    far = Clock("2031-01-09", "UTC", "Pacific/Auckland")  # thirteen hours ahead in January
    assert read_time("2200", far).value == "2031-01-08T22:00Z"


def test_a_time_the_clock_skipped_is_refused_and_one_that_comes_twice_is_the_first() -> None:
    # Change-over days of the European Union, last Sundays of March and October, 01:00 UTC (Directive 2000/84/EC).
    spring = Clock("2031-03-30", "Europe/Rome", "Europe/Rome")
    assert "skipped" in read_time("0230", spring).problem
    autumn = Clock("2031-10-26", "Europe/Rome", "Europe/Rome")
    assert read_time("0230", autumn).value == "2031-10-26T00:30Z"


def test_an_unknown_zone_asks_for_utc() -> None:
    assert "F4" in read_time("0935", Clock("2031-05-09", "Moon/Base", "Moon/Base")).problem


@given(
    hour=st.integers(0, 23),
    minute=st.integers(0, 59),
    zone=st.sampled_from(["UTC", "Europe/Rome", "Pacific/Auckland"]),
)
def test_every_clock_time_of_a_day_is_on_that_day_and_reads_back_on_the_other_clock(
    hour: int, minute: int, zone: str
) -> None:
    for typed_in in ("UTC", zone):
        meaning = read_time(f"{hour:02d}{minute:02d}", Clock("2031-05-09", typed_in, zone))
        assert local_day(meaning.value, zone) == "2031-05-09"
        assert clock_text(meaning.value, typed_in) == f"{hour:02d}{minute:02d}"


@given(text=st.text(max_size=12), after=st.sampled_from([None, "2031-05-09T23:50Z"]))
def test_any_text_gives_a_time_or_a_problem_and_never_both(text: str, after: str | None) -> None:
    meaning = read_time(text, ROME, after)
    assert (meaning.value is None) == bool(meaning.problem)
    if meaning.value and after:
        assert minutes_of(meaning.value) >= minutes_of(after)


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


def test_a_day_may_be_named_by_its_number_or_counted_back() -> None:
    assert [read_day(text, "2031-05-09").value for text in ("2031-05-01", "3", "-1", "-9")] == [
        "2031-05-01", "2031-05-03", "2031-05-08", "2031-04-30",
    ]  # fmt: skip
    assert read_day("12", "2031-05-09").doubt == "a day to come."
    assert read_day("31", "2031-04-09").problem
