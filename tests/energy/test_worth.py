"""What a percent is worth: a curve worked by hand, a real cell's, and what holds for every curve."""

import csv
from pathlib import Path
from statistics import fmean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.cycles import energy_through
from logbook.energy.estimate import Estimate
from logbook.energy.knowledge import Knowledge
from logbook.energy.ledger_events import CHARGE_END, CHARGE_START, DEPARTURE, LANDING, Event
from logbook.energy.meter import meter_shares
from logbook.energy.model import drop_of
from logbook.energy.pack_evidence import BENCH_BELOW_FLIGHT, below_flight
from logbook.energy.parameters import CORE
from logbook.energy.record import AircraftFacts, ChargeFacts, PackFacts
from logbook.energy.usable import PackNow, energy_of_drop, minutes_left
from logbook.energy.worth import charge_after, points_between, worth_about, worths_of

# Upper six 12 11 10 10 9 8: mean 10. One percent is then worth 1.2 1.1 1.0 1.0 0.9 0.8 | 0.8 0.8 0.7 0.7 points.
BY_HAND = (12, 11, 10, 10, 9, 8, 8, 8, 7, 7)
WORTHS = worths_of(BY_HAND)
TEN = Estimate(9.0, 10.0, 11.0, 4, "stated")

charges = st.floats(0, 100)
curves = st.lists(st.floats(0.5, 1.5), min_size=10, max_size=10)


@pytest.mark.parametrize(
    ("upper", "lower", "points"),
    [
        (100, 50, 12 + 11 + 10 + 10 + 9),
        (100, 45, 52 + 4),
        (70, 30, 10 + 9 + 8 + 8),
        (95, 85, 6 + 5.5),
        (100, 0, 90),
        (100, 40, 60),
        (40, 100, -60),
    ],
)
def test_points_between_two_charges_add_up_the_tenths(upper, lower, points) -> None:
    assert points_between(WORTHS, upper, lower) == pytest.approx(points)
    assert charge_after(WORTHS, upper, points) == pytest.approx(lower)


def test_ten_kilowatt_hours_as_flown_give_nine_from_full_to_empty() -> None:
    assert energy_of_drop(TEN, 100, 50, worths=WORTHS).mid == pytest.approx(5.2)
    assert energy_of_drop(TEN, 100, 0, worths=WORTHS).mid == pytest.approx(9.0)
    assert "stated energy of each tenth" in energy_of_drop(TEN, 100, 0, worths=WORTHS).how
    assert "stated energy" not in energy_of_drop(TEN, 100, 0).how


def test_minutes_left_end_at_the_unusable_charge_and_count_the_last_tenths_for_less() -> None:
    """30 to 5 %: 8 + 7 + 3.5 = 18.5 points of 10 kWh = 1.85 kWh; at 12 kW that is 9.25 min, not 12.5."""
    packs = [PackNow(30, TEN, 5, 1.0, WORTHS)]
    assert minutes_left(packs, 12).mid == pytest.approx(9.25)
    assert minutes_left([PackNow(30, TEN, 5, 1.0)], 12).mid == pytest.approx(12.5)
    assert minutes_left([PackNow(4, TEN, 5, 1.0, WORTHS)], 12).mid == 0


def test_energy_through_a_pack_weighs_each_fall_by_where_it_was() -> None:
    line = [
        Event(0, DEPARTURE, 100.0, "F1", "read"),
        Event(60, LANDING, 50.0, "F1", "read"),
        Event(90, CHARGE_START, 50.0, "C1"),
        Event(200, CHARGE_END, 70.0, "C1"),
        Event(300, DEPARTURE, 70.0, "F2", "read"),
        Event(330, LANDING, 30.0, "F2", "read"),
    ]
    assert energy_through(line, lambda _: TEN, WORTHS).mid == pytest.approx(5.2 + 3.5)
    assert energy_through(line, lambda _: TEN).mid == pytest.approx(9.0)


def test_one_meter_is_shared_by_the_energy_filled_not_by_points() -> None:
    """P1 from 80 to 100 %: 23 points; P2 from 20 to 40 %: 16. As many points, but not as much energy."""
    rows = [
        ChargeFacts("C", serial, 0, 60, "wall", None, low, low + 20, None, 39.0)
        for serial, low in (("P1", 80), ("P2", 20))
    ]
    shares = meter_shares(rows, lambda _: 10.0, lambda _: WORTHS)
    assert [share.kwh for share in shares] == pytest.approx([23.0, 16.0])


def test_a_check_to_empty_is_set_against_what_the_curve_gives_to_empty() -> None:
    """From full to empty the curve gives 0.9 of capacity as flown, which the usual 0.09 must not count again."""
    known = Knowledge(AircraftFacts("X"), [PackFacts("A", 10.0, curve=BY_HAND), PackFacts("B", 10.0)])
    assert below_flight(known, "B") == BENCH_BELOW_FLIGHT
    assert below_flight(known, "A") == pytest.approx(0.06 + 0.10536, abs=1e-4)


# -- a real cell: Wiggins, Allu, Wang (2019), doi 10.5281/zenodo.2580327, MIT; see tests/data/README.md ------------------


def cell(c_rate: str) -> list[float]:
    """Wh for one percent in each tenth from full to empty, mean of the runs at a rate."""
    path = Path(__file__).parents[1] / "data" / "real_cell_deciles.csv"
    rows = [
        row
        for row in csv.DictReader(path.read_text(encoding="utf-8").splitlines())
        if row["c_rate"] == c_rate
    ]
    return [
        fmean(float(row["wh_per_pct"]) for row in rows if row["soc_from"] == str(top))
        for top in range(100, 0, -10)
    ]


@pytest.mark.parametrize("c_rate", ["1", "2", "3"])
def test_the_curve_of_a_real_cell_gives_back_its_own_watt_hours(c_rate) -> None:
    measured = cell(c_rate)
    worths = worths_of(measured)
    usable_wh = 100 * fmean(measured[:6])
    for upper, lower in ((100, 0), (100, 45), (90, 20), (70, 30)):
        tenths = [
            wh * (min(upper, top) - max(lower, top - 10))
            for wh, top in zip(measured, range(100, 0, -10), strict=True)
            if min(upper, top) > max(lower, top - 10)
        ]
        assert usable_wh / 100 * points_between(worths, upper, lower) == pytest.approx(sum(tenths), rel=1e-9)


def test_on_a_real_cell_the_last_tenth_is_worth_a_sixth_less_than_a_constant_says() -> None:
    worths = worths_of(cell("2"))
    assert worth_about(worths, 5) / fmean(worths) == pytest.approx(0.878, abs=0.001)
    assert worth_about(worths, 95) / fmean(worths) == pytest.approx(1.077, abs=0.001)
    # a quarter of a pack above empty holds a tenth less than a quarter of its capacity as flown
    assert points_between(worths, 25, 0) == pytest.approx(22.5, abs=0.3)


# -- what holds for every curve -------------------------------------------------------------------------------------------


@given(charges, charges, st.floats(0.1, 1e6))
def test_ten_equal_figures_are_no_curve_exactly(a, b, size) -> None:
    worths = worths_of([size] * 10)
    assert worths is None
    assert points_between(worths, a, b) == a - b
    assert charge_after(worths, a, a - b) == a - (a - b)


@given(curves, charges, charges, charges)
def test_a_range_is_the_sum_of_its_parts(curve, a, b, c) -> None:
    worths = worths_of(curve)
    parts = points_between(worths, a, b) + points_between(worths, b, c)
    assert points_between(worths, a, c) == pytest.approx(parts, abs=1e-9)


@given(curves, charges, st.floats(-150, 150))
def test_what_is_left_after_so_many_points_is_so_many_points_below(curve, a, points) -> None:
    worths = worths_of(curve)
    assert points_between(worths, a, charge_after(worths, a, points)) == pytest.approx(points, abs=1e-8)


@given(curves, charges, charges)
def test_more_charge_is_more_energy(curve, a, b) -> None:
    worths = worths_of(curve)
    low, high = sorted((a, b))
    assert points_between(worths, high, low) >= (high - low) / 3 - 1e-9


@given(curves, st.floats(0.001, 1000), charges, charges)
def test_only_the_ratios_count(curve, size, a, b) -> None:
    scaled = worths_of([size * value for value in curve])
    assert points_between(scaled, a, b) == pytest.approx(points_between(worths_of(curve), a, b), abs=1e-7)


@given(curves)
def test_from_full_to_two_fifths_a_per_cent_is_worth_a_point_whatever_the_curve(curve) -> None:
    assert points_between(worths_of(curve), 100, 40) == pytest.approx(60)


def test_errors_of_energy_move_a_landing_on_worthless_per_cents_further() -> None:
    """Found by moving the energy: 64 points from full end at 35 %, where one percent is worth 0.8 points."""
    core = [0.0] * CORE
    step = 1e-6
    at, below = (drop_of(64 + more, core, 100, 0, WORTHS) for more in (0.0, step))
    assert at.points == pytest.approx(65)
    assert (below.points - at.points) / step == pytest.approx(1 / 0.8, rel=1e-4)
    assert at.stretch * at.points / 64 == pytest.approx(1 / 0.8)
    assert drop_of(61, core, 100, 0, None).stretch == 1
