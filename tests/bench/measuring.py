"""Times side by side, a table of ratios, and how each figure grows with the book."""

from __future__ import annotations

import math
import statistics
import sys
import time
from collections.abc import Callable, Mapping
from typing import NamedTuple

Work = Callable[[], object]


class Figure(NamedTuple):
    """One row of the table.

    Attributes:
        what: what is measured.
        floor: what it is divided by, in words.
        floor_s: how long that takes, by number of flights [s]; one entry under 0 stands for all sizes.
        times: how long ours takes, by number of flights [s].
        goal: the ratio not to be passed, or None.
        batch: work over the whole record, which may grow with it; else it answers a person who waits.
    """

    what: str
    floor: str
    floor_s: Mapping[int, float]
    times: Mapping[int, float]
    goal: float | None = None
    batch: bool = False

    def ratio(self, flights: int) -> float:
        """Ours against the floor at one size."""
        return self.times[flights] / self.floor_s.get(flights, self.floor_s.get(0, math.nan))

    @property
    def exponent(self) -> float | None:
        """Slope of log time against log flights, by least squares over the sizes measured."""
        sizes = [size for size in self.times if size > 0]
        if len(sizes) < 2:
            return None
        xs, ys = [math.log(size) for size in sizes], [math.log(self.times[size]) for size in sizes]
        return statistics.linear_regression(xs, ys).slope


def against_least(
    what: str, times: Mapping[int, float], *, goal: float | None = None, batch: bool = False
) -> Figure:
    """A figure measured against itself in the smallest book."""
    least = min(times)
    return Figure(what, f"itself at {least:,}", {0: times[least]}, times, goal, batch)


def by_turns(works: Mapping[int | str, Work], rounds: int) -> dict[int | str, float]:
    """Median time of each [s]; measured by turns, so that whatever else the machine does strikes all alike."""
    taken: dict[int | str, list[float]] = {name: [] for name in works}
    for _ in range(rounds):
        for name, work in works.items():
            start = time.perf_counter()
            work()
            taken[name].append(time.perf_counter() - start)
    return {name: statistics.median(times) for name, times in taken.items()}


def once(work: Work) -> float:
    """Time of one call [s]."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def say(line: str) -> None:
    """One line of the report, at once."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def table(figures: list[Figure], sizes: list[int]) -> list[str]:
    """The figures as lines of a table in Markdown: at each size the time, and in brackets the ratio to the floor."""
    heads = ["", "against", *(f"{size:,}" for size in sizes), "goal", "exponent"]
    lines = [_line(heads), _line(["---"] * len(heads))]
    for figure in figures:
        cells = [_cell(figure, size) if size in figure.times else "" for size in sizes]
        goal = "" if figure.goal is None else f"{figure.goal:g}"
        exponent = "" if figure.exponent is None else f"{figure.exponent:.2f}"
        lines.append(_line([figure.what, figure.floor, *cells, goal, exponent]))
    return lines


def _cell(figure: Figure, size: int) -> str:
    return f"{_said(figure.times[size])} ({figure.ratio(size):.2f})"


def _said(seconds: float) -> str:
    return f"{seconds:.2f} s" if seconds >= 1 else f"{seconds * 1000:.1f} ms"


def _line(cells: list[str]) -> str:
    return "| " + " | ".join(cells) + " |"
