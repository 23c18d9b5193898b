"""An invented trainer: drag polar, propeller, motor. Power in, time and energy out."""

from dataclasses import dataclass

import numpy as np

G = 9.81
KT = 0.5144
FT = 0.3048


@dataclass(frozen=True)
class Aeroplane:
    """Numbers of one invented trainer; every figure is drawn anew by seed and describes no real aeroplane."""

    wing_m2: float
    drag_zero: float
    drag_induced: float
    climb_kw: float
    """Electrical power in the climb [kW]."""
    climb_kt: float
    cruise_kt: float
    prop_climb: float
    prop_cruise: float
    motor: float
    taxi_kw: float
    avionics_kw: float
    empty_kg: float
    mass_kg: float
    """Reference take-off mass [kg]."""
    circuit_ft: float
    circuit_level_min: float


def draw_aeroplane(rng: np.random.Generator) -> Aeroplane:
    """Draw one trainer."""
    empty = rng.uniform(430, 520)
    return Aeroplane(
        wing_m2=rng.uniform(10.2, 13.0),
        drag_zero=rng.uniform(0.029, 0.037),
        drag_induced=rng.uniform(0.040, 0.050),
        climb_kw=rng.uniform(54, 70),
        climb_kt=rng.uniform(60, 68),
        cruise_kt=rng.uniform(72, 84),
        prop_climb=rng.uniform(0.66, 0.72),
        prop_cruise=rng.uniform(0.75, 0.81),
        motor=rng.uniform(0.88, 0.92),
        taxi_kw=rng.uniform(1.8, 3.2),
        avionics_kw=rng.uniform(0.3, 0.7),
        empty_kg=empty,
        mass_kg=empty + 165,
        circuit_ft=float(rng.choice([700, 800, 1000])),
        circuit_level_min=rng.uniform(1.3, 2.2),
    )


def density(altitude_ft: float, temp_c: float) -> float:
    """Air density [kg/m³] at an altitude, for the outside temperature at the field."""
    pressure = 101325 * (1 - 2.25577e-5 * altitude_ft * FT) ** 5.2559
    return float(pressure / (287.05 * (temp_c + 273.15 - 0.00198 * altitude_ft)))


def level_kw(plane: Aeroplane, kt: float, mass_kg: float, rho: float, gust: float) -> float:
    """Electrical power in level flight [kW]; gusts cost speed changes and throttle work."""
    v = kt * KT * (1.225 / rho) ** 0.5
    q = 0.5 * rho * v * v
    weight = mass_kg * G
    drag = q * plane.wing_m2 * plane.drag_zero + plane.drag_induced * weight**2 / (q * plane.wing_m2)
    shaft = drag * v / plane.prop_cruise / 1000
    return float(shaft / plane.motor * (1 + 0.05 * gust + 0.02 * gust**2) + plane.avionics_kw)


def climb_fpm(plane: Aeroplane, mass_kg: float, rho: float, gust: float) -> float:
    """Rate of climb at climb power and speed [ft/min]."""
    v = plane.climb_kt * KT * (1.225 / rho) ** 0.5
    q = 0.5 * rho * v * v
    weight = mass_kg * G
    drag = q * plane.wing_m2 * plane.drag_zero + plane.drag_induced * weight**2 / (q * plane.wing_m2)
    excess = (plane.climb_kw - plane.avionics_kw) * 1000 * plane.motor * plane.prop_climb - drag * v * (
        1 + 0.05 * gust
    )
    return float(max(excess / weight, 0.8) / FT * 60)
