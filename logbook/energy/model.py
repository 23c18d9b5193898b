"""The energy model: what a flight costs, and how that depends on each unknown.

    E = ( climb × kft × m^γc + level × (min × p^κ + φ × u) × m^γl + circuit × N × m^γc
          + ground × (starts + ψ × taxi) + departure × m^γl + extra )
        × exp( temperature + wind + handler + blank )                                          (1)

    X_i = 100 × E × share_i / (nominal_i × e^{L_i}),     D_i = X_i / (1 + c × (mean charge − 70))   (2)

E [kWh] of the whole aeroplane; D [points] the SOC drop of pack i; m mass over reference mass; p level power over usual
power; u minutes the legs do not explain; L the logarithm of usable over nominal capacity. ``docs/energy/rates.md`` says why.
Where the pack type states what each tenth of charge is worth, that takes the place of c: ``energy/worth.py``.
"""

from collections.abc import Sequence
from math import exp
from typing import NamedTuple

from logbook.energy.amounts import Amounts
from logbook.energy.parameters import (
    BLANK,
    CIRCUIT,
    CLIMB,
    COLD,
    CORE,
    CURVE,
    DEPARTURE,
    GROUND,
    LEVEL,
    MASS_CLIMB,
    MASS_LEVEL,
    PHI_CIRCUIT,
    PHI_OTHER,
    POWER,
    TAXI,
    TEMPERATURE,
    WIND,
)
from logbook.energy.worth import Worths, charge_after, worth_about

CURVE_CENTRE_PCT = 70.0
_LEAST_KWH = 1e-3


class Energy(NamedTuple):
    """Energy of a flight and the derivatives of its logarithm."""

    kwh: float
    slopes: list[float]
    """d ln E / d core, length ``CORE``."""
    circuit_part: float
    """Fraction of the energy spent in circuits."""
    level_part: float
    extra_sd_kwh: float
    """Spread from what is not known of the flight: time not explained, mass."""


def energy(
    core: Sequence[float], a: Amounts, dropped: frozenset[int], person: tuple[float, float, float]
) -> Energy:
    """Equation (1) with its derivatives.

    Args:
        core: The first ``CORE`` unknowns.
        a: What is flown.
        dropped: Rates that the handbook says are nought.
        person: Effects of who handles it: on everything, on circuits, on level flight.
    """
    # Scattered masses can pull an exponent below nought, but no heavier aeroplane flies for less.
    by_climb, by_level = max(core[MASS_CLIMB], 0.0), max(core[MASS_LEVEL], 0.0)
    m_climb, m_level = exp(by_climb * a.ln_mass), exp(by_level * a.ln_mass)
    climb = 0.0 if CLIMB in dropped else exp(core[CLIMB]) * a.kft * m_climb
    level_rate = 0.0 if LEVEL in dropped else exp(core[LEVEL]) * m_level
    level = level_rate * a.level_min * exp(core[POWER] * a.ln_power)
    circuits = 0.0 if CIRCUIT in dropped else exp(core[CIRCUIT]) * a.circuits * m_climb
    ground = 0.0 if GROUND in dropped else exp(core[GROUND])
    starts, taxi = ground * a.starts, ground * a.taxi_min
    departs = 0.0 if DEPARTURE in dropped else exp(core[DEPARTURE]) * a.departs * m_level
    phi_at = PHI_CIRCUIT if a.circuit_flight else PHI_OTHER
    minute = level_rate or (circuits / max(5.0 * a.circuits, 5.0))
    known = climb + level + circuits + starts + departs + a.extra_kwh
    unexplained = max(core[phi_at] * minute * a.unexplained_min, -0.5 * known)
    rolled = max(core[TAXI] * taxi, -0.5 * starts)
    total = max(known + unexplained + rolled, _LEAST_KWH)
    c_part, l_part = circuits / total, (level + unexplained) / total
    slopes = [0.0] * CORE
    slopes[CLIMB], slopes[CIRCUIT] = climb / total, c_part
    slopes[LEVEL] = l_part
    slopes[GROUND], slopes[DEPARTURE] = (starts + rolled) / total, departs / total
    slopes[phi_at] = minute * a.unexplained_min / total
    slopes[MASS_CLIMB] = (climb + circuits) / total * a.ln_mass
    slopes[MASS_LEVEL] = (level + unexplained + departs) / total * a.ln_mass
    slopes[TEMPERATURE], slopes[WIND] = a.temp, a.wind
    slopes[TAXI] = taxi / total
    slopes[POWER] = level / total * a.ln_power
    slopes[BLANK] = a.blank
    effect = core[TEMPERATURE] * a.temp + core[WIND] * a.wind + core[BLANK] * a.blank + a.today
    effect += person[0] + person[1] * c_part + person[2] * l_part
    kwh = total * exp(min(max(effect, -1.0), 1.0))
    mass_sd = a.ln_mass_sd * (by_climb * (climb + circuits) + by_level * (level + departs))
    time_sd = core[phi_at] * minute * a.unexplained_sd
    return Energy(kwh, slopes, c_part, l_part, (mass_sd**2 + time_sd**2) ** 0.5)


class Drop(NamedTuple):
    """SOC drop of one pack and the derivatives it has beside those of the energy."""

    points: float
    """Percent of charge."""
    stretch: float
    """d ln D / d ln X: 1 without a stated curve; more where a percent is worth less at landing than above."""
    curve_slope: float
    """d ln D / d CURVE."""
    cold_slope: float
    """d ln D / d COLD."""


def drop_of(
    kwh: float, core: Sequence[float], departure_pct: float, cold: float, worths: Worths | None
) -> Drop:
    """Equation (2): the drop of a pack that gives ``kwh`` × 100 / capacity points of mean value.

    Args:
        kwh: X_i, the drop there would be at constant kWh per % [points].
        core: The first ``CORE`` unknowns.
        departure_pct: Charge before [%].
        cold: How cold the pack is, in tens of °C below 20.
        worths: What a percent is worth in each tenth from full to empty where it is stated; ``None``: learned.
    """
    points = max(kwh * exp(core[COLD] * cold), 1e-6)
    if worths is not None:
        landing = charge_after(worths, departure_pct, points)
        seen = departure_pct - landing
        return Drop(seen, points / seen / worth_about(worths, landing), 0.0, cold)
    slope = core[CURVE]
    seen = points
    for _ in range(3):
        mean_pct = departure_pct - min(seen, 100.0) / 2
        seen = points / max(1 + slope * (mean_pct - CURVE_CENTRE_PCT), 0.5)
    return Drop(seen, 1.0, -(departure_pct - min(seen, 100.0) / 2 - CURVE_CENTRE_PCT), cold)
