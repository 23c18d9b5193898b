"""Instants, dates, numbers and cells: one stored form, and back again unchanged."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.domain.cells import column_types, from_cell, to_cell
from logbook.domain.flight import Flight
from logbook.errors import DataRefused
from logbook.services.kinds import KINDS
from logbook.units import (
    between,
    canonical_date,
    canonical_instant,
    hours_and_minutes,
    instant_of,
    minutes_of,
    parse_number,
    plain_number,
)

MOMENTS = st.datetimes(datetime(1, 1, 1), datetime(9999, 12, 31), timezones=st.just(UTC))  # noqa: DTZ001 - as hypothesis wants it


@given(moment=MOMENTS)
def test_an_instant_counts_the_same_minutes_as_the_standard_library(moment):
    text = f"{moment.year:04d}-{moment:%m-%dT%H:%MZ}"
    assert canonical_instant(text) == text
    assert minutes_of(text) == int(moment.timestamp() // 60)
    if moment.year >= 1000:
        assert instant_of(minutes_of(text)) == text


@pytest.mark.parametrize(
    ("given_text", "stored"),
    [
        ("2031-05-09T08:30Z", "2031-05-09T08:30Z"),
        ("2031-05-09T08:30:59Z", "2031-05-09T08:30Z"),
        ("2031-05-09T08:30:59.999Z", "2031-05-09T08:30Z"),
    ],
)
def test_seconds_are_dropped(given_text, stored):
    assert canonical_instant(given_text) == stored


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2031-05-09",
        "2031-05-09 08:30Z",
        "2031-05-09T08:30",
        "2031-05-09T08:30z",
        "2031-05-09T08:30+00:00",
        "2031-05-09T24:00Z",
        "2031-05-09T08:60Z",
        "2031-02-29T08:30Z",
        "2031-13-01T08:30Z",
        "0000-01-01T00:00Z",
        "31-05-09T08:30Z",
        " 2031-05-09T08:30Z",
        "2031-05-09T08:30Z\n",
        "٢٠٣١-٠٥-٠٩T٠٨:٣٠Z",
    ],
)
def test_what_is_no_instant_is_refused(text):
    with pytest.raises(ValueError, match=r"instant|moment"):
        canonical_instant(text)


@pytest.mark.parametrize("text", ["", "2031-5-9", "2031-02-29", "2031-05-09Z", "2031-05-09\n", "٢٠٣١-٠٥-٠٩"])
def test_what_is_no_date_is_refused(text):
    with pytest.raises(ValueError, match=r"date|day"):
        canonical_date(text)


def test_minutes_between_are_unknown_where_an_end_is():
    assert between("2031-05-09T23:50Z", "2031-05-10T00:10Z") == 20
    assert between(None, "2031-05-10T00:10Z") is None


@pytest.mark.parametrize(
    ("text", "value"),
    [("7.4", 7.4), ("7,4", 7.4), (" 12 ", 12), ("-5", -5), ("−5", -5), (".5", 0.5), ("+3", 3)],
)
def test_numbers_are_read_as_people_type_them(text, value):
    assert parse_number(text) == value


@pytest.mark.parametrize(
    "text", ["", "seven", "1e3", "1.000,5", "nan", "inf", "0x10", "1_000", "--5", "5 kg"]
)
def test_what_is_no_number_is_refused(text):
    with pytest.raises(ValueError, match="not a number"):
        parse_number(text)


@given(value=st.floats(-1e9, 1e9))
def test_a_number_in_a_cell_reads_back_as_the_same_number(value):
    assert float(plain_number(value)) == value


@given(minutes=st.integers(-6000, 600_000))
def test_a_duration_is_shown_as_a_clock_shows_it(minutes):
    hours, rest = hours_and_minutes(minutes).lstrip("-").split(":")
    assert int(hours) * 60 + int(rest) == abs(minutes)
    assert hours_and_minutes(95) == "1:35"


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_every_column_of_every_record_is_text_a_number_or_a_list(kind):
    assert set(column_types(kind.load()).values()) <= {str, float, int, list, tuple}


@pytest.mark.parametrize(
    ("column", "value"),
    [("mass_kg", 612.5), ("mass_kg", -3), ("landings_day", 3), ("remarks", "a;b"), ("pilot", None)],
)
def test_a_value_comes_back_from_its_cell(column, value):
    assert from_cell(Flight, column, to_cell(value)) == value


def test_a_cell_of_another_type_is_refused_with_its_field():
    with pytest.raises(DataRefused) as caught:
        from_cell(Flight, "mass_kg", "heavy")
    assert caught.value.field == "mass_kg"
    with pytest.raises(DataRefused) as caught:
        from_cell(Flight, "altitude", "1")
    assert caught.value.field == "altitude"


def test_a_cell_with_more_digits_than_a_number_can_have_is_not_taken_for_infinity():
    from logbook.domain.record import read_record

    huge = from_cell(Flight, "mass_kg", "9" * 400)
    assert math.isinf(huge)
    with pytest.raises(DataRefused):
        read_record(Flight, {"date": "2031-05-09", "aircraft": "X-WATT", "state": "open", "mass_kg": huge})
