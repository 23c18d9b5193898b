"""What a mapping's functions make of a cell; nothing is guessed."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from logbook.exchange.conversions import clock, converted, day, instant, later, minutes, number, stored


@pytest.mark.parametrize(
    ("text", "decimal", "thousands", "value"),
    [("7.4", ".", "", 7.4), ("7,4", ",", "", 7.4), ("1.234,5", ",", ".", 1234.5), ("1 234", ".", " ", 1234), ("\u22123", ".", "", -3), (" 5 ", ".", "", 5)],
)  # fmt: skip
def test_numbers_with_the_stated_signs(text: str, decimal: str, thousands: str, value: float) -> None:
    assert number(text, decimal, thousands) == value


@pytest.mark.parametrize(
    ("text", "decimal"),
    [("7,4", "."), ("7.4", ","), ("1e5", "."), ("", "."), ("x", "."), ("9" * 31, "."), ("nan", ".")],
)
def test_other_signs_are_refused_and_never_guessed_at(text: str, decimal: str) -> None:
    with pytest.raises(ValueError, match="decimal sign"):
        number(text, decimal, "")


@pytest.mark.parametrize(
    ("text", "order"),
    [("5.6.2031", "dmy"), ("06/05/2031", "mdy"), ("2031-06-05", "ymd"), ("5. 6. 2031", "dmy")],
)
def test_dates_in_the_stated_order(text: str, order: str) -> None:
    assert day(text, order, 0) == date(2031, 6, 5)


@pytest.mark.parametrize(
    ("text", "order", "words"),
    [("13/06/2031", "mdy", "no such day"), ("2031-06-05", "dmy", "stated order"), ("5.6.31", "dmy", "two digits"), ("31.2.2031", "dmy", "no such day"), ("June 5", "dmy", "not a date")],
)  # fmt: skip
def test_dates_in_another_order_are_refused(text: str, order: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        day(text, order, 0)


def test_a_decimal_point_is_never_taken_for_a_mark_between_thousands() -> None:
    for text in ("1.2", "12.34", "1.2345", "1234.567", ".123"):
        with pytest.raises(ValueError, match="no thousands end"):
            number(text, ",", ".")


def test_years_of_two_digits_need_a_century() -> None:
    assert day("5.6.31", "dmy", 2000) == date(2031, 6, 5)


def test_times_of_day() -> None:
    assert [clock(text) for text in ("8:05", "08:05:59", "0805", "805")] == [(8, 5)] * 4
    for text in ("24:00", "8:60", "8.05", "noon"):
        with pytest.raises(ValueError, match="time of day"):
            clock(text)


def test_local_times_become_utc_by_the_public_zone_database() -> None:
    # Europe/Rome: UTC+1, UTC+2 from the last Sunday of March 01:00 UTC to the last of October 01:00 UTC (Directive 2000/84/EC)
    rome = ZoneInfo("Europe/Rome")
    assert stored(instant(date(2024, 1, 15), 8, 0, rome, "refuse")) == "2024-01-15T07:00Z"
    assert stored(instant(date(2024, 7, 15), 8, 0, rome, "refuse")) == "2024-07-15T06:00Z"


def test_a_time_the_clocks_skipped_is_refused() -> None:
    with pytest.raises(ValueError, match="never showed 2024-03-31 02:30"):
        instant(date(2024, 3, 31), 2, 30, ZoneInfo("Europe/Rome"), "earlier")


def test_a_time_the_clocks_showed_twice_needs_a_decision() -> None:
    rome = ZoneInfo("Europe/Rome")
    with pytest.raises(ValueError, match="twice"):
        instant(date(2024, 10, 27), 2, 30, rome, "refuse")
    assert stored(instant(date(2024, 10, 27), 2, 30, rome, "earlier")) == "2024-10-27T00:30Z"
    assert stored(instant(date(2024, 10, 27), 2, 30, rome, "later")) == "2024-10-27T01:30Z"


def test_durations() -> None:
    assert [
        minutes(*one, ".", "") for one in (("1:35", "h:mm"), ("1.6", "decimal hours"), ("95", "minutes"))
    ] == [95, 96, 95]
    for text, form in (("1:75", "h:mm"), ("1.5", "h:mm"), ("-1", "minutes"), ("1:35", "minutes")):
        with pytest.raises(ValueError, match=r"duration|number"):
            minutes(text, form, ".", "")
    assert later("2031-12-31T23:30Z", 45) == "2032-01-01T00:15Z"


@pytest.mark.parametrize(
    ("value", "unit", "ours"),
    [(100, "lb", 45.359237), (212, "fahrenheit", 100), (32, "fahrenheit", 0), (0.3048, "m", 1), (1.852, "km", 1), (1.852, "km/h", 1), (0.97, "fraction", 97), (1500, "wh", 1.5), (1.5, "hours", 90), (5, "", 5)],
)  # fmt: skip
def test_units_by_their_definitions(value: float, unit: str, ours: float) -> None:
    # international yard and pound agreement of 1959; nautical mile of 1852 m
    assert converted(value, unit) == pytest.approx(ours, abs=1e-6)
