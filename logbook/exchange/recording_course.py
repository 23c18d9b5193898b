"""Where on a recording the aeroplane moved, took off, touched, landed, and what it flew in between, by speed and altitude.

Method (common practice, no source), as for tracks as far as no position is needed: in the air is faster than 30 kt for at
least 20 s; the ground is touched where it comes within 80 ft of the altitude it took off from; what lies between two touches is
a circuit if it took less than 15 minutes and stayed less than 2,000 ft above there; outside circuits level is less than
200 ft/min over half a minute, more is climb or descent, and a stretch of less than 20 s belongs to the one before it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import isnan
from typing import Final, NamedTuple

from logbook.exchange.recording_trace import Trace
from logbook.exchange.track_ground import CIRCUIT_S, LEVEL_FPM, NEAR_GROUND_FT, WINDOW_S, climbed_ft
from logbook.exchange.track_motion import FLYING_KT, STEADY_S

GROUND, CIRCUITS, CLIMB, LEVEL, DESCENT = "ground", "circuits", "climb", "level", "descent"
_MOVING_KT: Final = 3.0
_CIRCUIT_FT: Final = 2_000.0
_SHORTEST_S: Final = 20.0


class Stretch(NamedTuple):
    """A part of the recording.

    Attributes:
        phase: ground, climb, level, descent or circuits; empty where altitude was not recorded in flight.
        start: its first moment, `end` its last, by their places in the trace.
        climb_ft: climbed in it [ft].
        circuits: how many, where they are circuits.
    """

    phase: str
    start: int
    end: int
    climb_ft: float | None
    circuits: int = 0


class Course(NamedTuple):
    """What was flown, by places in the trace; None where the recording cannot tell.

    Attributes:
        departed: the last moment before it first moved; `stopped` the first after it came to rest.
        takeoff: the first in the air; `landing` the last.
        stretches: one after the other, from departure to rest.
        landings: full stop and touch-and-goes.
        highest_ft: highest altitude in the air [ft].
        level_s: in level flight outside circuits [s].
        notes: what could not be told, and why.
    """

    departed: int | None = None
    takeoff: int | None = None
    landing: int | None = None
    stopped: int | None = None
    stretches: tuple[Stretch, ...] = ()
    landings: int | None = None
    highest_ft: float | None = None
    level_s: float | None = None
    notes: tuple[str, ...] = ()


class _Known(NamedTuple):
    """The moments at which speed, and altitude where there is any, are known: places, seconds, knots, feet."""

    places: list[int]
    at: list[float]
    speed: list[float]
    feet: list[float]


def course_of(trace: Trace, *, over_ground: bool) -> Course:
    """What was flown.

    Args:
        trace: the recording.
        over_ground: its speed is that over the ground; a speed through the air does not tell when it moved.
    """
    known = _known(trace)
    if len(known.at) < 2:
        return Course(notes=("No speed was recorded: times and phases cannot be told.",))
    air = _airborne(known)
    if air is None:
        return Course(
            notes=(f"Nothing on it was a flight: never faster than {FLYING_KT:g} kt for {STEADY_S:g} s.",)
        )
    first, last = air
    moving = [here for here, speed in enumerate(known.speed) if speed > _MOVING_KT] if over_ground else []
    begun, over = _seen(trace, known, first, before=True), _seen(trace, known, last, before=False)
    departed = known.places[max(moving[0] - 1, 0)] if moving and moving[0] > 0 else None
    stopped = known.places[moving[-1] + 1] if moving and moving[-1] + 1 < len(known.at) else None
    touches = _touches(known, first, last) if known.feet else []
    flown = list(_flown(known, [first, *touches, last])) if known.feet else []
    stretches = [
        *_ground(0 if departed is None else departed, known.places[first]),
        *(flown or [Stretch("", known.places[first], known.places[last], None)]),
        *_ground(known.places[last], len(trace.at) - 1 if stopped is None else stopped),
    ]
    return Course(
        departed=departed,
        takeoff=known.places[first] if begun else None,
        landing=known.places[last] if over else None,
        stopped=stopped,
        stretches=tuple(stretches),
        landings=len(touches) + 1 if known.feet and over else None,
        highest_ft=max(known.feet[first : last + 1]) if known.feet else None,
        level_s=sum(trace.at[s.end] - trace.at[s.start] for s in flown if s.phase == LEVEL)
        if known.feet
        else None,
        notes=tuple(_notes(known, begun=begun, over=over, over_ground=over_ground)),
    )


def _known(trace: Trace) -> _Known:
    """With altitude where any was recorded; a moment without one is then passed over."""
    fast = [here for here, speed in enumerate(trace.speed_kt) if not isnan(speed)]
    high = [here for here in fast if not isnan(trace.altitude_ft[here])]
    places = high or fast
    return _Known(
        places,
        [trace.at[here] for here in places],
        [trace.speed_kt[here] for here in places],
        [trace.altitude_ft[here] for here in high],
    )


def _airborne(known: _Known) -> tuple[int, int] | None:
    """The first and the last moment in the air."""
    fast: list[tuple[int, int]] = []
    begin: int | None = None
    for here, speed in enumerate([*known.speed, 0.0]):
        if speed > FLYING_KT and begin is None:
            begin = here
        elif speed <= FLYING_KT and begin is not None:
            if known.at[here - 1] - known.at[begin] >= STEADY_S:
                fast.append((begin, here - 1))
            begin = None
    return (fast[0][0], fast[-1][1]) if fast else None


def _seen(trace: Trace, known: _Known, here: int, *, before: bool) -> bool:
    """Whether the change from ground to air, or back, was recorded: not at an end, and not in a gap."""
    other = here - 1 if before else here + 1
    if not 0 <= other < len(known.at):
        return False
    return not trace.gap_between(*sorted((known.at[here], known.at[other])))


def _touches(known: _Known, first: int, last: int) -> list[int]:
    """The lowest moment of each time it came down to the field before the end."""
    field, found = known.feet[first], []
    lowest: int | None = None
    up = False
    for here in range(first, last + 1):
        if known.feet[here] - field >= NEAR_GROUND_FT:
            if lowest is not None:
                found.append(lowest)
                lowest = None
            up = True
        elif up and (lowest is None or known.feet[here] < known.feet[lowest]):
            lowest = here
    return found


def _ground(start: int, end: int) -> list[Stretch]:
    return [Stretch(GROUND, start, end, None)] if end > start else []


def _flown(known: _Known, marks: Sequence[int]) -> Iterator[Stretch]:
    """What lies between the touches: circuits that follow each other are one stretch, the rest is cut by climb and descent."""
    waiting: Stretch | None = None
    for start, end in pairwise(marks):
        if end <= start:
            continue
        feet = known.feet[start : end + 1]
        if (
            known.at[end] - known.at[start] < CIRCUIT_S
            and max(feet) - known.feet[marks[0]] < _CIRCUIT_FT
            and len(marks) > 2
        ):
            climb = climbed_ft(feet)
            if waiting is not None:
                start, climb = waiting.start, climb + (waiting.climb_ft or 0.0)  # noqa: PLW2901 - goes on
            count = 1 if waiting is None else waiting.circuits + 1
            waiting = Stretch(CIRCUITS, start, end, climb, count)
            continue
        if waiting is not None:
            yield _placed(known, waiting)
            waiting = None
        yield from (_placed(known, stretch) for stretch in _cut(known, start, end))
    if waiting is not None:
        yield _placed(known, waiting)


def _placed(known: _Known, stretch: Stretch) -> Stretch:
    return stretch._replace(start=known.places[stretch.start], end=known.places[stretch.end])


def _cut(known: _Known, start: int, end: int) -> list[Stretch]:
    """Climb, level and descent between two moments."""
    runs: list[tuple[str, int]] = []
    for here, rate in zip(range(start, end), _rates(known, start, end), strict=True):
        phase = LEVEL if abs(rate) < LEVEL_FPM else CLIMB if rate > 0 else DESCENT
        if not runs or runs[-1][0] != phase:
            runs.append((phase, here))
    ends = [*(run[1] for run in runs[1:]), end]
    merged: list[tuple[str, int, int]] = []
    for (phase, begin), until in zip(runs, ends, strict=True):
        short = known.at[until] - known.at[begin] < _SHORTEST_S
        if merged and (short or merged[-1][0] == phase):
            merged[-1] = (merged[-1][0], merged[-1][1], until)
        else:
            merged.append((phase, begin, until))
    return [Stretch(p, a, b, climbed_ft(known.feet[a : b + 1])) for p, a, b in merged]


def _rates(known: _Known, start: int, end: int) -> Iterator[float]:
    """Rate of climb about each moment, over half a minute [ft/min]."""
    for here in range(start, end):
        ahead = min(bisect_left(known.at, known.at[here] + WINDOW_S / 2), end)
        behind = max(bisect_left(known.at, known.at[here] - WINDOW_S / 2), start)
        span = known.at[ahead] - known.at[behind]
        yield (known.feet[ahead] - known.feet[behind]) / span * 60 if span > 0 else 0.0


def _notes(known: _Known, *, begun: bool, over: bool, over_ground: bool) -> Iterator[str]:
    if not begun:
        yield "It begins in the air, or rows are missing there: the take-off is not on it."
    if not over:
        yield "It ends in the air, or rows are missing there: the landing is not on it."
    if not over_ground:
        yield "Its speed is that through the air: off and on blocks cannot be told."
    if not known.feet:
        yield "No altitude was recorded: circuits and phases of the flight cannot be told."
