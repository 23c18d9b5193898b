"""What is left of a pack's life, limit by limit."""

import math

import pytest

from logbook.energy.cycles import CycleCount, Tally, judged_cycles
from logbook.energy.estimate import Estimate
from logbook.energy.fade import SOH_PRIOR, FadePoint, fade_of
from logbook.energy.life import PackLife, PackLimits, first_to_come, in_words, life_left
from logbook.energy.pace import UsagePace, Uses, usage_pace

DAY = 1440
NOW = 20_000 * DAY
USES = Uses([NOW - day * DAY for day in range(361, 0, -5)], [0.5] * 73, [0.4] * 73)
PACE = usage_pace(USES, NOW)
NO_PACE = usage_pace(Uses((), (), ()), NOW)
UNUSED = Tally(0.0, "discharge", "by discharge")


def life(limits: PackLimits, pack: PackLife, pace: UsagePace = PACE):
    return life_left(limits, pack, pace, pace, NOW)


def test_accumulated_and_remaining_add_up_to_the_limit() -> None:
    """Worked example after 14 CFR 43.10 and GM M.A.305, computed here: 500 cycles, 45.12 used, 454.88 left."""
    tally = judged_cycles(CycleCount(discharge=16 * 0.62), "discharge", 35.20)
    hours, cycles = life(PackLimits(hours=2000, cycles=500), PackLife(51.5, tally))
    assert (cycles.accumulated, cycles.limit, cycles.remaining) == pytest.approx((45.12, 500, 454.88))
    assert (hours.accumulated, hours.limit, hours.remaining) == (51.5, 2000, 1948.5)
    assert "454.88 cycles left" in cycles.words


def test_the_expected_date_is_what_is_left_at_the_pace_of_use() -> None:
    (hours,) = life(PackLimits(hours=136.5), PackLife(100.0, UNUSED))
    assert hours.expected_at is not None
    assert (hours.expected_at.mid - NOW) / DAY == pytest.approx(365, rel=0.02)
    assert hours.expected_at.low < hours.expected_at.mid < hours.expected_at.high
    assert hours.hours_left == (36.5, 36.5, 36.5, 0, "")


def test_cycles_left_are_given_in_flight_hours_too() -> None:
    (cycles,) = life(PackLimits(cycles=100), PackLife(None, Tally(60.0, "discharge", "")))
    assert cycles.hours_left is not None
    assert cycles.hours_left.mid == pytest.approx(40 * 1.25)
    assert cycles.hours_left.low < 50 < cycles.hours_left.high


def test_a_date_needs_no_record_and_its_hours_do() -> None:
    (with_pace,) = life(PackLimits(date_at=NOW + 100 * DAY), PackLife(None, UNUSED))
    (without,) = life(PackLimits(date_at=NOW + 100 * DAY), PackLife(None, UNUSED), NO_PACE)
    assert with_pace.remaining == without.remaining == 100
    assert with_pace.hours_left is not None
    assert with_pace.hours_left.mid == pytest.approx(10, rel=0.02)
    assert without.hours_left is None


def test_unlike_cycles_are_not_compared() -> None:
    tally = judged_cycles(CycleCount(discharge=40), "each start of the charger", 0)
    (cycles,) = life(PackLimits(cycles=500), PackLife(10.0, tally))
    assert not cycles.judged
    assert cycles.remaining is None
    assert "Cannot be judged" in cycles.words


def test_with_too_few_records_what_is_left_is_given_without_a_date() -> None:
    hours, soh = life(PackLimits(hours=200, soh_pct=20), PackLife(100.0, UNUSED, 80.0), NO_PACE)
    assert (hours.remaining, hours.expected_at) == (100, None)
    assert "needs 5 flights" in hours.words
    assert soh.expected_at is None
    assert "too few SOH readings" in soh.words


def test_an_soh_limit_is_dated_from_its_own_history() -> None:
    points = [FadePoint(x, 100 - 0.1 * x) for x in range(0, 401, 10)]
    pack = PackLife(100.0, UNUSED, 60.0, fade_of(points, SOH_PRIOR))
    (soh,) = life(PackLimits(soh_pct=50), pack)
    assert soh.remaining == 10
    assert soh.expected_at is not None
    days = [(end - NOW) / DAY for end in soh.expected_at[:3]]
    assert days[0] < 100 / 0.08 < days[2]  # 100 cycles at 0.08 a day
    assert soh.hours_left is not None
    assert soh.hours_left.low < 125 < soh.hours_left.high


def test_an_overrun_limit_says_by_how_much() -> None:
    statuses = life(PackLimits(hours=100, date_at=NOW - 3 * DAY, soh_pct=30), PackLife(103.5, UNUSED, 28.0))
    assert [status.remaining for status in statuses] == [-3.5, -3, -2]
    assert "overrun by 3.5 h" in statuses[0].words
    assert first_to_come(statuses) == "Limit reached: hours, date, SOH."


def test_the_limit_that_comes_first_is_named_with_its_rivals() -> None:
    statuses = life(
        PackLimits(hours=200, cycles=100, date_at=NOW + 4000 * DAY, soh_pct=10),
        PackLife(100.0, Tally(25.0, "discharge", ""), 80.0),
    )
    words = first_to_come(statuses)
    assert words.startswith("First to come: cycles, about ")
    assert "hours may come before it" in words
    assert "date" not in words
    assert "Nothing can be said of: SOH" in words


def test_without_limits_it_says_so() -> None:
    assert life(PackLimits(), PackLife(1.0, UNUSED)) == []
    assert first_to_come([]) == "No limit is set for this pack."
    assert first_to_come(life(PackLimits(hours=5), PackLife(None, UNUSED))).startswith(
        "No limit can be dated"
    )


def test_what_is_more_than_a_hundred_years_off_has_no_date() -> None:
    near, far = life(PackLimits(hours=2000, cycles=1e7), PackLife(100.0, Tally(25.0, "discharge", "")))
    assert near.expected_at is not None
    assert math.isfinite(near.expected_at.high)
    assert far.expected_at is not None
    assert math.isinf(far.expected_at.low)
    assert far.words.endswith("not within 100 years")
    assert first_to_come([far]) == "First to come: cycles, not within 100 years."
    assert first_to_come([far, near]).startswith("First to come: hours, about ")


def test_an_interval_that_reaches_beyond_a_hundred_years_says_so() -> None:
    at = NOW + 20000 * DAY
    assert in_words(Estimate(at, at, math.inf)).endswith("and more than 100 years from now)")
    assert in_words(Estimate(at, math.inf, math.inf)).startswith("probably not within 100 years (")
