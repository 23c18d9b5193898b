"""How fast the counting is beside the library `rainflow`: `python -m tests.bench.rainflow_speed`."""
# ruff: noqa: T201, S311 -- a bench prints, and repeatable chance is wanted here

import random
import time
from collections.abc import Callable, Sequence

import rainflow as library

from logbook.energy.rainflow import count_cycles, turning_points


def seconds(count: Callable[[Sequence[float]], object], series: Sequence[float]) -> float:
    """The quickest of five runs [s]."""
    runs = []
    for _ in range(5):
        start = time.perf_counter()
        count(series)
        runs.append(time.perf_counter() - start)
    return min(runs)


def main() -> None:
    draw = random.Random(20)
    readings = [
        draw.choice([100, 100, 98, 90]) if i % 2 == 0 else draw.randint(25, 70) for i in range(400_000)
    ]
    walk = [float(x) for x in range(101)] * 2
    level, noisy = 60.0, []
    for _ in range(400_000):
        level = min(max(level + draw.gauss(0, 5), 0.0), 100.0)
        noisy.append(level)
    cases = {"flights and charges, whole %": readings, "random walk": noisy, "slow ramps": walk * 2000}
    for name, series in cases.items():
        ours, theirs = seconds(count_cycles, series), seconds(library.count_cycles, series)
        print(
            f"{name:30} {len(series):7} points  ours {ours:.3f} s  library {theirs:.3f} s  ratio {theirs / ours:.1f}"
        )
    look, theirs = seconds(turning_points, readings), seconds(library.count_cycles, readings)
    print(
        f"looking at each point once, without counting: {theirs / look:.1f} times faster than the library counts;"
    )
    print("so ten times cannot be reached in plain Python, whatever the counting does.")


if __name__ == "__main__":
    main()
