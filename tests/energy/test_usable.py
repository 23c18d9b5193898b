import csv
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.estimate import Estimate
from logbook.energy.usable import (
    GAUGE_SD_PCT,
    PackNow,
    energy_of_drop,
    minutes_left,
    usable_from_soh,
)

NOMINAL = 11.0
# Two packs of 11 kWh nominal. Common practice, no published source: SOC that the same flying takes at two states of health.
DROPS = {
    100: {"climb of 1000 ft": 7, "ten minutes at 25 kW": 19},
    40: {"climb of 1000 ft": 10, "ten minutes at 25 kW": 28},
}


def _drop(kwh: float, soh: float, zero: float) -> float:
    held = usable_from_soh(NOMINAL, soh, zero, 1.0)
    assert held is not None
    return 100 * kwh / (2 * held.mid)


def test_one_capacity_map_gives_all_four_drops_to_rounding() -> None:
    cruise_kwh, climb_kwh = 25 * 10 / 60, 0.07 * 2 * NOMINAL
    fitting = [
        zero
        for zero in np.arange(0.0, 1.0, 0.005)
        if round(_drop(cruise_kwh, 100, zero)) == 19
        and round(_drop(cruise_kwh, 40, zero)) == 28
        and round(_drop(climb_kwh, 100, zero)) == 7
        and round(_drop(climb_kwh, 40, zero)) == 10
    ]
    assert fitting
    assert min(fitting) < 0.46 < max(fitting)


def test_soh_as_the_fraction_left_fails_by_far() -> None:
    assert _drop(25 * 10 / 60, 40, 0.0) > 47  # 28 is what happens
    assert _drop(0.07 * 2 * NOMINAL, 40, 0.0) > 17  # 10 is what happens


def test_an_unstated_scale_is_wide_and_says_so() -> None:
    stated, unstated = usable_from_soh(NOMINAL, 50, 0.5, 1.0), usable_from_soh(NOMINAL, 50)
    assert stated is not None
    assert unstated is not None
    assert unstated.high - unstated.low > 2 * (stated.high - stated.low)
    assert "what SOH 0 means is not stated" in unstated.how
    assert usable_from_soh(None, 50) is None
    assert "SOH not read" in usable_from_soh(NOMINAL, None).how  # type: ignore[union-attr]


@given(
    st.floats(0.1, 500),
    st.floats(-50, 150),
    st.one_of(st.none(), st.floats(0, 1)),
    st.one_of(st.none(), st.floats(0.05, 1.2)),
)
def test_usable_is_ordered_positive_and_scales_with_its_unit(
    nominal: float, soh: float, zero: float | None, full: float | None
) -> None:
    found = usable_from_soh(nominal, soh, zero, full)
    doubled = usable_from_soh(2 * nominal, soh, zero, full)
    assert found is not None
    assert doubled is not None
    assert 0 <= found.low <= found.mid <= found.high
    assert doubled[:3] == pytest.approx(tuple(2 * value for value in found[:3]))


def test_rounding_two_readings_is_the_least_of_what_a_gauge_errs_by() -> None:
    # two uniform errors of ±0.5: triangular, variance 1/6 (JCGM 100:2008, F.2.2.1: 0.29 of a step each); simulated here
    rng = np.random.default_rng(1)
    true = rng.uniform(20, 95, (200_000, 2))
    error = np.diff(np.round(true))[:, 0] - np.diff(true)[:, 0]
    assert error.std() == pytest.approx((1 / 6) ** 0.5, abs=0.003)
    assert error.std() < GAUGE_SD_PCT
    assert (np.abs(error) < 0.5).mean() == pytest.approx(0.75, abs=0.005)
    assert (np.abs(error) <= 0.68377).mean() == pytest.approx(0.90, abs=0.005)


def test_energy_of_a_drop_carries_gauge_and_capacity() -> None:
    sure, z90 = Estimate(12.0, 12.0, 12.0), NormalDist().inv_cdf(0.95)
    found = energy_of_drop(sure, 90, 40)
    assert found.mid == pytest.approx(6.0)
    assert found.high - found.mid == pytest.approx(z90 * 0.12 * 0.85, rel=1e-9)
    wide = energy_of_drop(Estimate(11.0, 12.0, 13.0), 90, 40)
    assert wide.high - wide.mid == pytest.approx((0.5**2 + (z90 * 0.12 * 0.85) ** 2) ** 0.5, rel=1e-9)


def test_the_pack_that_empties_first_decides_the_minutes() -> None:
    strong, weak = Estimate(9, 10, 11), Estimate(4, 5, 6)
    packs = [PackNow(50, strong, 10, 0.5), PackNow(30, weak, 10, 0.5)]
    found = minutes_left(packs, 20)
    assert found is not None
    assert found.mid == pytest.approx(60 * 0.2 * 5 / 10)
    assert found.low < found.mid < found.high
    assert minutes_left([], 20) is None
    assert minutes_left(packs, 0) is None


def test_a_real_cell_holds_less_per_percent_near_empty() -> None:
    # measured tenths of a 33 Ah automotive pouch cell: Wiggins, Allu, Wang (2019), doi 10.5281/zenodo.2580327
    with (Path(__file__).parents[1] / "data" / "real_cell_deciles.csv").open() as file:
        tenths = [
            float(row["relative"])
            for row in csv.DictReader(file)
            if row["c_rate"] == "1" and row["run"] == "1"
        ]
    upper = sum(tenths[:6]) / 6
    for start, stop in ((10, 20), (7, 20)):
        flown = tenths[10 - start : 10 - stop // 10]
        assert sum(flown) / len(flown) < upper, (
            "kWh per % of the upper half is optimistic for a flight that goes lower"
        )
    assert tenths[9] / upper < 0.86
