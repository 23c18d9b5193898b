"""Feet, circuits and level minutes of a flight: as written down, else guessed from the clock and from what is usual."""

from typing import NamedTuple

from logbook.energy.clock import CIRCUITS, KFT, REST_CIRCUITS, Clock
from logbook.energy.habits import Habits
from logbook.energy.record import FlightFacts

USUAL_KFT = {"local": 2.0, "cross-country": 2.5, "ferry": 2.5, "check": 2.0}
USUAL_LEVEL = {"local": 15.0, "cross-country": 25.0, "ferry": 20.0, "check": 12.0}
USUAL_CIRCUITS = 4.0
CLOCK_TRUST = 0.8
"""Weight of the clock against the usual feet, where only feet are missing."""
MOST_FEET, MOST_MINUTES, MOST_CIRCUITS = 60_000.0, 1_440.0, 200
MOST_GUESSED_KFT = 15.0


class Legs(NamedTuple):
    """What was flown outside and inside the circuit."""

    kft: float
    circuits: float
    level_min: float
    guessed: bool = False
    """Whether some of it was not written down."""


def legs_of(
    flight: FlightFacts, kind: str, air_min: float | None, ln_mass: float, usual: tuple[Clock, Habits]
) -> Legs:
    """Legs of a flight.

    Args:
        flight: As recorded.
        kind: Its kind.
        air_min: Air time, where known.
        ln_mass: ln(mass / reference mass).
        usual: What is usual for this aeroplane.
    """
    clock, habits = usual
    kft, level = _within(flight.climb_ft, MOST_FEET), _within(flight.level_min, MOST_MINUTES)
    if kind == "circuits":
        circuits = _circuits(flight, air_min, clock)
        return Legs((kft or 0.0) / 1000, circuits, level or 0.0, guessed=flight.circuits is None)
    circuits = (
        float(max((flight.landings or 1) - 1, 0))
        if flight.circuits is None
        else _circuits(flight, None, clock)
    )
    rest = clock.expected(clock.terms(0.0, circuits, ln_mass, circuit_flight=False))
    if kft is None:
        known_kft = _guessed_kft(flight, kind, habits)
        if level is not None and air_min is not None:
            by_clock = min(
                max(air_min - level - rest, 0.0) / max(float(clock.state.x[KFT]), 0.5), MOST_GUESSED_KFT
            )
            known_kft += CLOCK_TRUST * (by_clock - known_kft)
    else:
        known_kft = kft / 1000
    if level is None:
        mean = habits.usual(habits.level, kind, USUAL_LEVEL.get(kind, 15.0), 8.0).mean
        other = clock.expected(clock.terms(known_kft, circuits, ln_mass, circuit_flight=False))
        level = mean if air_min is None else max(air_min - other, 0.0)
    return Legs(known_kft, circuits, level, guessed=flight.climb_ft is None or flight.level_min is None)


def learn_legs(habits: Habits, flight: FlightFacts, kind: str, legs: Legs) -> None:
    """Learn what is usual from legs that were written down."""
    habits.usual(habits.kft, kind, USUAL_KFT.get(kind, 2.0), 1.0).add(legs.kft)
    habits.usual(habits.level, kind, USUAL_LEVEL.get(kind, 15.0), 8.0).add(legs.level_min)
    if flight.highest_ft and flight.highest_ft > 300:
        habits.climb_of_height.add(legs.kft * 1000 / flight.highest_ft)


def _circuits(flight: FlightFacts, air_min: float | None, clock: Clock) -> float:
    if flight.circuits is not None:
        return float(min(max(flight.circuits, 0), MOST_CIRCUITS))
    if flight.landings:
        return float(min(flight.landings, MOST_CIRCUITS))
    if air_min is None:
        return USUAL_CIRCUITS
    x = clock.state.x
    return max((air_min - float(x[REST_CIRCUITS])) / max(float(x[CIRCUITS]), 2.0), 1.0)


def _guessed_kft(flight: FlightFacts, kind: str, habits: Habits) -> float:
    if flight.highest_ft and flight.highest_ft > 300:
        return min(habits.climb_of_height.mean * flight.highest_ft / 1000, MOST_GUESSED_KFT)
    return habits.usual(habits.kft, kind, USUAL_KFT.get(kind, 2.0), 1.0).mean


def _within(value: float | None, most: float) -> float | None:
    """A recorded amount, bounded so that a slip of the pen cannot break the arithmetic."""
    return None if value is None else min(max(value, 0.0), most)
