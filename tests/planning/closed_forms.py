"""The point of no return and the point of equal time in closed form: what the search along a track must find on a straight one.

Fuel burns at one rate whichever way one flies; a battery pays for power, and the power out may differ from the
power home. With E the energy that may be spent (reserve and fixed costs already removed) [kWh], O and H the ground
speeds out and home [kt], Po and Ph the powers [kW]:

    out for t hours and home again:  t·Po + t·(O/H)·Ph = E   →   t = E·H / (Po·H + Ph·O),  d = t·O        (1)
    home costs as much as going on:  d·Ph/H = (D − d)·Po/O   →   d = D·Po·H / (Po·H + Ph·O)               (2)

With Po = Ph and E in hours these are the textbook's t = E·H/(O+H) and d = D·H/(O+H).
"""

from typing import NamedTuple


class Point(NamedTuple):
    """A point on the way out."""

    distance_nm: float
    minutes: float


def point_of_no_return(
    energy_kwh: float, out_kt: float, home_kt: float, power_out_kw: float = 1.0, power_home_kw: float = 1.0
) -> Point:
    """The farthest one can fly and still come home on the energy that may be spent, equation (1).

    Args:
        energy_kwh: reserve, ground, climb and descent already taken off [kWh]. With both powers left at 1
            it is the safe endurance in hours.
        out_kt: ground speed out [kt].
        home_kt: ground speed home [kt].
        power_out_kw: power on the way out [kW].
        power_home_kw: power on the way home [kW].
    """
    hours = max(energy_kwh, 0.0) * home_kt / (power_out_kw * home_kt + power_home_kw * out_kt)
    return Point(hours * out_kt, 60 * hours)


def point_of_equal_time(
    distance_nm: float, out_kt: float, home_kt: float, power_out_kw: float = 1.0, power_home_kw: float = 1.0
) -> Point:
    """Where flying home costs as much as flying on, equation (2); with equal powers, as much time."""
    share = power_out_kw * home_kt / (power_out_kw * home_kt + power_home_kw * out_kt)
    return Point(distance_nm * share, 60 * distance_nm * share / out_kt)
