"""Cycles both ways, energy through the pack, and the maker's own counting."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.cycles import (
    CycleCount,
    count_cycles_of,
    counter_against_count,
    cycles_by_energy,
    definition_of,
    energy_through,
    equivalent_cycles,
    judged_cycles,
)
from logbook.energy.estimate import Estimate
from logbook.energy.ledger_events import CHARGE_END, CHARGE_START, DEPARTURE, LANDING, Event
from logbook.energy.rainflow import count_cycles

LINE = [
    Event(0, DEPARTURE, 100, "F1"),
    Event(40, LANDING, 40, "F1"),
    Event(60, CHARGE_START, 40, "C1"),
    Event(120, CHARGE_END, 100, "C1"),
    Event(200, DEPARTURE, 98, "F2"),
    Event(240, LANDING, None, "F2", "not-read"),
    Event(300, CHARGE_START, 48, "C2"),
    Event(360, CHARGE_END, 98, "C2"),
]


@pytest.mark.parametrize(
    ("socs", "discharge", "half_sum"),  # computed here from the definitions
    [
        ([100, 0, 100], 1.0, 1.0),
        ([100, 50, 100, 50, 100], 1.0, 1.0),
        ([100, 60, 90, 40, 100, 30, 100], 1.6, 1.6),
        ([100, 70, 80, 35, 100], 0.75, 0.75),
        ([100, 50, 30], 0.7, 0.35),
        ([100], 0, 0),
        ([], 0, 0),
    ],
)
def test_cycles_are_counted_both_ways(socs: list[float], discharge: float, half_sum: float) -> None:
    assert equivalent_cycles(socs) == pytest.approx((discharge, half_sum))


@given(st.lists(st.integers(0, 100), max_size=50))
def test_cycles_by_depth_weigh_as_much_as_the_half_sum(socs: list[int]) -> None:
    by_range = sum(depth * times for depth, times in count_cycles(socs).items()) / 100
    assert by_range == pytest.approx(equivalent_cycles(socs)[1])


@given(st.lists(st.integers(0, 100), min_size=1, max_size=50))
def test_the_two_ways_agree_on_a_line_that_comes_back_to_its_start(socs: list[int]) -> None:
    discharge, half_sum = equivalent_cycles([*socs, socs[0]])
    assert discharge == pytest.approx(half_sum)


def test_a_gap_counts_as_the_change_it_is_and_an_unread_flight_loses_nothing() -> None:
    count = count_cycles_of(LINE)
    assert count.discharge == pytest.approx((60 + 2 + 50) / 100)
    assert count.half_sum == pytest.approx((60 + 60 + 2 + 50 + 50) / 200)
    assert (count.charges, count.flights) == (2, 2)
    assert (count.first_at, count.last_at) == (0, 360)


def test_an_empty_line_has_no_cycles() -> None:
    assert count_cycles_of([]) == CycleCount()


def test_energy_out_follows_the_capacity_of_the_day() -> None:
    fading = {
        40: Estimate(9, 10, 11, 5, "x"),
        200: Estimate(9, 10, 11, 5, "x"),
        300: Estimate(8, 9, 10, 6, "x"),
    }
    energy = energy_through(LINE, fading.get)
    assert energy is not None
    assert energy.mid == pytest.approx(0.6 * 10 + 0.02 * 10 + 0.5 * 9)
    assert energy.low == pytest.approx(0.6 * 9 + 0.02 * 9 + 0.5 * 8)
    assert energy.n == 3
    assert energy_through(LINE, lambda _: None) is None


def test_by_energy_a_faded_pack_makes_fewer_cycles_of_the_nominal_capacity() -> None:
    energy = energy_through(LINE[:2], lambda _: Estimate(7.5, 8, 8.5, 9, ""))
    cycles = cycles_by_energy(energy, nominal_kwh=10)
    assert cycles is not None
    assert cycles.mid == pytest.approx(0.48)  # by discharge it is 0.60
    assert cycles_by_energy(energy, None) is None
    assert cycles_by_energy(None, 10) is None


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("half-sum", "half-sum"),
        ("Half sum", "half-sum"),
        ("half_sum", "half-sum"),
        (" Charges ", "charges"),
        (None, ""),
    ],
)
def test_a_makers_definition_is_understood_however_it_is_written(text: str | None, name: str) -> None:
    assert definition_of(text) == name


@pytest.mark.parametrize(
    ("definition", "accumulated"),
    [("discharge", 36.12), ("half-sum", 36.11), ("charges", 37.0), ("flights", 37.0)],
)
def test_cycles_are_added_to_those_brought_forward(definition: str, accumulated: float) -> None:
    tally = judged_cycles(count_cycles_of(LINE), definition, 35.0)
    assert tally.accumulated == pytest.approx(accumulated)
    assert "brought forward" in tally.words


def test_a_counting_this_logbook_does_not_do_cannot_be_judged() -> None:
    unlike = judged_cycles(count_cycles_of(LINE), "each 80 % of throughput", 10)
    assert unlike.accumulated is None
    assert "each 80 % of throughput" in unlike.words
    assert judged_cycles(count_cycles_of(LINE), None).accumulated is None
    assert judged_cycles(count_cycles_of(LINE), "counter").accumulated is None


def test_the_packs_own_counter_is_never_mixed_with_counted_cycles() -> None:
    assert judged_cycles(count_cycles_of(LINE), "counter", 35, own_counter=52).accumulated == 52
    assert judged_cycles(count_cycles_of(LINE), "discharge", 35, own_counter=52).accumulated == pytest.approx(
        36.12
    )
    assert "not compared" in counter_against_count(3, count_cycles_of(LINE))
    assert "+79 %" in counter_against_count(2, count_cycles_of(LINE), "discharge")
    assert "not read" in counter_against_count(None, count_cycles_of(LINE))


def test_what_is_not_brought_forward_is_said() -> None:
    assert "not stated" in judged_cycles(count_cycles_of(LINE), "discharge").words
