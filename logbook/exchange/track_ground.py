"""Where a track touched the ground, which parts of it were circuits, and what it climbed and flew level elsewhere.

All of it needs altitudes. The thresholds are those told in `track_flight`; common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import Final

from logbook.exchange.track import distance_nm
from logbook.exchange.track_motion import GAP_S, Motion

NEAR_GROUND_FT: Final = 80.0
_AT_FIELD_NM: Final = 1.0
_CIRCUIT_NM: Final = 3.0
CIRCUIT_S: Final = 15 * 60
_NOISE_FT: Final = 50.0
LEVEL_FPM: Final = 200.0
WINDOW_S: Final = 30.0
_ROLLS_KT: Final = 10.0
_ROLLS_S: Final = 10.0
_FLAT_FT: Final = 30.0
_APART_S: Final = 60.0


def touches(track: Motion, first: int, last: int) -> list[int]:
    """The points at which it touched the ground between take-off and the last landing.

    Args:
        track: with heights.
        first: the point of the take-off.
        last: of the last landing.
    """
    home = _at_the_field(track, first, last)
    rolled = [
        (begin + end) // 2
        for begin, end in _slow(track, first, last)
        if all(
            track.points[place].at < track.points[begin].at - _APART_S
            or track.points[place].at > track.points[end].at + _APART_S
            for place in home
        )
    ]
    return sorted([*home, *rolled])


def _at_the_field(track: Motion, first: int, last: int) -> list[int]:
    """The lowest point of each time the track came down to the field it had left, before the end."""
    heights = track.heights or []
    field, found = track.points[first], []
    lowest: int | None = None
    up = False
    for place in range(first, last + 1):
        low = heights[place] - heights[first] < NEAR_GROUND_FT
        if low and up and distance_nm(track.points[place], field) < _AT_FIELD_NM:
            if lowest is None or heights[place] < heights[lowest]:
                lowest = place
        elif not low:
            if lowest is not None:
                found.append(lowest)
                lowest = None
            up = True
    return found


def _slow(track: Motion, first: int, last: int) -> list[tuple[int, int]]:
    """Stretches slower than any aeroplane flies, at one height: rolling out, or standing."""
    heights = track.heights or []
    found: list[tuple[int, int]] = []
    begin: int | None = None
    for place in range(first, last + 1):
        if track.speeds[place] < _ROLLS_KT and place < last:
            begin = place if begin is None else begin
        elif begin is not None:
            flat = max(heights[begin:place]) - min(heights[begin:place]) < _FLAT_FT
            if flat and track.seconds(begin, place - 1) >= _ROLLS_S:
                found.append((begin, place - 1))
            begin = None
    return found


def is_circuit(track: Motion, start: int, end: int) -> bool:
    """Whether what lies between two touches of the ground was a circuit."""
    here = track.points[start]
    if track.seconds(start, end) > CIRCUIT_S or distance_nm(here, track.points[end]) > _AT_FIELD_NM:
        return False
    return all(distance_nm(point, here) < _CIRCUIT_NM for point in track.points[start : end + 1])


def climbed_ft(heights: Sequence[float]) -> float:
    """Feet of all rises above the noise [ft]."""
    total, low, high = 0.0, heights[0], heights[0]
    for height in heights:
        if height > high:
            high = height
        elif high - height > _NOISE_FT:
            total += high - low if high - low > _NOISE_FT else 0.0
            low = high = height
        if height < low:
            low = high = height
    return total + (high - low if high - low > _NOISE_FT else 0.0)


def level_s(track: Motion, start: int, end: int) -> float:
    """Time in level flight [s]; what lies in a gap does not count."""
    heights, times = track.smooth, [point.at for point in track.points[start : end + 1]]
    seconds = 0.0
    for place in range(start, end):
        step = track.seconds(place, place + 1)
        if step > GAP_S and place in track.gaps:
            continue
        ahead = min(start + bisect_left(times, track.points[place].at + WINDOW_S / 2), end)
        behind = start + bisect_left(times, track.points[place].at - WINDOW_S / 2)
        span = track.seconds(behind, ahead)
        rate = (heights[ahead] - heights[behind]) / span * 60 if span > 0 else 0.0
        if abs(rate) < LEVEL_FPM:
            seconds += step
    return seconds
