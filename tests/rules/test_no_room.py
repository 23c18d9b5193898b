"""Times, meters, legs and masses that the flight, the packs or the aeroplane have no room for. Bands: common practice, no source."""

from __future__ import annotations

import pytest

from logbook.domain.aircraft import Aircraft
from logbook.domain.pack import Pack, PackType
from logbook.domain.record import read_record
from logbook.energy.estimate import Estimate
from logbook.errors import DataRefused
from logbook.rules.catalogue import flags_of
from logbook.rules.thresholds import Thresholds
from tests.club import P1, P2
from tests.rules.cases import flight_case, found, pack_case


def rules(**changes):
    return found(flight_case(**changes))


def used(points: float, kwh: float):
    reading = {"soc_departure_pct": 90, "soc_landing_pct": 90 - points}
    spent = {"energy_kwh": Estimate(kwh, kwh + 0.3, kwh + 0.6)}
    return tuple(pack_case(serial, case=spent, **reading) for serial in (P1, P2))


@pytest.mark.parametrize(
    ("day", "said"),
    [("1999-05-09", True), ("2031-05-11", True), ("2031-05-10", False), ("2031-05-08", False)],
)
def test_a_date_more_than_a_day_off_the_day_of_off_blocks(day, said):
    """A day apart is what local time makes of it."""
    flags = rules(flight={"date": day})
    assert ("times_improbable" in flags) == said
    if said:
        assert day in flags["times_improbable"].words


@pytest.mark.parametrize(
    ("off", "said"), [("2999-01-01T08:00Z", True), ("2041-05-09T12:01Z", True), ("2041-05-09T12:00Z", False)]
)
def test_off_blocks_more_than_ten_years_after_the_entry(off, said):
    flags = rules(flight={"off_blocks": off, "date": off[:10], "entered_at": "2031-05-09T12:00Z"})
    assert ("times_improbable" in flags) == said
    assert "times_improbable" not in rules(flight={"off_blocks": off, "date": off[:10], "entered_at": None})


@pytest.mark.parametrize("block", [0, 1])
def test_a_block_time_of_a_minute_for_most_of_the_charge(block):
    flags = found(flight_case(*used(60, 7.0), block_min=block, air_min=None))
    assert "far above what the aeroplane draws in cruise (20 kW)" in flags["times_improbable"].words


def test_the_mean_power_may_be_three_times_that_of_the_cruise():
    """20 kW: 14 kWh in 14 minutes (13 and a minute of rounding) are just 60 kW."""
    assert "times_improbable" not in found(flight_case(*used(60, 7.0), block_min=13, air_min=12))
    assert "times_improbable" in found(flight_case(*used(60, 7.0), block_min=12, air_min=11))


def test_without_a_known_power_no_full_pack_is_emptied_in_six_minutes():
    silent = {"cruise_power_kw": None, "handbook_level_kwh_per_min": None}
    quick = found(flight_case(*used(60, 7.0), aircraft=silent, block_min=1, air_min=None))
    assert "block time of 1 min is improbable for 60 % of charge used" in quick["times_improbable"].words
    assert "times_improbable" not in found(
        flight_case(*used(60, 7.0), aircraft=silent, block_min=3, air_min=None)
    )


@pytest.mark.parametrize(("end", "said"), [(140.0, True), (100.9, True), (100.85, False), (100.5, False)])
def test_an_hour_meter_that_ran_longer_than_the_block_time(end, said):
    """40 minutes are 0.67 h, and 0.2 h are let pass; a meter may count less than the block time."""
    flags = rules(flight={"meter_start": 100.0, "meter_end": end})
    assert ("meter_gap" in flags) == said


@pytest.mark.parametrize(
    ("flight", "said"),
    [
        ({"mass_kg": 20_000}, "mass of 20000 kg"),
        ({"mass_kg": 5_701}, "mass of 5701 kg"),
        ({"mass_kg": 5_700}, ""),
        ({"circuits": 500}, "500 circuits"),
        ({"circuits": 28}, "28 circuits"),
        ({"circuits": 27}, ""),
        ({"level_min": 500}, "500 level minutes"),
        ({"level_min": 55}, ""),
        ({"level_min": 56}, "56 level minutes"),
    ],
)
def test_masses_and_legs_without_room(flight, said):
    flags = rules(flight=flight)
    assert ("value_improbable" in flags) == bool(said)
    if said:
        assert said in flags["value_improbable"].words


def test_a_mass_is_held_against_that_of_the_handbook():
    handbook = {"handbook_mass_kg": 600}
    assert "hold for 600 kg" in rules(flight={"mass_kg": 901}, aircraft=handbook)["value_improbable"].words
    assert "value_improbable" not in rules(flight={"mass_kg": 900}, aircraft=handbook)


def test_the_bands_are_those_that_are_set():
    case = flight_case(flight={"circuits": 28, "mass_kg": 6000})
    assert flags_of(case, Thresholds(least_circuit_min=1.0, most_mass_kg=7000)) == []


@pytest.mark.parametrize(
    ("model", "columns", "words"),
    [
        (Pack, {"serial_no": "P", "nominal_kwh": 0}, "must be above 0"),
        (PackType, {"part_no": "T", "nominal_kwh": -12.0}, "must be above 0"),
        (Aircraft, {"registration": "X", "type": "t", "handbook_circuit_kwh": -1}, "must not be below 0"),
        (
            Aircraft,
            {"registration": "X", "type": "t", "handbook_level_kwh_per_min": -0.1},
            "must not be below 0",
        ),
        (Aircraft, {"registration": "X", "type": "t", "positions": ["front", "front"]}, "named twice"),
    ],
)
def test_what_no_pack_and_no_aeroplane_can_have_is_refused_with_words(model, columns, words):
    with pytest.raises(DataRefused, match=words):
        read_record(model, columns)


def test_a_cost_of_nought_is_a_statement_and_enters():
    assert (
        read_record(
            Aircraft, {"registration": "X", "type": "t", "handbook_departure_kwh": 0}
        ).handbook_departure_kwh
        == 0
    )


@pytest.mark.parametrize(
    ("used", "air_min", "outcome", "said"),
    [(0, 5, "flown", True), (-1, 30, "flown", True), (0, 4, "flown", False), (1, 30, "flown", False), (0, 30, "aborted", False), (-1.01, 30, "flown", False)],
)  # fmt: skip
def test_a_flight_that_took_no_charge_is_said(used, air_min, outcome, said):
    case = flight_case(
        pack_case(soc_departure_pct=90, soc_landing_pct=90 - used),
        flight={"outcome": outcome},
        air_min=air_min,
    )
    words = [flag.words for flag in flags_of(case) if flag.rule == "times_improbable"]
    assert words == ([f"{air_min} min in the air and no charge used: before start and after stop the gauge showed the same."] if said else [])  # fmt: skip


def test_one_pack_that_gave_all_while_the_other_rested_is_nobodys_mistake():
    case = flight_case(
        pack_case("A", soc_departure_pct=90, soc_landing_pct=90),
        pack_case("B", soc_departure_pct=90, soc_landing_pct=60),
    )
    assert "times_improbable" not in found(case)
