"""Rows: ICAO standard atmosphere (Doc 7488/3, 1993), geopotential feet; ratios cross-checked against the table of
aerodynamics4students.com and densities against engineeringtoolbox.com; inverse rows: meteowvl.be, standard atmosphere.
Oracle: the `ambiance` package, which takes geometric metres.
"""

import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import DataRefused
from logbook.planning.atmosphere import (
    density_altitude_ft,
    density_ratio,
    pressure_altitude_ft,
    standard_air,
    temperature_aloft_c,
    true_airspeed_kt,
)

ROWS = [
    # ft, K, hPa, kg/m3, delta, sigma, theta
    (0, 288.150, 1013.25, 1.2250, 1.0000, 1.0000, 1.0000),
    (1000, 286.169, 977.17, 1.1896, 0.9644, 0.9711, 0.9931),
    (2000, 284.188, 942.13, 1.1549, 0.9298, 0.9428, 0.9862),
    (3000, 282.206, 908.12, 1.1210, 0.8962, 0.9151, 0.9794),
    (4000, 280.225, 875.11, 1.0879, 0.8637, 0.8881, 0.9725),
    (5000, 278.244, 843.07, 1.0555, 0.8320, 0.8617, 0.9656),
    (6000, 276.263, 812.00, 1.0239, 0.8014, 0.8359, 0.9587),
    (7000, 274.282, 781.85, 0.9930, 0.7716, 0.8106, 0.9519),
    (8000, 272.300, 752.62, 0.9629, 0.7428, 0.7860, 0.9450),
    (9000, 270.319, 724.28, 0.9334, 0.7148, 0.7620, 0.9381),
    (10000, 268.338, 696.82, 0.9046, 0.6877, 0.7385, 0.9312),
]


@pytest.mark.parametrize("row", ROWS)
def test_every_printed_row_comes_out_to_the_digit(row):
    ft, kelvin, hpa, density, delta, sigma, theta = row
    air = standard_air(ft)
    assert air.temperature_k == pytest.approx(kelvin, abs=0.00051)
    assert air.pressure_hpa == pytest.approx(hpa, abs=0.0051)
    assert air.density_kg_m3 == pytest.approx(density, abs=0.000051)
    assert air.delta == pytest.approx(delta, abs=0.000051)
    assert air.sigma == pytest.approx(sigma, abs=0.000051)
    assert air.theta == pytest.approx(theta, abs=0.000051)


@pytest.mark.parametrize(
    ("hpa", "ft", "celsius"),
    [
        (1000, 364, 14.3),
        (950, 1773, 11.5),
        (900, 3243, 8.6),
        (850, 4781, 5.5),
        (800, 6394, 2.3),
        (700, 9882, -4.6),
    ],
)
def test_a_pressure_gives_the_printed_height_and_temperature(hpa, ft, celsius):
    height = pressure_altitude_ft(hpa)
    assert height == pytest.approx(ft, abs=1)
    assert standard_air(height).temperature_k - 273.15 == pytest.approx(celsius, abs=0.051)


@pytest.mark.parametrize(
    ("ft", "inhg", "density_pct"), [(2000, 27.82, 94.3), (8000, 22.22, 78.6), (10000, 20.57, 73.8)]
)
def test_a_second_published_table_agrees(ft, inhg, density_pct):
    air = standard_air(ft)
    assert air.pressure_hpa / 33.8639 == pytest.approx(inhg, abs=0.011)
    assert 100 * air.sigma == pytest.approx(density_pct, abs=0.06)


@given(st.floats(-2000, 36000))
def test_an_independent_library_agrees_once_heights_are_made_geometric(ft):
    geometric_m = Atmosphere.geop2geom_height(ft * 0.3048).item()
    theirs, ours = Atmosphere(geometric_m), standard_air(ft)
    assert ours.temperature_k == pytest.approx(float(theirs.temperature[0]), rel=1e-9)
    assert ours.pressure_hpa == pytest.approx(float(theirs.pressure[0]) / 100, rel=1e-6)
    assert ours.density_kg_m3 == pytest.approx(float(theirs.density[0]), rel=1e-6)


@given(st.floats(-2000, 36000))
def test_pressure_and_height_are_each_others_inverse(ft):
    assert pressure_altitude_ft(standard_air(ft).pressure_hpa) == pytest.approx(ft, abs=1e-6)


@given(st.floats(-1000, 20000))
def test_in_standard_air_density_altitude_is_the_height_itself(ft):
    assert density_altitude_ft(ft, standard_air(ft).temperature_k - 273.15) == pytest.approx(ft, abs=0.01)


@given(st.floats(0, 10000), st.floats(-30, 40), st.floats(0.5, 10))
def test_warmer_air_is_never_thicker(ft, celsius, more):
    assert density_altitude_ft(ft, celsius + more) > density_altitude_ft(ft, celsius)


def test_ten_degrees_above_standard_raise_density_altitude_by_about_1200_ft():
    """About 120 ft for each degree: the usual rule of thumb (common practice, no source)."""
    assert density_altitude_ft(0, 25) == pytest.approx(1200, abs=40)


def test_true_airspeed_grows_as_the_air_gets_thinner():
    """1/sqrt(0.7385) = 1.1637 from the printed row at 10,000 ft (computed here)."""
    assert true_airspeed_kt(100, 10000) == pytest.approx(116.37, abs=0.01)
    assert true_airspeed_kt(100, 0) == pytest.approx(100)
    assert true_airspeed_kt(100, 0, 30) > 100
    assert density_ratio(0, 15) == pytest.approx(1)


def test_it_gets_two_degrees_colder_in_1000_ft():
    assert temperature_aloft_c(15, 1000) == pytest.approx(13.02, abs=0.005)


@pytest.mark.parametrize("ft", [-3000, 40000, float("nan"), float("inf")])
def test_a_height_outside_is_refused(ft):
    with pytest.raises(DataRefused, match="height"):
        standard_air(ft)
