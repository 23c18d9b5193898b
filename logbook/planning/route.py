"""Where a plan's legs lead, on a flat map centred on the place of departure.

A light electric aeroplane stays within a hundred miles or so of its base; over 100 NM the flat map is wrong by less
than 0.1 NM away from the poles. Positions are east and north of the departure [NM].
"""

from math import asin, atan2, cos, degrees, hypot, radians, sin, sqrt
from typing import Final, NamedTuple

EARTH_NM: Final = 3440.065
"""Mean radius of the earth [NM] (6371.0 km)."""


class Position(NamedTuple):
    """East and north of the place of departure [NM]."""

    east_nm: float
    north_nm: float

    def moved(self, track_deg: float, distance_nm: float) -> "Position":
        """The position after a distance along a true track."""
        return Position(
            self.east_nm + distance_nm * sin(radians(track_deg)),
            self.north_nm + distance_nm * cos(radians(track_deg)),
        )

    def to(self, other: "Position") -> tuple[float, float]:
        """Distance [NM] and true track [°] from here to another position."""
        east, north = other.east_nm - self.east_nm, other.north_nm - self.north_nm
        return hypot(east, north), degrees(atan2(east, north)) % 360


HOME: Final = Position(0.0, 0.0)
NEAR_NM: Final = 0.5
"""Positions closer than this are the same place: tracks are typed in whole degrees."""


def great_circle(from_deg: tuple[float, float], to_deg: tuple[float, float]) -> tuple[float, float]:
    """Distance [NM] and initial true track [°] between two places given as (latitude, longitude) [°].

    The haversine formula on a sphere; against the ellipsoid it is off by 0.5 % at most.
    """
    lat_a, lon_a, lat_b, lon_b = (radians(value) for value in (*from_deg, *to_deg))
    half = sin((lat_b - lat_a) / 2) ** 2 + cos(lat_a) * cos(lat_b) * sin((lon_b - lon_a) / 2) ** 2
    track = atan2(
        sin(lon_b - lon_a) * cos(lat_b),
        cos(lat_a) * sin(lat_b) - sin(lat_a) * cos(lat_b) * cos(lon_b - lon_a),
    )
    return 2 * EARTH_NM * asin(min(1.0, sqrt(half))), degrees(track) % 360
