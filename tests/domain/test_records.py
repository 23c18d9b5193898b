"""What can be true of a record and what cannot, at the door."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from logbook.domain.charge import Charge
from logbook.domain.flight import Flight
from logbook.domain.pack import Installation
from logbook.domain.record import read_record
from logbook.errors import DataRefused
from logbook.services.kinds import KINDS
from tests import club

NOTHING: dict[str, object] = {}


def refused(model, data):
    with pytest.raises(DataRefused) as caught:
        read_record(model, data)
    assert caught.value.next_step
    return caught.value


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_no_record_takes_a_field_it_does_not_have(kind):
    with pytest.raises(ValidationError) as caught:
        kind.load().model_validate({"no_such_field": 1})
    assert ("extra_forbidden", ("no_such_field",)) in [(e["type"], e["loc"]) for e in caught.value.errors()]


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
@pytest.mark.parametrize("data", [None, 1, "text", [], [NOTHING], True])
def test_only_an_object_can_be_a_record(kind, data):
    assert "object" in refused(kind.load(), data).problem


def test_an_error_never_repeats_a_long_text_that_was_typed():
    assert "secret" not in refused(Flight, club.flight(mass_kg="secret " * 50)).problem


def test_the_day_of_off_blocks_is_the_date_where_none_is_given():
    flight = club.flight(date=None)
    assert read_record(Flight, flight).columns()["date"] == "2031-05-09"


def test_times_that_are_equal_are_in_order():
    same = "2031-05-09T08:30Z"
    read_record(Flight, club.flight(takeoff=same, landing=same, on_blocks=same))


@pytest.mark.parametrize(
    ("off", "takeoff", "landing", "on"),
    [("10", None, None, "09"), ("10", "09", None, "11"), ("10", None, "09", "11"), ("10", None, "12", "11")],
)
def test_times_out_of_order_are_refused_also_where_some_are_unknown(off, takeoff, landing, on):
    hours = {"off_blocks": off, "takeoff": takeoff, "landing": landing, "on_blocks": on}
    times = {name: hour and f"2031-05-09T{hour}:00Z" for name, hour in hours.items()}
    assert "before" in refused(Flight, club.flight(**times)).problem


def test_a_charge_cannot_end_before_it_starts_nor_a_fitting_end_when_it_begins():
    assert (
        "before"
        in refused(Charge, club.charge("C", club.P1, "2031-05-09T10:00Z", ended="2031-05-09T09:59Z")).problem
    )
    fitted = club.fitting(club.P1, "front", removed="2031-04-01T08:00Z")
    assert "after" in refused(Installation, fitted).problem


@pytest.mark.parametrize("value", [0, 100, 99.99])
def test_a_charge_from_nothing_to_full_is_taken(value):
    reading = club.reading(soc_departure_pct=100, soc_landing_pct=value)
    assert (
        read_record(Flight, club.flight(readings=[reading])).columns()["readings"][0]["soc_landing_pct"]
        == value
    )


@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), -float("inf"), 1e10, True, "60", [60], {"pct": 60}]
)
def test_a_number_nobody_could_have_read_is_refused(value):
    assert refused(Flight, club.flight(mass_kg=value)).field == "mass_kg"


def test_a_whole_number_written_with_a_point_is_a_count():
    assert read_record(Flight, club.flight(landings_day=3.0)).columns()["landings_day"] == 3
