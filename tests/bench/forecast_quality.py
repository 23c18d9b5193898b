"""How good the forecasts are on simulated aeroplanes, several seeds: prints the table of docs/energy/forecast-quality.md.

    python -m tests.bench.forecast_quality [first seed] [number of seeds]

Each world: 680 flights in about two years (``tests/world``). Late flights are the last 40 %, early ones 11 to 50.
"""
# ruff: noqa: T201 -- a bench prints

import sys
from collections.abc import Iterable
from dataclasses import dataclass, field
from time import perf_counter

import numpy as np

from logbook.energy.estimator import estimate
from logbook.energy.hindcast import HindcastRow, Score, score
from logbook.energy.record import AircraftHistory
from tests.world import World, make_world
from tests.world.facts import history_of

FLIGHTS = 680
LATE_FROM = int(0.6 * FLIGHTS)
KINDS = ("circuits", "local", "cross-country")


@dataclass
class Pool:
    """Rows and counts of several worlds."""

    late: list[HindcastRow] = field(default_factory=list)
    early: list[HindcastRow] = field(default_factory=list)
    blank: list[HindcastRow] = field(default_factory=list)
    planted: int = 0
    named: int = 0
    false: int = 0
    flights: int = 0


def _cut(rows: Iterable[HindcastRow], first: int, last: int) -> list[HindcastRow]:
    return [row for row in rows if first <= int(row.flight_id[1:]) <= last]


def _blanked(history: AircraftHistory, share: float, seed: int) -> AircraftHistory:
    rng = np.random.default_rng(seed)
    flights = tuple(
        flight._replace(climb_ft=None, level_min=None) if rng.random() < share else flight
        for flight in history.flights
    )
    return history._replace(flights=flights)


def _judge(world: World, seed: int, pool: Pool) -> None:
    history = history_of(world)
    found = estimate(history).hindcasts()
    late, early = _cut(found.rows, LATE_FROM + 1, FLIGHTS), _cut(found.rows, 11, 50)
    blank = _cut(estimate(_blanked(history, 0.7, seed)).hindcasts().rows, LATE_FROM + 1, FLIGHTS)
    planted = {row["flight_id"] for row in world.mistakes}
    named = {suspect.flight_id for suspect in found.suspects}
    pool.late += late
    pool.early += early
    pool.blank += blank
    pool.planted += len(planted)
    pool.named += len(planted & named)
    pool.false += len(named - planted)
    pool.flights += FLIGHTS
    _line(
        str(seed),
        score(late),
        score(early),
        score(blank),
        f"{len(planted & named)}/{len(planted)}, {len(named - planted)}",
    )


def _line(name: str, late: Score, early: Score, blank: Score, entries: str) -> None:
    print(
        f"| {name} | {late.mae_pct:.2f} | {late.bias_pct:+.2f} | {100 * late.inside_90:.1f} | {late.mean_width_pct:.1f} "
        f"| {late.handbook_mae_pct:.1f} | {late.average_mae_pct:.1f} | {early.mae_pct:.2f} | {blank.mae_pct:.2f} | {entries} |"
    )


def _speed() -> None:
    print("\n| flights | seconds |\n|---|---|")
    spent = []
    for flights in (1250, 2500, 5000):
        history = history_of(make_world(7, flights, days=flights))
        estimate(history._replace(flights=history.flights[:50]))
        begin = perf_counter()
        found = estimate(history)
        found.hindcasts()
        found.rates()
        for pack in history.packs:
            found.capacity(pack.serial_no)
        spent.append(perf_counter() - begin)
        print(f"| {flights} | {spent[-1]:.2f} |")
    print(f"\nExponent from 1250 to 5000 flights: {np.log(spent[-1] / spent[0]) / np.log(4):.2f}")


def main(first: int = 301, number: int = 12) -> None:
    """Print the table."""
    print(
        "| seed | error | bias | inside 90 % | width | handbook | average | early | 70 % blank | named, false |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|")
    pool = Pool()
    for seed in range(first, first + number):
        _judge(make_world(seed, FLIGHTS, days=710), seed, pool)
    entries = f"{pool.named}/{pool.planted}, {pool.false} ({300 * pool.false / pool.flights:.2f} in 300)"
    _line("all", score(pool.late), score(pool.early), score(pool.blank), entries)
    print("\n| kind | error | inside 90 % | width |\n|---|---|---|---|")
    for kind in KINDS:
        found = score([row for row in pool.late if row.kind == kind])
        print(f"| {kind} | {found.mae_pct:.2f} | {100 * found.inside_90:.1f} | {found.mean_width_pct:.1f} |")
    _speed()


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]))
