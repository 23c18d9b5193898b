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
from itertools import chain, pairwise
from math import ceil
from typing import NamedTuple

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
    stack: list[float] = []
    whole, half = _close(turning_points(series), stack)
    counts = {depth: float(times) for depth, times in Counter(whole).items()}
    for depth, times in Counter([*half, *_left_over(stack)]).items():
        counts[depth] = counts.get(depth, 0.0) + times / 2
    return dict(sorted(counts.items()))


def _close(points: Iterable[float], stack: list[float]) -> tuple[list[float], list[float]]:
    """Ranges that close whole, and ranges that stay half, of turning points that follow those on the stack, which go there."""
    whole: list[float] = []
    half: list[float] = []
    push, pop, closes = stack.append, stack.pop, whole.append
    # The range of the last two points on the stack (Y of the standard); none yet where there are no two.
    span = abs(stack[-1] - stack[-2]) if len(stack) > 1 else -1.0
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
    return whole, half


def _left_over(stack: Sequence[float]) -> list[float]:
    """The ranges that are left at the end, and count one half each."""
    return [abs(later - earlier) for earlier, later in pairwise(stack)]


class DepthSums(NamedTuple):
    """A series counted so far, from which the count can go on as if it had never stopped.

    Attributes:
        bins: cycles that have closed, by depth.
        stack: turning points that are still open.
        newest: the newest value, which may yet turn out to be no turning point; None before the first.
    """

    bins: tuple[float, ...]
    stack: tuple[float, ...] = ()
    newest: float | None = None


def add_depths(sums: DepthSums, series: Iterable[float], width: float = 10.0) -> DepthSums:
    """Goes on counting; arguments as in `by_depth`. Halves are exact, so the order of adding changes nothing."""
    begun = [*sums.stack[-1:], *(() if sums.newest is None else (sums.newest,))]
    points = turning_points(chain(begun, series))
    if not points:
        return sums
    stack, bins = list(sums.stack), list(sums.bins)
    whole, half = _close(points[len(sums.stack[-1:]) : -1], stack)
    _sort_in(bins, whole, 1.0, width)
    _sort_in(bins, half, 0.5, width)
    return DepthSums(tuple(bins), tuple(stack), points[-1])


def depths_of(sums: DepthSums, width: float = 10.0) -> tuple[float, ...]:
    """Cycles of each depth, if the series ended here."""
    stack, bins = list(sums.stack), list(sums.bins)
    whole, half = _close(() if sums.newest is None else (sums.newest,), stack)
    _sort_in(bins, whole, 1.0, width)
    _sort_in(bins, [*half, *_left_over(stack)], 0.5, width)
    return tuple(bins)


def _sort_in(bins: list[float], depths: Iterable[float], times: float, width: float) -> None:
    for depth, count in Counter(depths).items():
        bins[min(max(ceil(depth / width - _ROUNDING), 1), len(bins)) - 1] += times * count


def by_depth(series: Iterable[float], width: float = 10.0, deepest: float = 100.0) -> tuple[float, ...]:
    """Cycles of each depth, in bins of equal width from shallow to deep.

    Args:
        series: Charge of a pack in order of time [%].
        width: Width of a bin [points]; a range on an edge belongs to the shallower bin: (0, 10], (10, 20] …
        deepest: Upper edge of the last bin [points]; deeper ranges are counted in it.
    Returns: Count of cycles for each bin.
    """
    return depths_of(add_depths(DepthSums((0.0,) * ceil(deepest / width)), series, width), width)
