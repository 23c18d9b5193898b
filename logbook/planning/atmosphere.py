"""The standard atmosphere up to 36,000 ft, and what it does to airspeed and density.

Constants of the ICAO standard atmosphere (Doc 7488/3, 1993). Heights are pressure altitudes in feet, that is
geopotential, not geometric, height: T = T0 − L·H, p = p0·(T/T0)^(g0/(R·L)), ρ = p/(R·T).
"""

from math import isfinite, sqrt
from math import pow as raised
from typing import Final, NamedTuple

from logbook.errors import DataRefused

FT_IN_M: Final = 0.3048
SEA_LEVEL_K: Final = 288.15
SEA_LEVEL_HPA: Final = 1013.25
SEA_LEVEL_DENSITY: Final = 1.225
LAPSE_K_PER_M: Final = 0.0065
GAS_CONSTANT: Final = 287.05287
GRAVITY: Final = 9.80665
TOP_FT: Final = 36_000.0
"""The lower layer ends at 11 km; no light aeroplane flies above it."""
BOTTOM_FT: Final = -2_000.0
ZERO_C: Final = 273.15
_POWER: Final[float] = GRAVITY / (GAS_CONSTANT * LAPSE_K_PER_M)


class Air(NamedTuple):
    """Standard air at one pressure altitude."""

    temperature_k: float
    pressure_hpa: float
    density_kg_m3: float

    @property
    def theta(self) -> float:
        """Temperature over that at sea level."""
        return self.temperature_k / SEA_LEVEL_K

    @property
    def delta(self) -> float:
        """Pressure over that at sea level."""
        return self.pressure_hpa / SEA_LEVEL_HPA

    @property
    def sigma(self) -> float:
        """Density over that at sea level."""
        return self.density_kg_m3 / SEA_LEVEL_DENSITY


def standard_air(pressure_altitude_ft: float) -> Air:
    """Standard air at a pressure altitude [ft].

    Raises:
        DataRefused: the height is not between -2,000 and 36,000 ft.
    """
    if not (isfinite(pressure_altitude_ft) and BOTTOM_FT <= pressure_altitude_ft <= TOP_FT):
        raise DataRefused(
            f"A height of {pressure_altitude_ft:g} ft is outside the standard atmosphere used here.",
            next_step=f"Give a height between {BOTTOM_FT:g} and {TOP_FT:g} ft.",
        )
    temperature_k = SEA_LEVEL_K - LAPSE_K_PER_M * pressure_altitude_ft * FT_IN_M
    pressure_hpa = SEA_LEVEL_HPA * raised(temperature_k / SEA_LEVEL_K, _POWER)
    return Air(temperature_k, pressure_hpa, 100 * pressure_hpa / (GAS_CONSTANT * temperature_k))


def pressure_altitude_ft(pressure_hpa: float) -> float:
    """The height at which the standard atmosphere has a pressure [hPa → ft]."""
    return SEA_LEVEL_K * (1 - raised(pressure_hpa / SEA_LEVEL_HPA, 1 / _POWER)) / LAPSE_K_PER_M / FT_IN_M


def density_ratio(height_ft: float, outside_temp_c: float | None = None) -> float:
    """Density of the air at a pressure altitude over that at sea level, at the temperature as it is.

    Args:
        height_ft: pressure altitude [ft].
        outside_temp_c: temperature there [°C]; unknown is standard.
    """
    air = standard_air(height_ft)
    if outside_temp_c is None:
        return air.sigma
    return air.sigma * air.temperature_k / (outside_temp_c + ZERO_C)


def density_altitude_ft(height_ft: float, outside_temp_c: float) -> float:
    """The height at which standard air is as thin as the air here [ft].

    σ = (T/T0)^(g0/(R·L) − 1), solved for the height.
    """
    sigma = density_ratio(height_ft, outside_temp_c)
    return SEA_LEVEL_K * (1 - raised(sigma, 1 / (_POWER - 1))) / LAPSE_K_PER_M / FT_IN_M


def temperature_aloft_c(ground_temp_c: float, climbed_ft: float) -> float:
    """Temperature expected after a climb, at the standard lapse of 1.98 °C in 1000 ft [°C]."""
    return ground_temp_c - LAPSE_K_PER_M * FT_IN_M * climbed_ft


def true_airspeed_kt(calibrated_kt: float, height_ft: float, outside_temp_c: float | None = None) -> float:
    """True airspeed of a calibrated airspeed, compressibility left out (below 200 kt it is under 1 kt) [kt]."""
    return calibrated_kt / sqrt(density_ratio(height_ft, outside_temp_c))
