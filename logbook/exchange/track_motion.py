"""How a track moves: speeds that do not reach across gaps, heights without spikes, where it stood, where it flew.

Receivers err. A point can lie far off, positions jump about while the aeroplane stands, points are missing for minutes.
Thresholds are common practice, no source.
"""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Sequence
from statistics import median
from typing import Final, NamedTuple

from logbook.exchange.track import Point, distance_nm

FLYING_KT: Final = 30.0
GAP_S: Final = 120.0
"""Further apart than this [s], and than five usual steps, are points between which nobody knows what happened."""
STEADY_S: Final = 20.0
_IMPOSSIBLE_KT: Final = 400.0
_STANDS_WITHIN_NM: Final = 60 / 1852
_LEFT_NM: Final = 25 / 1852
_FIRST_S: Final = 30.0


class Motion(NamedTuple):
    """A track with what can be said of each point.

    Attributes:
        points: in order of time, without those no aeroplane could have reached.
        speeds: over the ground [kt], about ten seconds around each point.
        heights: above mean sea level [ft], each the middle one of three; None where the track has none.
        smooth: the same [ft], the mean over about ten seconds: what adds up rises must not add up noise.
        gaps: places of points after which none comes for long.
    """

    points: list[Point]
    speeds: list[float]
    heights: list[float] | None
    smooth: list[float]
    gaps: frozenset[int]

    def seconds(self, start: int, end: int) -> float:
        """From one point to another [s]."""
        return self.points[end].at - self.points[start].at


def motion_of(raw: Sequence[Point]) -> Motion:
    """What can be said of the points of a track, which are in order of time."""
    points = _without_jumps(raw)
    steps = [later.at - earlier.at for earlier, later in itertools.pairwise(points)]
    longest = max(GAP_S, 5 * median(steps)) if steps else GAP_S
    gaps = frozenset(place for place, step in enumerate(steps) if step > longest)
    heights = _heights(points)
    return Motion(points, _speeds(points, gaps), heights, _smooth(points, heights or []), gaps)


def _without_jumps(points: Sequence[Point]) -> list[Point]:
    """Leaves out single points that lie impossibly far from both of their neighbours."""
    kept = [points[0]] if points else []
    for place in range(1, len(points) - 1):
        before, here, after = kept[-1], points[place], points[place + 1]
        if _knots(before, here) < _IMPOSSIBLE_KT or _knots(here, after) < _IMPOSSIBLE_KT:
            kept.append(here)
    return [*kept, points[-1]] if len(points) > 1 else kept


def _knots(one: Point, other: Point) -> float:
    seconds = other.at - one.at
    return distance_nm(one, other) * 3600 / seconds if seconds > 0 else 0.0


def _speeds(points: Sequence[Point], gaps: frozenset[int]) -> list[float]:
    """Ground speed about each point [kt]; 0 for a point that stands alone between two gaps."""
    times = [point.at for point in points]
    starts = [0, *(place + 1 for place in sorted(gaps))]
    speeds = []
    for begin, beyond in zip(starts, [*starts[1:], len(points)], strict=True):
        for place in range(begin, beyond):
            early = max(begin, min(bisect_left(times, times[place] - 5), place - 1))
            late = min(beyond - 1, max(bisect_left(times, times[place] + 5), place + 1))
            speeds.append(_knots(points[early], points[late]))
    return speeds


def _heights(points: Sequence[Point]) -> list[float] | None:
    raw = [point.altitude_ft for point in points if point.altitude_ft is not None]
    if len(raw) < len(points):
        return None
    inner = [sorted(raw[place - 1 : place + 2])[1] for place in range(1, len(raw) - 1)]
    return [raw[0], *inner, raw[-1]] if len(raw) > 1 else raw


def _smooth(points: Sequence[Point], heights: Sequence[float]) -> list[float]:
    times = [point.at for point in points]
    found = []
    for place in range(len(heights)):
        near = heights[bisect_left(times, times[place] - 5) : bisect_left(times, times[place] + 5.001)]
        found.append(sum(near) / len(near))
    return found


def fast_stretches(track: Motion) -> list[tuple[int, int]]:
    """First and last point of each stretch faster than an aeroplane taxies, for longer than a moment."""
    found: list[tuple[int, int]] = []
    begin: int | None = None
    for place, speed in enumerate([*track.speeds, 0.0]):
        if speed > FLYING_KT and begin is None:
            begin = place
        elif speed <= FLYING_KT and begin is not None:
            if track.seconds(begin, place - 1) >= STEADY_S:
                found.append((begin, place - 1))
            begin = None
    return found


def stands(track: Motion, start: int, end: int, seconds: float) -> list[tuple[int, int]]:
    """Where the track stays within 60 m for a time [s], between two points."""
    found, anchor = [], start
    for place in range(start, end + 1):
        if distance_nm(track.points[anchor], track.points[place]) > _STANDS_WITHIN_NM:
            if track.seconds(anchor, place - 1) >= seconds:
                found.append((anchor, place - 1))
            anchor = place
    if track.seconds(anchor, end) >= seconds:
        found.append((anchor, end))
    return found


def leaves(points: Sequence[Point]) -> int:
    """The place in a row of points where it has left where it stood at first, for good as far as can be seen.

    Where it stood is the middle of the first half minute; away is more than 25 m from there for three points on end, so that one
    position that jumps is no departure. The row itself where it never leaves: its last place.
    """
    here = _middle([point for point in points if abs(point.at - points[0].at) <= _FIRST_S])
    away = [distance_nm(point, here) > _LEFT_NM for point in points]
    return next((place for place in range(len(points) - 2) if all(away[place : place + 3])), len(points) - 1)


def begins_moving(points: Sequence[Point]) -> bool:
    """Whether a row of points moves from its first one on: it was under way when the recording began."""
    first = points[0]
    soon = next((point for point in points if abs(point.at - first.at) >= 15), points[-1])
    return distance_nm(first, soon) > _LEFT_NM


def _middle(points: Sequence[Point]) -> Point:
    return Point(
        points[0].at,
        median(point.latitude_deg for point in points),
        median(point.longitude_deg for point in points),
        None,
    )
