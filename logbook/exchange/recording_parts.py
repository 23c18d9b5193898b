"""The flights on one recording: a card that was left in for a day holds several.

Method (common practice, no source), as for tracks: two stretches in the air are two flights where the aeroplane stood for at
least 3 minutes between them, or the recorder was off for so long; the recording is cut in the middle of that.
"""

from __future__ import annotations

from itertools import pairwise
from math import isnan
from typing import Final

from logbook.exchange.recording_trace import Trace
from logbook.exchange.track_motion import FLYING_KT, STEADY_S

STANDING_S: Final = 180.0
"""Standing for so long ends a flight [s]."""
_STANDING_KT: Final = 3.0


def parts_of(trace: Trace, *, over_ground: bool) -> list[Trace]:
    """The recording of each flight, in order; the whole where it holds one or none.

    Args:
        trace: the recording; it is left as it is.
        over_ground: its speed is that over the ground: a speed through the air does not tell that it stood, only that
            the recorder was off.
    """
    known = [(at, speed) for at, speed in zip(trace.at, trace.speed_kt, strict=True) if not isnan(speed)]
    cuts = [
        cut
        for (_, until), (since, _) in pairwise(_in_the_air(known))
        if (cut := _cut(known, until, since, over_ground=over_ground)) is not None
    ]
    if not cuts:
        return [trace]
    parts = []
    for start, end in pairwise([trace.at[0], *cuts, trace.at[-1]]):
        part = trace.copy()
        part.cut(start, end)
        parts.append(part)
    return parts


def _in_the_air(known: list[tuple[float, float]]) -> list[tuple[int, int]]:
    """First and last place of each stretch faster than 30 kt for at least 20 s."""
    found: list[tuple[int, int]] = []
    begin: int | None = None
    for here, (_, speed) in enumerate([*known, (0.0, 0.0)]):
        if speed > FLYING_KT and begin is None:
            begin = here
        elif speed <= FLYING_KT and begin is not None:
            if known[here - 1][0] - known[begin][0] >= STEADY_S:
                found.append((begin, here - 1))
            begin = None
    return found


def _cut(known: list[tuple[float, float]], first: int, last: int, *, over_ground: bool) -> float | None:
    """Where to cut between two stretches in the air [s]: the middle of the longest time it stood; None where it did not."""
    longest, cut = 0.0, None
    begin: float | None = None
    for (at, speed), (then, after) in pairwise(known[first : last + 1]):
        off = then - at >= STANDING_S and max(speed, after) <= FLYING_KT
        still = over_ground and max(speed, after) <= _STANDING_KT
        if not (off or still):
            begin = None
            continue
        begin = at if begin is None else begin
        if then - begin > longest:
            longest, cut = then - begin, (begin + then) / 2
    return cut if longest >= STANDING_S else None
