"""What an hour costs."""

import pytest

from logbook.energy.costs import electricity_per_hour, hours_of_a_set, together, wear_per_hour
from logbook.energy.estimate import Estimate
from logbook.energy.meter import MeterTotal


def test_figures_that_are_common_practice_come_out() -> None:
    """Common practice, no source: a set of about 20,000 replaced at about 2,000 h is 10 an hour; electricity is under 5."""
    wear = wear_per_hour(20_000, hours_of_a_set(limit_hours=2000))
    electricity = electricity_per_hour(MeterTotal(1250.0, 80, 0), 0.20, 60.0)
    assert wear.per_hour is not None
    assert electricity.per_hour is not None
    assert wear.per_hour.mid == 10
    assert electricity.per_hour.mid < 5
    both = together([wear, electricity])
    assert both.per_hour is not None
    assert both.per_hour.mid == pytest.approx(10 + 1250 * 0.20 / 60)


def test_the_limit_that_comes_first_decides_the_wear() -> None:
    by_cycles = hours_of_a_set(2000, 1000, cycles_per_hour=Estimate(0.7, 0.8, 0.9, 50, ""))
    assert by_cycles is not None
    assert by_cycles.mid == pytest.approx(1250)
    assert by_cycles.low == pytest.approx(1000 / 0.9)
    faded = hours_of_a_set(2000, 1000, Estimate(0.7, 0.8, 0.9, 50, ""), Estimate(500, 800, 1300, 9, "fade"))
    assert faded is not None
    assert faded.mid == 800
    wear = wear_per_hour(20_000, faded)
    assert wear.per_hour is not None
    assert wear.per_hour[:3] == pytest.approx((20_000 / 1300, 25, 40))


def test_charges_without_a_meter_reading_widen_the_cost_instead_of_lowering_it() -> None:
    whole = electricity_per_hour(MeterTotal(100.0, 10, 0), 0.3, 10.0).per_hour
    half = electricity_per_hour(MeterTotal(50.0, 10, 5), 0.3, 10.0).per_hour
    assert whole is not None
    assert half is not None
    assert whole.low == whole.mid == whole.high == 3
    assert half.mid == 3
    assert half.low == 1.5
    assert half.high == 4.5


def test_what_cannot_be_told_says_why_and_is_left_out_of_the_sum() -> None:
    no_price = electricity_per_hour(MeterTotal(100.0, 10, 0), None, 10.0)
    no_meter = electricity_per_hour(MeterTotal(0.0, 10, 10), 0.3, 10.0)
    no_life = wear_per_hour(20_000, hours_of_a_set())
    assert no_price.per_hour is no_meter.per_hour is no_life.per_hour is None
    assert "no price of electricity" in no_price.words
    assert "one charge read at the meter" in no_meter.words
    assert "no limit and no expected life" in no_life.words
    assert wear_per_hour(None, Estimate(1, 1, 1)).per_hour is None
    known = wear_per_hour(20_000, hours_of_a_set(2000))
    partly = together([no_price, known])
    assert partly.per_hour == known.per_hour
    assert "no price of electricity" in partly.words
    assert together([no_price]).per_hour is None
