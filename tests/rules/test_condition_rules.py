"""Night, IFR and instrument time are parts of the flight or lesson: more of it than of the flight is flagged, never refused."""

from __future__ import annotations

import pytest

from tests.rules.cases import flight_case, found


@pytest.mark.parametrize("column", ["night_min", "ifr_min", "instrument_min", "simulated_instrument_min"])
def test_each_condition_is_held_against_the_block_time(column):
    flag = found(flight_case(flight={column: 60}))["conditions_exceed_flight"]
    assert "60 min of" in flag.words
    assert flag.words.endswith("but the flight lasted 40 min.")
    assert flag.figures["block_min"] == 40
    assert "conditions_exceed_flight" not in found(flight_case(flight={column: 40}))


def test_actual_and_simulated_instrument_time_exclude_each_other_and_add_up():
    both = {"instrument_min": 25, "simulated_instrument_min": 20}
    assert "45 min of instrument time" in found(flight_case(flight=both))["conditions_exceed_flight"].words
    apart = {"night_min": 40, "ifr_min": 40, "instrument_min": 40}
    assert "conditions_exceed_flight" not in found(flight_case(flight=apart))


def test_times_kept_in_tenths_of_an_hour_may_round_up():
    """40 min are 0.7 h, which is 42 min."""
    assert "conditions_exceed_flight" not in found(flight_case(flight={"night_min": 42}))


def test_ground_training_is_no_part_of_the_flight():
    assert found(flight_case(flight={"ground_training_min": 120})) == {}


def test_a_lesson_in_a_device_is_called_a_lesson():
    lesson = {"outcome": "device", "simulated_instrument_min": 50}
    assert "the lesson lasted" in found(flight_case(flight=lesson))["conditions_exceed_flight"].words


def test_without_block_times_nothing_is_said():
    assert "conditions_exceed_flight" not in found(flight_case(flight={"night_min": 500}, block_min=None))


@pytest.mark.parametrize("column", ["night_min", "ifr_min", "instrument_min", "simulated_instrument_min"])
def test_a_time_below_zero_is_improbable(column):
    assert "value_improbable" in found(flight_case(flight={column: -1}))


def test_a_lesson_in_a_device_needs_no_landings_but_the_device():
    lesson = {"outcome": "device", "landings_day": None, "place_to": None}
    flag = found(flight_case(flight=lesson))["record_incomplete"]
    assert flag.figures == {"missing": ["type and qualification of the training device"]}
    assert "record_incomplete" not in found(flight_case(flight=lesson | {"device_text": "BITD, Q-12"}))
