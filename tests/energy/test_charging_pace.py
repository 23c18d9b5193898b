"""How fast a charger fills a pack, and when it is done."""
# ruff: noqa: S311 -- repeatable chance is wanted here

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.charging_pace import Filling, charging_paces, fillings_of
from logbook.energy.record import ChargeFacts


def minutes_needed(start: float, end: float) -> float:
    """A made-up charger: 1 point a minute to 85 %, then slower in proportion, 5 minutes a point at the top."""
    total, soc = 2.0, start
    while soc < end:
        total += 0.1 * (1.0 if soc < 85 else 1.0 + 4.0 * (soc - 85) / 15)
        soc += 0.1
    return total


def record(count: int, seed: int = 2, left_plugged_in: float = 0.0) -> list[Filling]:
    draw = random.Random(seed)
    made = []
    for _ in range(count):
        start = draw.randint(20, 70)
        end = draw.choice([100, 100, 95, 90, 85, 80])
        end = max(end, start + 10)
        minutes = minutes_needed(start, end) * draw.uniform(0.95, 1.05)
        if draw.random() < left_plugged_in:
            minutes += draw.uniform(60, 600)
        made.append(Filling("east", round(minutes), start, end))
    return made


def test_the_taper_is_learned() -> None:
    pace = charging_paces(record(60))["east", 1]
    by_band = {band.from_pct: band.points_per_min.mid for band in pace.bands}
    assert by_band[0] == pytest.approx(1.0, rel=0.15)
    assert by_band[50] == pytest.approx(1.0, rel=0.1)
    assert by_band[95] == pytest.approx(1 / 4.33, rel=0.25)
    assert by_band[50] > by_band[90] > by_band[95]
    for band in pace.bands:
        assert 0 < band.points_per_min.low <= band.points_per_min.mid <= band.points_per_min.high


@pytest.mark.parametrize(("start", "end"), [(30, 80), (30, 100), (60, 90), (20, 95)])
def test_when_it_will_be_done_is_foreseen(start: float, end: float) -> None:
    done = charging_paces(record(60))["east", 1].minutes_to(start, end)
    assert done.low < minutes_needed(start, end) < done.high
    assert done.mid == pytest.approx(minutes_needed(start, end), rel=0.08)
    assert done.n == 60


def test_about_nine_in_ten_charges_end_inside_the_interval() -> None:
    inside = total = 0
    for seed in range(20):
        charges = record(30, seed)
        for known in range(5, 30, 3):
            later = charges[known]
            due = charging_paces(charges[:known])["east", 1].minutes_to(
                later.soc_start_pct, later.soc_end_pct
            )
            inside += due.low <= later.minutes <= due.high
            total += 1
    assert inside / total > 0.85


def test_charges_that_were_left_plugged_in_hardly_slow_the_pace() -> None:
    clean = charging_paces(record(60))["east", 1].minutes_to(30, 100)
    lazy = charging_paces(record(60, left_plugged_in=0.2))["east", 1].minutes_to(30, 100)
    assert lazy.mid == pytest.approx(clean.mid, rel=0.1)


def test_what_is_there_already_takes_no_time() -> None:
    assert charging_paces(record(10))["east", 1].minutes_to(90, 80)[:3] == (0, 0, 0)


def test_with_fewer_than_three_charges_no_pace_is_claimed() -> None:
    assert charging_paces(record(2)) == {}


def test_chargers_and_packs_together_are_kept_apart() -> None:
    rows = [
        *(ChargeFacts(f"A{i}", "P1", 1000 * i, 1000 * i + 60, "east", None, 40, 100) for i in range(3)),
        *(
            ChargeFacts(f"B{i}", p, 1000 * i, 1000 * i + 120, "east", None, 40, 100)
            for i in range(3)
            for p in ("P1", "P2")
        ),
        ChargeFacts("C1", "P1", 0, 60, "west", None, 40, 100),
        ChargeFacts("C2", "P1", 0, None, "west", None, 40, 100),
        ChargeFacts("C3", "P1", 0, 10, "west", None, 98, 100),
        ChargeFacts("C4", "P1", 0, 60, "west", None, None, 100),
    ]
    paces = charging_paces(fillings_of(rows))
    assert set(paces) == {("east", 1), ("east", 2)}
    assert paces["east", 2].minutes_to(40, 100).mid > 1.5 * paces["east", 1].minutes_to(40, 100).mid
    assert "2 packs together" in paces["east", 2].minutes_to(40, 100).how


@given(
    st.lists(st.tuples(st.floats(1, 900), st.integers(0, 90), st.integers(5, 60)), min_size=3, max_size=15)
)
def test_any_record_gives_an_ordered_answer_that_is_never_negative(
    rows: list[tuple[float, int, int]],
) -> None:
    fillings = [Filling("x", minutes, start, min(start + more, 100)) for minutes, start, more in rows]
    due = charging_paces(fillings)["x", 1].minutes_to(30, 100)
    assert 0 <= due.low <= due.mid <= due.high < 1e5


def test_fuller_always_comes_later_even_where_the_record_says_otherwise() -> None:
    # Two packs are unplugged together: the one that got a point further had less to fill, so the top seems to cost nothing.
    charges = []
    for start in range(20, 60):
        minutes = round(minutes_needed(start, 95))
        charges += [Filling("east", minutes, start, 95), Filling("east", minutes - 3, start + 2, 96)]
    pace = charging_paces(charges)["east", 1]
    wanted = [pace.minutes_to(40, soc) for soc in (60, 80, 90, 95, 97, 100)]
    for earlier, later in pairwise(wanted):
        assert earlier.low <= later.low
        assert earlier.mid < later.mid
        assert earlier.high < later.high
    # Five points in the top band take at least as long as five in the band below it.
    assert wanted[5].mid - wanted[3].mid > 0.8 * (pace.minutes_to(40, 95).mid - pace.minutes_to(40, 90).mid)
    assert wanted[5].high - wanted[5].low > wanted[3].high - wanted[3].low
