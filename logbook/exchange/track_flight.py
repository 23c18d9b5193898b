"""What a track says of a flight: a proposal to be looked at and confirmed, never a record by itself.

Method (common practice, no source): in the air is faster than 30 kt for at least 20 s; the ground is touched where the track
comes within 80 ft of the height it took off from, within 1 NM of there; what lies between two such moments is a circuit if it took
less than 15 minutes and stayed within 3 NM. Feet climbed count rises of more than 50 ft, so that the noise of the receiver does not
add up; level is less than 200 ft/min over half a minute.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Final, NamedTuple

from logbook.errors import DataRefused
from logbook.exchange.track import Point, distance_nm

FLYING_KT: Final = 30.0
_MOVING_KT: Final = 3.0
_STEADY_S: Final = 20.0
_NEAR_GROUND_FT: Final = 80.0
_AT_FIELD_NM: Final = 1.0
_CIRCUIT_NM: Final = 3.0
_CIRCUIT_S: Final = 15 * 60
_NOISE_FT: Final = 50.0
_LEVEL_FPM: Final = 200.0
_WINDOW_S: Final = 30.0


class TrackFlight(NamedTuple):
    """A flight as its track shows it.

    Attributes:
        off_blocks: first movement (UTC, to the minute); likewise take-off, landing, on blocks.
        circuits: complete circuits.
        landings: full stop and touch-and-goes.
        climb_ft: climbed outside circuits [ft].
        highest_ft: highest altitude above mean sea level [ft].
        level_min: in level flight outside circuits [min].
        distance_nm: over the ground in the air [NM].
    """

    off_blocks: str
    takeoff: str
    landing: str
    on_blocks: str
    circuits: int
    landings: int
    climb_ft: int
    highest_ft: int
    level_min: int
    distance_nm: float


def flight_of(points: Sequence[Point]) -> TrackFlight:
    """What a track says of the one flight it holds.

    Args:
        points: in order of time.

    Raises:
        DataRefused: nothing on it was fast enough to be a flight.
    """
    speeds = _speeds(points)
    first, last = _airborne(points, speeds)
    moving = [at for at, speed in enumerate(speeds) if speed > _MOVING_KT]
    touches = _touches(points, first, last)
    stretches = list(zip([first, *touches], [*touches, last], strict=True))
    circuits = [_is_circuit(points, first, start, end) for start, end in stretches]
    away = [stretch for stretch, circuit in zip(stretches, circuits, strict=True) if not circuit]
    return TrackFlight(
        off_blocks=_stored(points[moving[0]].at),
        takeoff=_stored(points[first].at),
        landing=_stored(points[last].at),
        on_blocks=_stored(points[moving[-1]].at),
        circuits=sum(circuits),
        landings=len(stretches),
        climb_ft=round(sum(_climbed(points[start : end + 1]) for start, end in away)),
        highest_ft=round(max(point.altitude_ft for point in points[first : last + 1])),
        level_min=round(sum(_level_s(points, start, end) for start, end in away) / 60),
        distance_nm=round(sum(distance_nm(points[i], points[i + 1]) for i in range(first, last)), 1),
    )


def _speeds(points: Sequence[Point]) -> list[float]:
    """Ground speed about each point, over ten seconds or so [kt]."""
    times = [point.at for point in points]
    speeds = []
    for place, point in enumerate(points):
        start = max(0, min(bisect_left(times, point.at - 5), place - 1))
        end = min(len(points) - 1, max(bisect_left(times, point.at + 5), place + 1))
        seconds = points[end].at - points[start].at
        speeds.append(distance_nm(points[start], points[end]) * 3600 / seconds if seconds > 0 else 0.0)
    return speeds


def _airborne(points: Sequence[Point], speeds: Sequence[float]) -> tuple[int, int]:
    """First and last point in the air."""
    fast: list[tuple[int, int]] = []
    begin: int | None = None
    for place, speed in enumerate([*speeds, 0.0]):
        if speed > FLYING_KT and begin is None:
            begin = place
        elif speed <= FLYING_KT and begin is not None:
            if points[place - 1].at - points[begin].at >= _STEADY_S:
                fast.append((begin, place - 1))
            begin = None
    if not fast:
        raise DataRefused(
            "Nothing on this track was a flight.", next_step=f"A flight is faster than {FLYING_KT:g} kt."
        )
    return fast[0][0], fast[-1][1]


def _touches(points: Sequence[Point], first: int, last: int) -> list[int]:
    """The lowest point of each time the track came down to the field before the end."""
    field, touches = points[first], []
    lowest: int | None = None
    up = False
    for place in range(first, last + 1):
        low = points[place].altitude_ft - field.altitude_ft < _NEAR_GROUND_FT
        if low and up and distance_nm(points[place], field) < _AT_FIELD_NM:
            if lowest is None or points[place].altitude_ft < points[lowest].altitude_ft:
                lowest = place
        elif not low:
            if lowest is not None:
                touches.append(lowest)
                lowest = None
            up = True
    return touches


def _is_circuit(points: Sequence[Point], first: int, start: int, end: int) -> bool:
    if points[end].at - points[start].at > _CIRCUIT_S:
        return False
    return all(distance_nm(point, points[first]) < _CIRCUIT_NM for point in points[start : end + 1])


def _climbed(points: Sequence[Point]) -> float:
    """Feet of all rises above the noise [ft]."""
    total, low, high = 0.0, points[0].altitude_ft, points[0].altitude_ft
    for point in points:
        altitude = point.altitude_ft
        if altitude > high:
            high = altitude
        elif high - altitude > _NOISE_FT:
            total += high - low if high - low > _NOISE_FT else 0.0
            low = high = altitude
        if altitude < low:
            low = high = altitude
    return total + (high - low if high - low > _NOISE_FT else 0.0)


def _level_s(points: Sequence[Point], start: int, end: int) -> float:
    """Time in level flight [s]."""
    times = [point.at for point in points]
    seconds = 0.0
    for place in range(start, end):
        ahead = min(bisect_left(times, points[place].at + _WINDOW_S / 2), end)
        behind = max(bisect_left(times, points[place].at - _WINDOW_S / 2), start)
        span = points[ahead].at - points[behind].at
        rate = (points[ahead].altitude_ft - points[behind].altitude_ft) / span * 60 if span > 0 else 0.0
        if abs(rate) < _LEVEL_FPM:
            seconds += points[place + 1].at - points[place].at
    return seconds


def _stored(seconds: float) -> str:
    return f"{datetime.fromtimestamp(seconds, UTC):%Y-%m-%dT%H:%MZ}"
