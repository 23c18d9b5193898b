"""What is to be flown, as a plan or a question states it, and the packs it starts with."""

from math import exp, log
from typing import NamedTuple

from logbook.energy.amounts import Amounts
from logbook.energy.evidence import LEAST_KW, Reader
from logbook.energy.parameters import POWER
from logbook.energy.planned_mass import planned_mass
from logbook.energy.state import Array


class Demand(NamedTuple):
    """A flight, or one leg of it, to be forecast. Nothing is demanded by default but one start."""

    climb_ft: float = 0.0
    """Feet climbed outside circuits [ft]."""
    level_min: float = 0.0
    level_factor: float = 1.0
    """Level power over usual cruise power."""
    circuits: float = 0.0
    starts: float = 1.0
    """Start, taxi and shutdown: 1 for a flight; 0 for a leg that holds no ground phase."""
    ground_min: float | None = None
    """Minutes of taxi where they are known; ``None`` is the usual."""
    departs: bool | None = None
    """Leaves the circuit once; ``None``: if anything but circuits is flown."""
    airwork: tuple[tuple[float, float], ...] = ()
    """Further stretches as (minutes, power [kW])."""
    extra_kwh: float = 0.0
    mass_kg: float | None = None
    aboard: int | None = None
    handler: str | None = None
    outside_temp_c: float | None = None
    wind_kt: float | None = None
    air_min: float | None = None
    """Air time where it is known; a plan leaves it out and the usual scatter is added."""
    kind: str = ""
    """circuits, local, cross-country, ferry or check: decides which scatter applies."""


class PackStart(NamedTuple):
    """One pack before the flight."""

    serial_no: str
    position: str | None = None
    soc_departure_pct: float = 100.0
    soh_pct: float | None = None
    temp_departure_c: float | None = None
    packs: tuple[str, ...] = ()
    """Packs that one figure for the whole aeroplane stands for; empty for a pack's own figure."""


def kind_of(demand: Demand) -> str:
    """Kind of a demand that does not say."""
    if demand.kind:
        return demand.kind
    if demand.circuits > 0 and demand.climb_ft <= 0 and demand.level_min <= 0 and not demand.airwork:
        return "circuits"
    return "cross-country" if demand.level_min > 25 else "local"


def amounts_of(demand: Demand, reader: Reader, core: Array, kind: str = "") -> Amounts:
    """A demand in the model's terms.

    Args:
        demand: What is to be flown.
        reader: What is usual for this aeroplane.
        core: The unknowns of the aeroplane.
        kind: Kind of the whole flight, where the demand is a leg of it.
    """
    kind = kind or kind_of(demand)
    circuit_flight = kind == "circuits"
    mass = planned_mass(reader, demand.mass_kg, demand.handler, demand.aboard)
    level, extra = _level_and_extra(demand, reader, float(core[POWER]))
    kft, circuits = _finite(demand.climb_ft) / 1000, _finite(demand.circuits)
    departs = demand.departs if demand.departs is not None else bool(kft or level or extra)
    terms = reader.clock.terms(kft, circuits, mass.ln, circuit_flight=circuit_flight)
    sd = reader.clock.sd(terms, circuit_flight=circuit_flight)
    flown = bool(kft or level or circuits or extra)
    habits = reader.habits
    usual_taxi = habits.taxi_out.mean + habits.taxi_in.mean
    unexplained = 0.0
    if demand.air_min is not None:
        unexplained = _bounded(demand.air_min - level - reader.clock.expected(terms), 3.5 * sd)
    return Amounts(
        kft=kft,
        level_min=level,
        circuits=circuits,
        starts=_finite(demand.starts),
        taxi_min=0.0
        if demand.ground_min is None
        else _bounded(demand.ground_min - usual_taxi * demand.starts, 120.0),
        departs=1.0 if departs else 0.0,
        unexplained_min=unexplained,
        unexplained_sd=sd if demand.air_min is None and flown else 0.0,
        circuit_flight=circuit_flight,
        ln_mass=mass.ln,
        ln_mass_sd=mass.sd,
        temp=0.0 if demand.outside_temp_c is None else _bounded(demand.outside_temp_c - 15.0, 60.0),
        wind=0.0 if demand.wind_kt is None else min(max(demand.wind_kt, 0.0), 60.0) - 8.0,
        extra_kwh=extra,
        handler=demand.handler,
        kind=kind,
        air_min=demand.air_min
        if demand.air_min is not None
        else level + (reader.clock.expected(terms) if flown else 0.0),
    )


def _level_and_extra(demand: Demand, reader: Reader, exponent: float) -> tuple[float, float]:
    """Minutes worth of usual level flight [min], and energy that no rate covers [kWh]."""
    level = _finite(demand.level_min) * exp(exponent * _bounded(log(max(demand.level_factor, 0.05)), 1.5))
    extra = _finite(demand.extra_kwh)
    for minutes, power_kw in demand.airwork:
        if reader.cruise_kw is not None and reader.cruise_kw > LEAST_KW and power_kw > 0:
            ratio = max(power_kw / reader.cruise_kw, 0.05)
            level += _finite(minutes) * exp(exponent * _bounded(log(ratio), 1.5))
        else:
            extra += _finite(minutes) * _finite(power_kw) / 60
    return level, extra


def _finite(value: float) -> float:
    """An amount that cannot break the arithmetic: not negative, at most a million, 0 where it is not a number."""
    return min(max(value, 0.0), 1e6) if value == value else 0.0  # noqa: PLR0124 - only NaN differs from itself


def _bounded(value: float, limit: float) -> float:
    return min(max(value, -limit), limit) if value == value else 0.0  # noqa: PLR0124
