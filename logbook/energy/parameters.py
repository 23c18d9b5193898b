"""What the estimate keeps about one aeroplane, and where it starts from before the first flight.

One vector of unknowns. The first ``CORE`` entries belong to the aeroplane (named below); blocks for each position,
pack, person and charger follow as they appear in the record. Rates are kept as logarithms, so that they stay positive
and effects multiply.

Prior widths: see ``docs/energy/rates.md``. They were chosen on simulated aeroplanes (``tests/world``) and are wide
enough for a handbook that is 10 to 15 % wrong.
"""

from math import log
from typing import NamedTuple

from logbook.energy.record import AircraftFacts

CLIMB, LEVEL, CIRCUIT, GROUND, DEPARTURE = range(5)
"""Logarithms of the rates [kWh/1000 ft, kWh/min, kWh, kWh a flight, kWh a flight]."""
PHI_CIRCUIT, PHI_OTHER = 5, 6
"""Cost of a minute in the air that the legs do not explain, in level minutes (circuit flights; others)."""
MASS_CLIMB, MASS_LEVEL = 7, 8
"""Exponents of (mass / reference mass) on climb and circuits, and on level flight."""
TEMPERATURE, WIND = 9, 10
"""Effects on the logarithm of energy, for 1 °C above 15 and 1 kt above 8."""
TAXI = 11
"""Extra ground energy for each minute of taxi beyond the usual, as a fraction of the ground rate."""
CURVE = 12
"""How kWh per % falls with charge: relative change for one point of mean charge above 70."""
ZERO = 13
"""Usable fraction of nominal at SOH 0, less the stated one."""
POWER = 14
"""Exponent of (level power / usual cruise power) on level energy."""
BLANK = 15
"""Correction of the logarithm of energy where feet or minutes were not written down."""
COLD = 16
"""Effect of a cold pack on its SOC drop, for 10 °C below 20."""
SHARE = 17
"""How the load is shared: 0 evenly by position, 1 in proportion to capacity (packs on one bus)."""
OPINION = 18
"""How far a short-lived move of the indicated SOH moves the indicated drop: the pack computer counts by its own opinion."""
CORE = 19

DRIFT_SD = (
    *(0.0008, 0.0008, 0.0008, 0.001, 0.001),  # rates
    *(0.0015, 0.0015),  # unexplained time
    *(0.0005, 0.0005),  # mass
    *(0.0, 0.0, 0.0002, 0.0, 0.0, 0.0005, 0.001, 0.0, 0.0, 0.0),
)
"""How much each unknown may change from one flight to the next (standard deviation)."""

RATE_NAMES = ("climb", "level", "circuit", "ground", "departure")

GENERIC_LEVEL_SHARE = 1 / 60
"""Level rate where nothing is known: nominal capacity of the packs lasts an hour (common practice, no source)."""


class Start(NamedTuple):
    """Prior of the core: mean and standard deviation of each entry, which rates are dropped, and why it is wide."""

    mean: list[float]
    sd: list[float]
    dropped: frozenset[int]
    reasons: tuple[str, ...]


def start(aircraft: AircraftFacts, nominal_kwh: float) -> Start:
    """Where the estimate of an aeroplane starts.

    Args:
        aircraft: What the handbook says; missing rates are derived from the known ones, with wide spread.
        nominal_kwh: Nominal capacity of all fitted packs together [kWh].
    """
    rates, sds, dropped, reasons = _rates(aircraft, nominal_kwh)
    mean = [*rates, 0.5, 0.6, 1.0, 0.6, 0.0, 0.0, 0.05, 0.0012, 0.0, 0.9, 0.0, 0.01, 0.5, 0.3]
    sd = [*sds, 0.35, 0.35, 0.3, 0.3, 0.002, 0.003, 0.03, 0.0008, 0.03, 0.3, 0.08, 0.008, 0.4, 0.3]
    return Start(mean, sd, dropped, reasons)


def _rates(
    aircraft: AircraftFacts, nominal_kwh: float
) -> tuple[list[float], list[float], frozenset[int], tuple[str, ...]]:
    stated = (
        aircraft.handbook_climb_kwh_per_1000ft,
        aircraft.handbook_level_kwh_per_min,
        aircraft.handbook_circuit_kwh,
        aircraft.handbook_ground_kwh,
        aircraft.handbook_departure_kwh,
    )
    generic, generic_sd = _generic(aircraft, nominal_kwh)
    mean: list[float] = []
    sd: list[float] = []
    reasons = []
    for index, value in enumerate(stated):
        if value is None or value < 0:
            mean.append(log(generic[index]))
            sd.append(generic_sd[index])
            reasons.append(f"no handbook figure for {RATE_NAMES[index]}: taken from other figures, wide")
        else:
            mean.append(log(value) if value > 0 else 0.0)
            sd.append((0.10, 0.10, 0.10, 0.45, 0.45)[index])
    dropped = frozenset(index for index, value in enumerate(stated) if value == 0)
    return mean, sd, dropped, tuple(reasons)


def _generic(aircraft: AircraftFacts, nominal_kwh: float) -> tuple[list[float], list[float]]:
    """Rates from whatever else is known: energy height, cruise power, capacity (common practice, no source)."""
    level = aircraft.handbook_level_kwh_per_min
    level_sd = 0.2
    if not level:
        power = aircraft.cruise_power_kw
        level = power / 60 if power else nominal_kwh * GENERIC_LEVEL_SHARE
        level_sd = 0.15 if power else 0.5
    mass = aircraft.handbook_mass_kg or (aircraft.empty_mass_kg or 0) * 1.3
    climb = aircraft.handbook_climb_kwh_per_1000ft
    climb_sd = 0.25
    if not climb:
        # Lifting the mass, at some 50 % from pack to height; else as three minutes of level flight.
        climb = mass * 9.81 * 304.8 / 3.6e6 / 0.5 if mass else 3 * level
        climb_sd = 0.3 if mass else 0.6
    circuit = 0.8 * climb + 2.5 * level
    return (
        [climb, level, aircraft.handbook_circuit_kwh or circuit, 1.0 * level, 1.5 * level],
        [climb_sd, level_sd, max(0.3, level_sd), 0.6, 0.6],
    )
