"""Time in service accrues to a pack only while it is fitted."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.cycles import count_cycles_of, judged_cycles
from logbook.energy.ledger_events import CHARGE_END, CHARGE_START, DEPARTURE, LANDING, Event
from logbook.energy.service_time import METER, Installation, ServiceFlight, time_in_service

DAY = 1440


def test_a_pack_fitted_for_sixteen_flights_accrues_what_they_took() -> None:
    """Worked example after 14 CFR 43.10, computed here: 500 cycles allowed, fitted at 40.0 h and 35.20 cycles.

    Fitted at 120.0 h of the aeroplane, removed at 131.5 h after 16 flights of 0.62 cycles: 51.5 h, 45.12 cycles, 454.88 left.
    """
    flights = [ServiceFlight(i * DAY, air_min=11.5 * 60 / 16, landings=1) for i in range(30)]
    fitted = [Installation("P1", "X", 0, 16 * DAY), Installation("P2", "X", 16 * DAY)]
    service = time_in_service("P1", fitted, {"X": flights})
    assert 40.0 + service.hours == pytest.approx(51.5)
    assert (service.flights, service.landings) == (16, 16)

    line = []
    for i in range(16):
        line += [Event(i * DAY, DEPARTURE, 100, f"F{i}"), Event(i * DAY + 43, LANDING, 38, f"F{i}")]
        line += [
            Event(i * DAY + 60, CHARGE_START, 38, f"C{i}"),
            Event(i * DAY + 150, CHARGE_END, 100, f"C{i}"),
        ]
    tally = judged_cycles(count_cycles_of(line), "discharge", 35.20)
    assert tally.accumulated == pytest.approx(45.12)
    assert 500 - (tally.accumulated or 0) == pytest.approx(454.88)


def test_a_flight_that_begins_as_the_pack_is_removed_is_not_its_own() -> None:
    flights = {"X": [ServiceFlight(0, 60), ServiceFlight(100, 60), ServiceFlight(200, 60)]}
    one = time_in_service("P1", [Installation("P1", "X", 0, 100)], flights)
    other = time_in_service("P2", [Installation("P2", "X", 100)], flights)
    assert (one.hours, other.hours) == (1.0, 2.0)


def test_time_in_two_aeroplanes_adds_up_and_time_in_store_does_not() -> None:
    flights = {
        "X": [ServiceFlight(i * 100, 30) for i in range(10)],
        "Y": [ServiceFlight(i * 100, 60) for i in range(10)],
    }
    fitted = [Installation("P1", "X", 0, 200), Installation("P1", "Y", 500, 700)]
    assert time_in_service("P1", fitted, flights).hours == pytest.approx(2 * 0.5 + 2 * 1.0)


def test_without_air_time_block_or_meter_time_counts_and_is_named() -> None:
    flights = {
        "X": [
            ServiceFlight(0, air_min=30, block_min=40, landings=2),
            ServiceFlight(100, block_min=40),
            ServiceFlight(200, meter_min=36, landings=1),
            ServiceFlight(300),
        ]
    }
    service = time_in_service("P1", [Installation("P1", "X", 0)], flights)
    assert service.hours == pytest.approx((30 + 40 + 36) / 60)
    assert service.landings == 2 + 1 + 1 + 1
    assert "1 of 4 flights by block time" in service.words
    assert "1 of 4 flights by meter time" in service.words
    assert "1 without any time: the hours are too low" in service.words
    assert "2 without a landing count" in service.words


def test_by_meter_air_time_is_the_fall_back() -> None:
    flights = {"X": [ServiceFlight(0, 30, 40, 36, 1), ServiceFlight(100, 30, 40, landings=1)]}
    service = time_in_service("P1", [Installation("P1", "X", 0)], flights, basis=METER)
    assert service.hours == pytest.approx(66 / 60)
    assert service.words == "by meter time; 1 of 2 flights by air time"


@given(st.lists(st.integers(0, 120), max_size=20), st.integers(0, 2100))
def test_whenever_two_packs_change_places_no_minute_is_lost_or_counted_twice(
    air: list[int], swapped: int
) -> None:
    flights = {"X": [ServiceFlight(i * 100, float(minutes), landings=1) for i, minutes in enumerate(air)]}
    fitted = [Installation("P1", "X", 0, swapped), Installation("P2", "X", swapped)]
    hours = [time_in_service(name, fitted, flights).hours for name in ("P1", "P2")]
    assert sum(hours) == pytest.approx(sum(air) / 60)
