"""Rainflow counting of charge cycles by depth.

Source: ASTM E1049-85 (2017), section 5.4.4: the three-point method, in which a range that holds the
starting point of the series counts one half, and what is left over at the end counts as half cycles.

The standard speaks of peaks and valleys. A series of only two points holds one range all the same, and it counts
one half; a series that never changes holds none. In every case

    Σ range × count = ½ Σ |change|                                                              (1)

so the counts, weighted by depth / 100, add up to the equivalent full cycles of the half-sum convention.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil

_ROUNDING = 1e-9
"""A range this little above the edge of a bin is rounding of the sum, and stays below [points]."""


def turning_points(series: Iterable[float]) -> list[float]:
    """The series without the points at which it only goes on in the same direction or stands still."""
    points: list[float] = []
    push = points.append
    last = direction = None
    for value in series:
        if value == last:
            continue
        rises = last is not None and value > last
        if last is not None and rises is direction:
            points[-1] = value
        else:
            push(value)
            direction = None if last is None else rises
        last = value
    return points


def count_cycles(series: Iterable[float]) -> dict[float, float]:
    """How many cycles of each range a series holds.

    Args:
        series: Values in order of time, e.g. the charge of a pack [%]. Points between the turning points
            and repeated values change nothing.
    Returns: Range [unit of the series] to count; a half cycle counts 0.5. Empty for fewer than two different values.
    Source: ASTM E1049-85, section 5.4.4. One pass, and each point is taken up and dropped once.
    """
    whole, half = _count(turning_points(series))
    counts = {depth: float(times) for depth, times in whole.items()}
    for depth, times in half.items():
        counts[depth] = counts.get(depth, 0.0) + times / 2
    return dict(sorted(counts.items()))


def _count(points: Sequence[float]) -> tuple[Counter[float], Counter[float]]:
    """Ranges that close whole, and ranges that stay half, of a series of turning points."""
    whole: list[float] = []
    half: list[float] = []
    stack: list[float] = []
    push, pop, closes = stack.append, stack.pop, whole.append
    span = -1.0  # the range of the last two points on the stack (Y of the standard); none yet
    for point in points:
        if stack:
            newest = abs(point - stack[-1])  # X of the standard
            while newest >= span >= 0:
                if len(stack) == 2:  # Y holds the starting point of what is left
                    half.append(span)
                    del stack[0]
                    span = -1.0
                    break
                closes(span)
                pop()
                pop()
                newest = abs(point - stack[-1])
                span = abs(stack[-1] - stack[-2]) if len(stack) > 1 else -1.0
            span = newest
        push(point)
    half += [abs(later - earlier) for earlier, later in pairwise(stack)]
    return Counter(whole), Counter(half)


def by_depth(series: Iterable[float], width: float = 10.0, deepest: float = 100.0) -> tuple[float, ...]:
    """Cycles of each depth, in bins of equal width from shallow to deep.

    Args:
        series: Charge of a pack in order of time [%].
        width: Width of a bin [points]; a range on an edge belongs to the shallower bin: (0, 10], (10, 20] …
        deepest: Upper edge of the last bin [points]; deeper ranges are counted in it.
    Returns: Count of cycles for each bin.
    """
    bins = [0.0] * ceil(deepest / width)
    for depth, times in count_cycles(series).items():
        bins[min(max(ceil(depth / width - _ROUNDING), 1), len(bins)) - 1] += times
    return tuple(bins)
