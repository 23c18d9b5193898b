"""Text of any kind goes in and comes back the same; numbers come back as they were rounded at the door."""

from __future__ import annotations

import itertools
import math
import shutil

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from logbook.services.correct import correct
from logbook.services.questions import list_flights, show, show_flight
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests import club
from tests.club import put

QUICK = settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    derandomize=True,
)
NUMBER = itertools.count()

VECTORS = (
    "\x1b[2J",
    "\x1b]0;x\x07",
    "\x9b31m",
    "a\rb",
    "a\x00b",
    "\x00",
    "\u202eabc",
    "=cmd|' /C calc'!A0",
    "\t=1",
    "Ü",
    "e\u0301 is not \u00e9",
    "'; DROP TABLE flight; --",
    " spaces stay ",
    "\n\r\n",
    "\ufeffmark",
    "\U0001f6e9",
    "null",
    "0",
)
"""Control, bidirectional and formula text that is often handled wrong (CWE-150, CVE-2021-42574, CWE-1236)."""


@pytest.fixture(scope="module")
def shelf(settled_club, tmp_path_factory):
    """One book that all the examples go into."""
    path = tmp_path_factory.mktemp("text") / "book.logbook"
    shutil.copyfile(settled_club, path)
    with Book.open(path) as opened:
        yield opened


def enter(shelf, **changes):
    number = next(NUMBER)
    day, minute = divmod(number, 1440)
    off = f"2032-01-{1 + day:02d}T{minute // 60:02d}:{minute % 60:02d}Z"
    flight = club.flight(
        f"T{number}",
        date=off[:10],
        off_blocks=off,
        takeoff=None,
        landing=None,
        on_blocks=off,
        readings=[],
        **changes,
    )
    put(shelf, "flight", flight)
    return f"T{number}"


@pytest.mark.parametrize("text", VECTORS)
def test_dangerous_text_is_stored_as_it_is(shelf, text):
    assert show_flight(shelf, enter(shelf, remarks=text))["remarks"] == text


@QUICK
@given(text=st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=200))
def test_any_text_comes_back_the_same(shelf, text):
    flight_id = enter(shelf, remarks=text, debrief=text)
    found = show_flight(shelf, flight_id)
    assert (found["remarks"], found["debrief"]) == (text, text)


@QUICK
@given(text=st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=60))
@example("a\x00b")
@example('"\\\x1f\x7f')
def test_any_text_comes_back_the_same_from_the_history(shelf, text):
    flight_id = enter(shelf, remarks=text)
    correct(shelf, "flight", flight_id, {"remarks": "another"})
    assert show_flight(shelf, flight_id)["versions"][-1]["was"]["remarks"] == text


@QUICK
@given(name=st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30).filter(str.strip))
@example("a\x00b")
@example("A\x00c")
@example("%_")
def test_any_name_of_a_person_is_a_name_of_its_own(shelf, name):
    put(shelf, "person", {"person": name})
    flight_id = enter(shelf, pilot=name)
    assert show_flight(shelf, flight_id)["pilot"] == name
    assert flight_id in [flight["flight_id"] for flight in list_flights(shelf, FlightFilter(person=name))]


def test_a_very_long_text_is_kept_and_a_longer_one_refused(shelf):
    from logbook.errors import DataRefused

    text = "Ü" * 100_000
    assert show_flight(shelf, enter(shelf, remarks=text))["remarks"] == text
    with pytest.raises(DataRefused) as caught:
        enter(shelf, remarks=text + "x")
    assert caught.value.field == "remarks"


def test_half_of_a_character_is_refused_with_its_field(shelf):
    from logbook.errors import DataRefused

    with pytest.raises(DataRefused, match="valid string") as caught:
        enter(shelf, remarks="\ud800")
    assert caught.value.field == "remarks"


@QUICK
@given(value=st.floats(-1e6, 1e6))
def test_a_number_is_rounded_once_and_then_the_same_everywhere(shelf, value):
    flight_id = enter(shelf, mass_kg=value)
    kept = show_flight(shelf, flight_id)["mass_kg"]
    assert kept == round(value, 3) + 0.0
    assert math.copysign(1, kept) == 1 or kept != 0  # no negative zero
    correct(shelf, "flight", flight_id, {"mass_kg": 2e6})
    assert show_flight(shelf, flight_id)["versions"][-1]["was"]["mass_kg"] == kept


@pytest.mark.parametrize("text", [vector for vector in VECTORS if vector.strip()])
def test_dangerous_text_can_be_an_id_and_is_found_by_it(shelf, text):
    put(shelf, "place", {"place": text, "text": text})
    assert show(shelf, "place", text)["text"] == text


@pytest.mark.parametrize(
    ("wanted", "found"), [("50%", ["50% left"]), ("a_b", ["a_b"]), ("\\", ["back\\slash"])]
)
def test_signs_with_a_meaning_in_searches_count_as_themselves(book, wanted, found):
    for hour, remarks in enumerate(("50% left", "500 left", "a_b", "axb", "back\\slash"), start=6):
        put(book, "flight", club.flight_at(hour, f"F{hour}", remarks=remarks))
    assert [flight["remarks"] for flight in list_flights(book, FlightFilter(text=wanted))] == found
