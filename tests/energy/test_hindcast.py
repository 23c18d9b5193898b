"""How good the forecasts are on an aeroplane simulated from physics, on seeds that tuned nothing."""

from functools import cache

import pytest

from logbook.energy.estimator import estimate
from logbook.energy.hindcast import HindcastRow, Score, score
from tests.energy.worlds import FLIGHTS, SEEDS, estimator, history, world


@cache
def _rows(seed: int, first: int, last: int) -> list[HindcastRow]:
    wanted = {f"F{number:05d}" for number in range(first, last + 1)}
    return [row for row in estimator(seed).hindcasts().rows if row.flight_id in wanted]


def _late() -> list[HindcastRow]:
    return [row for seed in SEEDS for row in _rows(seed, int(0.6 * FLIGHTS) + 1, FLIGHTS)]


def test_every_reading_of_every_flight_has_its_row() -> None:
    for seed in SEEDS:
        rows = estimator(seed).hindcasts().rows
        assert len(rows) == len(world(seed).readings)
        assert all(0 <= row.low <= row.mid <= row.high <= 100 for row in rows)


def test_late_forecasts_meet_the_bar() -> None:
    found = score(_late())
    assert found.mae_pct <= 2.1
    assert 0.88 <= found.inside_90 <= 0.92
    assert found.mean_width_pct <= 10
    assert abs(found.bias_pct) < 0.4


def test_each_kind_and_each_aeroplane_is_covered_alike() -> None:
    for seed in SEEDS:
        assert 0.86 <= score(_rows(seed, 409, FLIGHTS)).inside_90 <= 0.94
    for kind in ("circuits", "local", "cross-country"):
        assert 0.85 <= score([row for row in _late() if row.kind == kind]).inside_90 <= 0.95


def test_few_flights_already_repair_a_wrong_handbook() -> None:
    found = score([row for seed in SEEDS for row in _rows(seed, 11, 50)])
    assert found.mae_pct <= 2.6
    assert found.mae_pct < found.handbook_mae_pct


def test_handbook_and_plain_average_are_beaten_by_far() -> None:
    found = score(_late())
    assert found.mae_pct < 0.6 * found.handbook_mae_pct
    assert found.mae_pct < 0.7 * found.average_mae_pct


def test_blank_feet_and_minutes_still_work() -> None:
    import numpy as np

    rng = np.random.default_rng(8)
    full = history(SEEDS[0])
    flights = tuple(
        flight._replace(climb_ft=None, level_min=None) if rng.random() < 0.7 else flight
        for flight in full.flights
    )
    rows = estimate(full._replace(flights=flights)).hindcasts().rows
    late = [row for row in rows if row.flight_id > "F00408"]
    assert score(late).mae_pct <= 3.2
    assert 0.84 <= score(late).inside_90 <= 0.96


def test_a_forecast_knows_nothing_of_its_own_landing() -> None:
    full = history(SEEDS[1])
    cut = 120
    flights = list(full.flights[:cut])
    last = flights[-1]
    flights[-1] = last._replace(
        readings=tuple(reading._replace(soc_landing_pct=1) for reading in last.readings)
    )
    shorter = estimate(full._replace(flights=tuple(flights), charges=()))
    longer = estimate(full._replace(flights=full.flights[: cut + 30], charges=()))
    ours, theirs = shorter.hindcasts().rows, longer.hindcasts().rows
    assert [row[:5] for row in ours] == [row[:5] for row in theirs[: len(ours)]]


def test_groups_and_the_last_fifty_are_scored() -> None:
    found = estimator(SEEDS[0]).hindcasts()
    assert found.all.flights == FLIGHTS
    assert found.last_50.flights == 50
    assert sum(group.flights for group in found.by_kind.values()) == FLIGHTS
    assert sum(group.flights for group in found.by_handler.values()) == FLIGHTS
    assert score([]) == Score()


@pytest.mark.parametrize("share", [1.0])
def test_no_landing_charge_gives_no_row(share: float) -> None:
    full = history(SEEDS[2])
    flights = tuple(
        flight._replace(readings=tuple(reading._replace(soc_landing_pct=None) for reading in flight.readings))
        for flight in full.flights[: int(40 * share)]
    )
    assert estimate(full._replace(flights=flights, charges=())).hindcasts().rows == ()
