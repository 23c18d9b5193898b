"""How fast a pack is used."""

from typing import NamedTuple

import pytest

from logbook.energy.estimate import Estimate
from logbook.energy.pace import UsagePace, Uses, product, quotient
from logbook.energy.pace import usage_pace as pace_of

DAY = 1440


class Use(NamedTuple):
    """What one flight took."""

    at: int
    hours: float
    cycles: float


def usage_pace(uses: list[Use], now: int) -> UsagePace:
    """The pace from flights in order of time."""
    at, hours, cycles = zip(*uses, strict=True) if uses else ((), (), ())
    return pace_of(Uses(at, hours, cycles), now)


def test_a_steady_year_gives_its_pace_and_an_interval() -> None:
    uses = [Use(day * DAY, 0.5, 0.4) for day in range(0, 365, 5)]
    pace = usage_pace(uses, now=365 * DAY)
    assert pace.hours_per_day is not None
    assert pace.cycles_per_day is not None
    assert pace.hours_per_cycle is not None
    assert pace.hours_per_day.mid == pytest.approx(0.1)
    assert pace.cycles_per_day.mid == pytest.approx(0.08)
    assert pace.hours_per_cycle.mid == pytest.approx(1.25)
    assert pace.hours_per_day.low < 0.08
    assert pace.hours_per_day.high > 0.13
    assert "73 flights in the last 365 days" in pace.words


def test_only_the_last_twelve_months_count() -> None:
    old = [Use(day * DAY, 5.0, 4.0) for day in range(400)]
    new = [Use((435 + day) * DAY, 0.5, 0.4) for day in range(0, 365, 5)]
    pace = usage_pace([*old, *new], now=800 * DAY)
    assert pace.hours_per_day is not None
    assert pace.hours_per_day.mid == pytest.approx(0.1, rel=0.02)


def test_uneven_months_make_it_less_sure() -> None:
    even = usage_pace([Use(day * DAY, 0.5, 0.4) for day in range(0, 365, 5)], now=365 * DAY)
    summer = usage_pace([Use((150 + i) * DAY, 0.5, 0.4) for i in range(73)], now=365 * DAY)
    longer = usage_pace(
        [Use(0, 0.5, 0.4), *[Use((150 + i) * DAY, 0.5, 0.4) for i in range(72)]], now=365 * DAY
    )
    assert even.hours_per_day is not None
    assert longer.hours_per_day is not None
    assert summer.hours_per_day is not None
    assert (
        longer.hours_per_day.high / longer.hours_per_day.low
        > even.hours_per_day.high / even.hours_per_day.low
    )


@pytest.mark.parametrize(
    ("uses", "now", "missing"),
    [
        ([], 100 * DAY, "needs 5 flights in the last twelve months to know the pace, has 0"),
        ([Use(i * DAY, 0.5, 0.4) for i in range(4)], 100 * DAY, "has 4"),
        ([Use(i * DAY, 0.5, 0.4) for i in range(9)], 30 * DAY, "needs a record of 60 days"),
        ([Use(i * DAY, 0.5, 0.4) for i in range(9)], 900 * DAY, "has 0"),
    ],
)
def test_with_too_few_records_no_pace_is_claimed(uses: list[Use], now: int, missing: str) -> None:
    pace = usage_pace(uses, now)
    assert pace.hours_per_day is None
    assert pace.cycles_per_day is None
    assert missing in pace.words


def test_a_quotient_is_at_least_as_wide_as_either_part() -> None:
    amount, rate = Estimate(80, 100, 125, 4, "a"), Estimate(0.5, 1, 2, 9, "b")
    days = quotient(amount, rate)
    assert days.mid == 100
    assert days.low < 50
    assert days.high > 200
    assert days.n == 4
    assert product(amount, rate).mid == 100
    assert quotient(Estimate(0, 0, 50, 4, ""), rate) == (0, 0, 100, 4, "b")
    assert quotient(Estimate(10, 10, 10, 0, ""), Estimate(2, 2, 2, 0, "")) == (5, 5, 5, 0, "")
