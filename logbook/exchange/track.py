"""A recorded track (GPX 1.0 or 1.1) as points; the file is foreign and is read as such.

Source of the format: GPX 1.1 schema, https://www.topografix.com/GPX/1/1. `gpxpy` reads it; `defusedxml` looks at it first and
refuses what only harm needs: document types, entities, references to other files.
"""

from __future__ import annotations

from datetime import UTC
from math import asin, cos, radians, sin, sqrt
from pathlib import Path
from typing import Final, NamedTuple

from logbook.errors import DataRefused, FileTrouble

MOST_BYTES: Final = 64 * 2**20
_FEET: Final = 1 / 0.3048
_EARTH_NM: Final = 3440.065
"""Mean radius of the earth, 6371.009 km (IUGG), in nautical miles of 1852 m."""


class Point(NamedTuple):
    """One point: time since 1970 [s], latitude and longitude [°], altitude above mean sea level [ft] or unknown."""

    at: float
    latitude_deg: float
    longitude_deg: float
    altitude_ft: float | None


def read_track(path: Path) -> list[Point]:
    """The points of all tracks of a file in order of time; of several with one time the first counts.

    Points without a time are left out. So are those without an altitude, unless most have none: then no point has one.

    Raises:
        FileTrouble: it cannot be read.
        DataRefused: it is no GPX file, is made to do harm, or holds no usable points.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise FileTrouble(f"{path} cannot be read: {error.strerror}.", next_step="Check its name.") from error
    if len(data) > MOST_BYTES:
        raise DataRefused(
            f"{path.name} is larger than {MOST_BYTES // 2**20} MiB.", next_step="Cut the track to one flight."
        )
    found = [Point(*raw) for raw in _raw_points(data, path.name)]
    high = [point for point in found if point.altitude_ft is not None]
    points = high if 2 * len(high) >= len(found) else [point._replace(altitude_ft=None) for point in found]
    in_order = list(
        {point.at: point for point in sorted(points, key=lambda one: one.at, reverse=True)}.values()
    )
    if len(in_order) < 2:
        raise DataRefused(
            f"{path.name} holds no track with times.",
            next_step="Have the receiver record them, or enter the flight by hand.",
        )
    return in_order[::-1]


def _raw_points(data: bytes, name: str) -> list[tuple[float, float, float, float | None]]:
    import gpxpy
    from defusedxml.common import DefusedXmlException  # type: ignore[import-untyped]
    from defusedxml.ElementTree import ParseError, fromstring  # type: ignore[import-untyped]

    try:
        fromstring(data, forbid_dtd=True)
        gpx = gpxpy.parse(data)
    except DefusedXmlException:
        raise DataRefused(
            f"{name} holds a document type or entities, which no track needs.",
            next_step="Get it from somebody you trust.",
        ) from None
    except (ParseError, gpxpy.gpx.GPXException, ValueError, RecursionError):
        raise DataRefused(f"{name} is not a GPX file.", next_step="Export the track as GPX.") from None
    found = []
    for point in (point for track in gpx.tracks for segment in track.segments for point in segment.points):
        if point.time is not None and abs(point.latitude) <= 90 and abs(point.longitude) <= 180:
            when = point.time if point.time.tzinfo else point.time.replace(tzinfo=UTC)
            found.append((when.timestamp(), point.latitude, point.longitude, _feet(point.elevation)))
    return found


def _feet(elevation_m: float | None) -> float | None:
    """An elevation [m] in feet, if it can be one: a file may say `nan`, or 10^300."""
    known = elevation_m is not None and -1_000 <= elevation_m <= 30_000
    return elevation_m * _FEET if elevation_m is not None and known else None


def distance_nm(one: Point, other: Point) -> float:
    """Great-circle distance [NM] (haversine)."""
    lat_1, lat_2 = radians(one.latitude_deg), radians(other.latitude_deg)
    half = sin((lat_2 - lat_1) / 2) ** 2
    half += cos(lat_1) * cos(lat_2) * sin(radians(other.longitude_deg - one.longitude_deg) / 2) ** 2
    return 2 * _EARTH_NM * asin(min(1.0, sqrt(half)))
