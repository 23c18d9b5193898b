"""Forecast of fading, against two real cells and against made-up packs whose fading is known."""
# ruff: noqa: S311 -- repeatable chance is wanted here

import csv
import random
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.fade import SOH_PRIOR, FadePoint, fade_of, missing_for_fade

# Bills et al., "A battery dataset for electric vertical takeoff and landing aircraft", Scientific Data 10:344 (2023), CC BY 4.0.
CELLS = Path(__file__).parents[1] / "data" / "evtol_cell_capacity.csv"


def cell(name: str) -> list[FadePoint]:
    with CELLS.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["cell"] == name]
    return [FadePoint(float(row["missions"]), float(row["capacity_ah"])) for row in rows]


@pytest.mark.parametrize("name", ["VAH27", "VAH30"])
def test_from_the_first_third_of_its_life_a_real_cells_end_lies_inside(name: str) -> None:
    readings = cell(name)
    end = readings[-1]
    fade = fade_of([point for point in readings if point.cycles <= end.cycles / 3])
    assert fade is not None
    forecast = fade.at(end.cycles, as_read=True)
    assert forecast.low < end.value < forecast.high
    assert (forecast.high - forecast.low) / end.value < 0.3  # an interval that says something


@pytest.mark.parametrize("name", ["VAH27", "VAH30"])
def test_from_every_point_of_a_real_cells_life_most_of_what_follows_lies_inside(name: str) -> None:
    readings = cell(name)
    inside = []
    for known in range(4, len(readings)):
        fade = fade_of(readings[:known])
        assert fade is not None
        for later in readings[known:]:
            forecast = fade.at(later.cycles, as_read=True)
            inside.append(forecast.low <= later.value <= forecast.high)
    # The forecasts overlap, so they are far fewer than they look; measured: 0.87 and 0.92.
    assert sum(inside) / len(inside) > 0.8


def test_when_a_real_cell_is_down_to_four_fifths_is_foreseen_from_a_third() -> None:
    readings = cell("VAH30")  # crosses 80 % of its first capacity between 750 and 800 missions
    fade = fade_of(readings[:7])
    assert fade is not None
    ahead = fade.cycles_until(0.8 * readings[0].value)
    assert ahead.low < 750 - 300
    assert ahead.high > 800 - 300
    assert ahead.n == 7


def test_a_perfect_law_is_recovered_when_all_of_it_was_seen() -> None:
    for exponent in (0.5, 0.8, 1.0):
        points = [FadePoint(x, 20 * (1 - 0.22 * (x / 1000) ** exponent)) for x in range(0, 801, 20)]
        fade = fade_of(points)
        assert fade is not None
        forecast = fade.at(900)
        assert forecast.mid == pytest.approx(20 * (1 - 0.22 * 0.9**exponent), rel=0.004)


def test_one_mistyped_reading_hardly_moves_the_forecast() -> None:
    draw = random.Random(4)
    clean = [FadePoint(x, 20 * (1 - 0.2 * x / 1000) + draw.gauss(0, 0.1)) for x in range(0, 400, 20)]
    wrong = [*clean[:9], clean[9]._replace(value=2.0), *clean[10:]]
    one, other = fade_of(clean), fade_of(wrong)
    assert one is not None
    assert other is not None
    assert other.at(800).mid == pytest.approx(one.at(800).mid, rel=0.01)


def test_the_interval_widens_with_the_distance() -> None:
    fade = fade_of(cell("VAH27")[:5])
    assert fade is not None
    widths = [fade.at(x).high - fade.at(x).low for x in (200, 300, 500, 900, 1500)]
    assert widths == sorted(widths)


def test_with_too_few_readings_nothing_is_claimed_and_it_says_what_is_missing() -> None:
    assert fade_of(cell("VAH27")[:3]) is None
    assert "needs 4 readings, has 3" in missing_for_fade(cell("VAH27")[:3])
    close = [FadePoint(x, 20.0) for x in range(10)]
    assert fade_of(close) is None
    assert "20 cycles" in missing_for_fade(close)
    assert missing_for_fade([FadePoint(x * 10, 0.0) for x in range(9)])


def test_an_indicated_soh_reaches_its_limit_inside_the_interval() -> None:
    draw = random.Random(7)
    points = [FadePoint(x, round(100 - 0.08 * x + draw.gauss(0, 1))) for x in range(0, 500, 5)]
    fade = fade_of(points, SOH_PRIOR)
    assert fade is not None
    until = fade.cycles_until(40)  # truly 750 cycles since new, 255 after the last reading
    assert until.low < 255 < until.high
    assert until.mid == pytest.approx(255, rel=0.25)
    assert fade.cycles_until(70) == (0.0, 0.0, 0.0, 100, until.how)


def test_a_pack_that_does_not_fade_is_not_dated() -> None:
    fade = fade_of([FadePoint(x, 20.0) for x in range(0, 200, 10)])
    assert fade is not None
    ahead = fade.cycles_until(14.0)
    assert ahead.high == 3000
    assert "may lie beyond" in ahead.how


@given(
    st.lists(st.tuples(st.floats(0, 3000), st.floats(0.5, 100)), min_size=4, max_size=60),
    st.floats(0, 5000),
)
def test_any_history_gives_an_ordered_interval_that_is_never_negative(
    readings: list[tuple[float, float]], ahead: float
) -> None:
    fade = fade_of([FadePoint(*reading) for reading in readings])
    if fade is not None:
        forecast = fade.at(fade.last + ahead)
        assert 0 <= forecast.low <= forecast.mid <= forecast.high < 1e6
