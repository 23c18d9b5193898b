"""What this aeroplane costs to fly, with the handbook beside it, and what changes it.

Low to high is the central 90 % of the posterior, at reference mass, 15 °C, 8 kt and a usual pilot. ``docs/energy/rates.md``.
"""

from math import exp
from typing import NamedTuple

import numpy as np

from logbook.energy import parameters as names
from logbook.energy.estimate import Z90, Estimate
from logbook.energy.filter import Filter

FLOOR_SD = 0.02
UNITS = {
    "ground": "kWh a flight",
    "climb": "kWh/1000 ft",
    "level": "kWh/min",
    "circuit": "kWh",
    "departure": "kWh a flight",
}


class Rate(NamedTuple):
    """One rate: what the handbook says and what the record says."""

    name: str
    unit: str
    handbook: float | None
    observed: Estimate


class Effect(NamedTuple):
    """One thing that changes the energy of a flight, in percent for the step named in ``unit``."""

    name: str
    unit: str
    percent: Estimate


class Rates(NamedTuple):
    """All that the record says about energy use."""

    rates: tuple[Rate, ...]
    effects: tuple[Effect, ...]
    people: tuple[Effect, ...]
    scatter_pct: dict[str, float]
    """Scatter of one flight by kind [% of its energy]."""
    flights: int
    """Flights of which the energy is known."""
    changed: bool
    """A run of forecasts wrong in one sense within the last fifty flights: use has changed."""
    why: tuple[str, ...]


def rates(filter_: Filter) -> Rates:
    """Rates and effects as they stand after everything recorded."""
    filter_.settle()
    stated = {
        "ground": filter_.aircraft.handbook_ground_kwh,
        "climb": filter_.aircraft.handbook_climb_kwh_per_1000ft,
        "level": filter_.aircraft.handbook_level_kwh_per_min,
        "circuit": filter_.aircraft.handbook_circuit_kwh,
        "departure": filter_.aircraft.handbook_departure_kwh,
    }
    found = tuple(_rate(filter_, name, UNITS[name], stated[name]) for name in UNITS)
    scatter = {
        kind: 100 * filter_.scatter.variance(kind) ** 0.5
        for kind in filter_.scatter.kinds
        if not kind.endswith("?")
    }
    changed = filter_.changed_at is not None and filter_.flights - filter_.changed_at < 50
    unread = filter_.flights - filter_.measured
    why = filter_.reasons + (
        (f"{unread} of {filter_.flights} flights have no charge after landing and say nothing of energy",)
        if unread
        else ()
    )
    why += ("use has changed lately: forecasts were wrong in one sense",) if changed else ()
    return Rates(found, _effects(filter_), _people(filter_), scatter, filter_.measured, changed, why)


def _rate(filter_: Filter, name: str, unit: str, handbook: float | None) -> Rate:
    index = names.RATE_NAMES.index(name)
    n = filter_.flown_with[name]
    if index in filter_.dropped:
        return Rate(name, unit, handbook, Estimate(0.0, 0.0, 0.0, n, "the handbook says there is none"))
    mid = float(filter_.state.x[index])
    sd = max(float(filter_.state.p[index, index]) ** 0.5, FLOOR_SD)
    how = "handbook and record" if handbook is not None else "record, on a generic start"
    if n == 0:
        how = "the handbook alone" if handbook is not None else "a generic start alone"
    low, high = mid - Z90 * sd, mid + Z90 * sd
    return Rate(name, unit, handbook, Estimate(exp(low), exp(mid), exp(high), n, how))


def _effects(filter_: Filter) -> tuple[Effect, ...]:
    n = filter_.measured
    rows = (
        ("mass, climbing", "for 1 % more mass", names.MASS_CLIMB, 1.0),
        ("mass, level", "for 1 % more mass", names.MASS_LEVEL, 1.0),
        ("outside temperature", "for 10 °C warmer", names.TEMPERATURE, 1000.0),
        ("wind", "for 10 kt more wind", names.WIND, 1000.0),
        ("cold pack", "SOC drop for 10 °C colder, below 20 °C", names.COLD, 100.0),
    )
    return tuple(_effect(filter_, title, unit, ((index, scale),), n) for title, unit, index, scale in rows)


def _people(filter_: Filter) -> tuple[Effect, ...]:
    answers = []
    for person, n in sorted(filter_.flown_by.items()):
        found = filter_.people.look(person)
        if found is None:
            continue
        mean, covariance = found
        typical = np.array([1.0, 0.3, 0.4])  # a flight of some circuits, some level
        mid, sd = 100 * float(typical @ mean), 100 * float(typical @ covariance @ typical) ** 0.5
        how = "against the usual pilot" if n >= 3 else "fewer than three flights: little more than a guess"
        answers.append(
            Effect(person, "of a flight's energy", Estimate(mid - Z90 * sd, mid, mid + Z90 * sd, n, how))
        )
    return tuple(answers)


def _effect(filter_: Filter, title: str, unit: str, weights: tuple[tuple[int, float], ...], n: int) -> Effect:
    row = np.zeros(filter_.state.size)
    for index, weight in weights:
        row[index] = weight
    mid = float(row @ filter_.state.x)
    sd = float(row @ filter_.state.p @ row) ** 0.5
    return Effect(
        title, unit, Estimate(mid - Z90 * sd, mid, mid + Z90 * sd, n, "shrunk towards what physics expects")
    )
