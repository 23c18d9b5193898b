"""What a track says of the flights on it: a proposal to be looked at and confirmed, never a record by itself.

Method (common practice, no source): in the air is faster than 30 kt for at least 20 s, and what is more than 50 ft above the
ground before and after that. Where it stood for three minutes within 60 m, one flight ended and another may begin. The ground
is touched where the track comes within 80 ft of the height it took off from, within 1 NM of there, and where it rolls slower
than 10 kt for 10 s at one height; what lies between two such moments is a circuit if it took less than 15 minutes and stayed
within 3 NM. Feet climbed count rises of more than 50 ft, so that the noise of the receiver does not add up; level is less
than 200 ft/min over half a minute. What lies in a gap is not counted, and said.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Final, NamedTuple

from logbook.errors import DataRefused
from logbook.exchange.track import Point, distance_nm
from logbook.exchange.track_ground import climbed_ft, is_circuit, level_s, touches
from logbook.exchange.track_motion import (
    FLYING_KT,
    Motion,
    begins_moving,
    fast_stretches,
    leaves,
    motion_of,
    stands,
)

_STOOD_S: Final = 180.0
_UP_FT: Final = 50.0
_OTHER_DAY_S: Final = 3600.0


class TrackFlight(NamedTuple):
    """A flight as its track shows it; None where the track cannot tell.

    Attributes:
        off_blocks: first movement (UTC, to the minute); likewise take-off, landing, on blocks.
        circuits: complete circuits.
        landings: full stops and touch-and-goes.
        climb_ft: climbed outside circuits [ft].
        highest_ft: highest altitude above mean sea level [ft].
        level_min: in level flight outside circuits [min].
        distance_nm: over the ground in the air [NM].
        departed: where it took off, to be compared with known places; None where the track begins in the air.
        arrived: where it landed; None where the track ends in the air.
        began: its first moment on the track (UTC).
        ended: its last.
        notes: what could not be told, and why.
    """

    off_blocks: str | None
    takeoff: str | None
    landing: str | None
    on_blocks: str | None
    circuits: int | None
    landings: int | None
    climb_ft: int | None
    highest_ft: int | None
    level_min: int | None
    distance_nm: float
    departed: Point | None
    arrived: Point | None
    began: str
    ended: str
    notes: tuple[str, ...] = ()


class _Air(NamedTuple):
    """Places of one flight among the points: of the ground around it, and of what is in the air."""

    start: int
    first: int
    last: int
    end: int


def flights_of(points: Sequence[Point]) -> list[TrackFlight]:
    """The flights a track holds, in order.

    Args:
        points: in order of time.

    Raises:
        DataRefused: nothing on it was fast enough to be a flight.
    """
    track = motion_of(points)
    fast = fast_stretches(track)
    if not fast:
        raise DataRefused(
            "Nothing on this track was a flight.", next_step=f"A flight is faster than {FLYING_KT:g} kt."
        )
    return [_flight(track, air) for air in _parted(track, fast)]


def _parted(track: Motion, fast: Sequence[tuple[int, int]]) -> list[_Air]:
    """The flights: stretches in the air between which it did not stand for long."""
    groups, starts, ends = [[fast[0]]], [0], []
    for before, after in itertools.pairwise(fast):
        stood = stands(track, before[1], after[0], _STOOD_S)
        if stood:
            parting = _parting(track, *max(stood, key=lambda one: track.seconds(*one)))
            ends.append(parting)
            starts.append(parting + (parting in track.gaps))
            groups.append([after])
        else:
            groups[-1].append(after)
    ends.append(len(track.points) - 1)
    return [
        _trimmed(track, start, group[0][0], group[-1][1], end)
        for group, start, end in zip(groups, starts, ends, strict=True)
    ]


def _parting(track: Motion, begin: int, end: int) -> int:
    """The point at which one flight is over, where it stood between two: before a gap, else half-way."""
    silent = max(range(begin, end), key=lambda place: track.seconds(place, place + 1))
    if silent in track.gaps:
        return silent
    return next(
        place
        for place in range(begin, end + 1)
        if 2 * track.seconds(begin, place) >= track.seconds(begin, end)
    )


def _trimmed(track: Motion, start: int, first: int, last: int, end: int) -> _Air:
    """Without what lies more than an hour away, and with what is in the air though it is slow."""
    far = [place for place in track.gaps if track.seconds(place, place + 1) > _OTHER_DAY_S]
    start = max([start, *(place + 1 for place in far if place < first)])
    end = min([end, *(place for place in far if place >= last)])
    if track.heights is not None:
        if first > start + 1:
            ground = min(track.heights[start:first])
            while first > start and track.heights[first - 1] > ground + _UP_FT:
                first -= 1
        if last < end - 1:
            ground = min(track.heights[last + 1 : end + 1])
            while last < end and track.heights[last + 1] > ground + _UP_FT:
                last += 1
    return _Air(start, first, last, end)


def _flight(track: Motion, air: _Air) -> TrackFlight:
    before, after = track.points[air.start : air.first + 1], track.points[air.last : air.end + 1][::-1]
    notes = [*_edges(before, after), *_missing(track, air)]
    seen_off, seen_on = len(before) > 2, len(after) > 2
    heights = track.heights
    stretches = _stretches(track, air) if heights is not None else []
    circuits = [is_circuit(track, *stretch) for stretch in stretches]
    away = [stretch for stretch, circuit in zip(stretches, circuits, strict=True) if not circuit]
    if heights is None:
        notes.append("The track has no altitudes: circuits, landings, feet and level minutes cannot be told.")
    return TrackFlight(
        off_blocks=_stored(before[leaves(before)].at) if seen_off else None,
        takeoff=_stored(track.points[air.first].at) if seen_off else None,
        landing=_stored(track.points[air.last].at) if seen_on else None,
        on_blocks=_stored(after[leaves(after)].at) if seen_on else None,
        circuits=None if heights is None else sum(circuits),
        landings=None if heights is None else len(stretches) - (not seen_on),
        climb_ft=None
        if heights is None
        else round(sum(climbed_ft(track.smooth[a : b + 1]) for a, b in away)),
        highest_ft=None if heights is None else round(max(heights[air.first : air.last + 1])),
        level_min=None if heights is None else round(sum(level_s(track, a, b) for a, b in away) / 60),
        distance_nm=round(_flown_nm(track.points[air.first : air.last + 1]), 1),
        departed=track.points[air.first] if seen_off else None,
        arrived=track.points[air.last] if seen_on else None,
        began=_stored((before[leaves(before)] if seen_off else track.points[air.first]).at),
        ended=_stored((after[leaves(after)] if seen_on else track.points[air.last]).at),
        notes=tuple(notes),
    )


def _stretches(track: Motion, air: _Air) -> list[tuple[int, int]]:
    """From each touch of the ground to the next."""
    found = touches(track, air.first, air.last)
    return list(zip([air.first, *found], [*found, air.last], strict=True))


def _edges(before: Sequence[Point], after: Sequence[Point]) -> list[str]:
    """What is said where the track begins or ends under way."""
    notes = []
    if len(before) <= 2:
        notes.append("The track begins in the air: off blocks and take-off cannot be told.")
    elif begins_moving(before):
        notes.append("The track begins while it moves: off blocks may have been earlier.")
    if len(after) <= 2:
        notes.append("The track ends in the air: landing and on blocks cannot be told.")
    elif begins_moving(after):
        notes.append("The track ends while it moves: on blocks may have been later.")
    return notes


def _missing(track: Motion, air: _Air) -> list[str]:
    """Gaps from the first movement on, each in words."""
    notes = []
    for place in sorted(track.gaps):
        if air.start <= place < air.end:
            minutes = round(track.seconds(place, place + 1) / 60)
            since = _stored(track.points[place].at)[11:16]
            notes.append(f"No points for {minutes} min from {since} UTC: what happened then is not counted.")
    return notes


def _flown_nm(points: Sequence[Point]) -> float:
    return sum(distance_nm(one, other) for one, other in itertools.pairwise(points))


def _stored(seconds: float) -> str:
    return f"{datetime.fromtimestamp(seconds, UTC):%Y-%m-%dT%H:%MZ}"
