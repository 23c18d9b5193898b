"""Simulated worlds shared by the tests: made once, never used to choose a constant of the model."""

from functools import cache

from logbook.energy.estimator import Estimator, estimate
from logbook.energy.record import AircraftHistory
from tests.world import World, make_world
from tests.world.facts import history_of

SEEDS = (201, 202, 203)
FLIGHTS = 680


@cache
def world(seed: int) -> World:
    """Two years of one aeroplane."""
    return make_world(seed, FLIGHTS, days=710)


@cache
def history(seed: int) -> AircraftHistory:
    """Its record as plain facts."""
    return history_of(world(seed))


@cache
def estimator(seed: int) -> Estimator:
    """All that the record says."""
    return estimate(history(seed))
