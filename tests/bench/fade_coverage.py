"""Forecasts of fading against real cells and made-up packs: `python -m tests.bench.fade_coverage`."""
# ruff: noqa: T201, S311 -- a bench prints, and repeatable chance is wanted here

import csv
import random
from pathlib import Path

from logbook.energy.fade import FadePoint, fade_of

CELLS = Path(__file__).parents[1] / "data" / "evtol_cell_capacity.csv"


def real_cells() -> None:
    """Every prefix of at least four tests, against every later test of the same cell."""
    with CELLS.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for name in sorted({row["cell"] for row in rows}):
        tests = [FadePoint(float(r["missions"]), float(r["capacity_ah"])) for r in rows if r["cell"] == name]
        inside, errors = [], []
        for known in range(4, len(tests)):
            fade = fade_of(tests[:known])
            if fade is None:
                continue
            for later in tests[known:]:
                forecast = fade.at(later.cycles, as_read=True)
                inside.append(forecast.low <= later.value <= forecast.high)
                errors.append(abs(forecast.mid - later.value))
        third = fade_of([test for test in tests if test.cycles <= tests[-1].cycles / 3])
        end = third.at(tests[-1].cycles, as_read=True) if third else None
        print(
            f"{name}: {len(inside)} forecasts, {sum(inside) / len(inside):.3f} inside, error {sum(errors) / len(errors):.3f} Ah"
        )
        if end:
            print(
                f"  from the first third: {end.low:.3f} {end.mid:.3f} {end.high:.3f}, measured {tests[-1].value}"
            )


def made_up_packs(packs: int = 400) -> None:
    """Packs whose law bends half-way (the exponent is drawn anew), forecast from a third of their life."""
    draw = random.Random(1)
    inside = 0
    for _ in range(packs):
        loss, first, second = draw.uniform(0.08, 0.4), draw.uniform(0.5, 1.1), draw.uniform(0.5, 1.3)
        noise = draw.uniform(0.003, 0.015)

        def truth(x: float, loss: float = loss, first: float = first, second: float = second) -> float:
            early = min(x, 500.0) / 1000
            late = max(x - 500.0, 0.0) / 1000
            return 1 - loss * early**first - loss * 0.9 * late**second

        readings = [FadePoint(x, truth(x) * (1 + draw.gauss(0, noise))) for x in range(0, 320, 15)]
        fade = fade_of(readings)
        if fade is not None:
            forecast = fade.at(900.0)
            inside += forecast.low <= truth(900.0) <= forecast.high
    print(f"made-up packs: {inside / packs:.3f} of {packs} inside at 900 cycles, from 0 to 315")


if __name__ == "__main__":
    real_cells()
    made_up_packs()
