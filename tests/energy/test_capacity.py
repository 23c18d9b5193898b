import numpy as np
import pytest

from logbook.energy.estimator import Estimator, estimate
from logbook.energy.parameters import ZERO
from logbook.energy.record import (
    AircraftFacts,
    AircraftHistory,
    BreakFacts,
    ChargeFacts,
    CheckFacts,
    FlightFacts,
    PackFacts,
    ReadingFacts,
)
from tests.energy.worlds import SEEDS, estimator, history, world

AEROPLANE = AircraftFacts("X-ONE", ("left",), 0.4, 1.5, 0.45, 2.0, 0.8, 620, 450, 600, 27, 75, 30)


def test_capacity_as_flown_is_near_the_truth_and_its_interval_holds_it() -> None:
    inside, ratios = 0, []
    for seed in SEEDS:
        for pack in world(seed).packs:
            found = estimator(seed).capacity(pack["serial_no"]).usable_kwh
            truth = np.mean(
                [kwh for _, serial, kwh in world(seed).truth_usable if serial == pack["serial_no"]][-20:]
            )
            inside += found.low <= truth <= found.high
            ratios.append(found.mid / truth)
    assert inside >= 7, "of 9 packs"
    assert np.mean(ratios) == pytest.approx(1, abs=0.06)


def test_no_precision_is_claimed_that_flights_cannot_give() -> None:
    for seed in SEEDS:
        for pack in world(seed).packs:
            found = estimator(seed).capacity(pack["serial_no"])
            assert (found.usable_kwh.high - found.usable_kwh.low) / found.usable_kwh.mid > 0.07
            assert sum(source.share for source in found.sources) == pytest.approx(1)
            assert {source.name for source in found.sources} >= {"nominal", "soh", "flights", "charges"}


def test_history_falls_with_age_and_a_date_is_answered_from_it() -> None:
    serial = world(SEEDS[0]).packs[0]["serial_no"]
    points = estimator(SEEDS[0]).capacity_history(serial)
    assert points[-1].smoothed.mid < points[0].smoothed.mid
    assert all(p.smoothed.high / p.smoothed.low <= p.filtered.high / p.filtered.low + 1e-9 for p in points)
    then = estimator(SEEDS[0]).capacity(serial, as_of=points[10].at).usable_kwh
    assert then.mid == pytest.approx(points[10].filtered.mid)
    assert estimator(SEEDS[0]).capacity(serial, as_of=0).usable_kwh.mid > 0


def _flown(landings: list[float], soh: float | None = 100) -> Estimator:
    flights = tuple(
        FlightFacts(
            f"F{n}", 28_000_000 + 300 * n, 28_000_005 + 300 * n, 28_000_025 + 300 * n, 28_000_030 + 300 * n, "circuits", 4,
            readings=(ReadingFacts("A", "left", 100, landing, soh),),
        )
        for n, landing in enumerate(landings)
    )  # fmt: skip
    return estimate(AircraftHistory(AEROPLANE, (PackFacts("A", 15.0, 0.45, 1.0),), flights))


def test_a_bench_figure_lies_below_the_one_as_flown() -> None:
    estimator_ = _flown([45] * 10)
    before = estimator_.capacity("A").usable_kwh
    estimator_.step(CheckFacts("A", 28_100_000, before.mid * 0.91, 8.0))
    after = estimator_.capacity("A").usable_kwh
    assert after.mid == pytest.approx(before.mid, rel=0.02)
    assert after.high - after.low < before.high - before.low
    assert "checks" in {source.name for source in estimator_.capacity("A").sources}


def test_a_module_change_opens_the_capacity_up_again() -> None:
    estimator_ = _flown([45] * 30)
    before = estimator_.capacity("A").usable_kwh
    estimator_.step(BreakFacts("A", 28_100_000, "module changed"))
    after = estimator_.capacity("A").usable_kwh
    assert after.high - after.low > 1.5 * (before.high - before.low)


def test_one_bad_charge_moves_little() -> None:
    good = [
        ChargeFacts(f"C{n}", "A", 28_100_000 + n, None, "hangar", "full", 40, 100, 9.9) for n in range(20)
    ]
    bad = ChargeFacts("CX", "A", 28_200_000, None, "hangar", "full", 40, 100, 99.0)
    clean, dirty = _flown([45] * 10), _flown([45] * 10)
    for charge in good:
        clean.step((charge,))
        dirty.step((charge,))
    dirty.step((bad,))
    assert clean.doubtful_charges() == ()
    assert [charge.charge_id for charge in dirty.doubtful_charges()] == ["CX"]
    assert dirty.doubtful_charges()[0].expected_kwh == pytest.approx(9.9, rel=0.1)
    assert dirty.capacity("A").usable_kwh.mid == pytest.approx(clean.capacity("A").usable_kwh.mid, rel=0.01)


def test_a_shared_meter_is_compared_with_the_sum_of_the_packs() -> None:
    rows = tuple(
        ChargeFacts(f"C{s}", s, 28_100_000, None, "hangar", "full", 40, 100, None, 19.4) for s in "AB"
    )
    both = Estimator(
        AEROPLANE._replace(positions=("l", "r")), (PackFacts("A", 15.0, 0.45), PackFacts("B", 15.0, 0.45))
    )
    both.step(rows)
    for serial in "AB":
        assert both.capacity(serial).usable_kwh.mid == pytest.approx(14.4, rel=0.12)
        assert {source.name for source in both.capacity(serial).sources} == {"nominal", "charges"}


def test_a_pack_never_flown_is_answered_from_its_scale() -> None:
    found = Estimator(AEROPLANE, (PackFacts("A", 15.0, 0.45, 1.0),)).capacity("A", soh_pct=60)
    assert found.usable_kwh.mid == pytest.approx(15 * (0.45 + 0.55 * 0.6))
    assert "no record of this pack yet" in found.why
    unknown = Estimator(AEROPLANE).capacity("Q")
    assert any("nominal capacity is not stated" in why for why in unknown.why)
    assert unknown.usable_kwh.high > 3 * unknown.usable_kwh.low


def test_the_fitted_soh_scale_stays_near_the_true_one_and_claims_no_more_than_that() -> None:
    shifts = [float(estimator(seed).filter.state.x[ZERO]) for seed in SEEDS]
    assert max(map(abs, shifts)) < 0.1
    for seed in SEEDS:
        assert estimator(seed).filter.state.p[ZERO, ZERO] ** 0.5 > 0.015


def test_an_unstated_scale_still_gives_the_capacity_as_flown() -> None:
    for seed in SEEDS:
        full = history(seed)
        packs = tuple(pack._replace(soh_zero_fraction=None) for pack in full.packs)
        found = estimate(full._replace(packs=packs))
        for pack in packs:
            flown = [kwh for _, serial, kwh in world(seed).truth_usable if serial == pack.serial_no]
            assert found.capacity(pack.serial_no).usable_kwh.mid == pytest.approx(
                np.mean(flown[-20:]), rel=0.12
            )
            assert any("SOH 0" in why for why in found.capacity(pack.serial_no).why)
