"""Times and days as people type them."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.services.typed_time import Clock, clock_text, local_day, read_day, read_time
from logbook.units import minutes_of

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


def test_a_day_may_be_named_by_its_number_or_counted_back() -> None:
    assert [read_day(text, "2031-05-09").value for text in ("2031-05-01", "3", "-1", "-9")] == [
        "2031-05-01", "2031-05-03", "2031-05-08", "2031-04-30",
    ]  # fmt: skip
    assert read_day("12", "2031-05-09").doubt == "a day to come."
    assert read_day("31", "2031-04-09").problem


@pytest.mark.parametrize("text", ["1.11.2030", "01.11.2030", "1. 11. 2030", "1.11.", "1.11", "01.11."])
def test_a_day_with_dots_is_day_month_year_and_without_a_year_the_nearest(text: str) -> None:
    assert read_day(text, "2031-01-09").value == "2030-11-01"


def test_a_day_without_a_year_is_found_over_the_turn_of_the_year() -> None:
    assert read_day("31.12.", "2031-01-02").value == "2030-12-31"
    assert read_day("2.1.", "2030-12-31").value == "2031-01-02"
    assert read_day("2.1.", "2030-12-31").doubt == "a day to come."
    assert read_day("29.2.", "2033-01-02").value == "2032-02-29"
    assert read_day("29.2.", "2030-06-02").problem


@pytest.mark.parametrize(
    "text", ["5/9", "9/5/2031", "31.4.", "0.5.", "9.13.", "9.5.31", "", ".", "9..5", "-", "2031"]
)
def test_what_is_no_day_or_could_be_two_is_refused_with_examples(text: str) -> None:
    meaning = read_day(text, "2031-05-09")
    assert meaning.value is None
    assert "2031-05-09, 9.5., 9 (of this month) or -1 (yesterday)" in meaning.problem


@given(st.dates(date(1900, 6, 1), date(2199, 6, 1)), st.integers(-182, 182))
def test_every_day_of_half_a_year_around_is_named_by_day_and_month(today: date, away: int) -> None:
    meant = today + timedelta(days=away)
    assert read_day(f"{meant.day}.{meant.month}.", today.isoformat()).value == meant.isoformat()
