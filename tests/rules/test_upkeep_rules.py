"""Counters and hours go forward only, unless a baseline break was written down."""

from logbook.rules.upkeep_rules import CounterRead, HoursRead, counters_back, hours_back

READ = [
    CounterRead("O1", "2031-01-01T08:00Z", 100.0, 50.0),
    CounterRead("O2", "2031-02-01T08:00Z", 110.0, None),
    CounterRead("O3", "2031-03-01T08:00Z", 109.0, 50.0),
]


def test_a_counter_that_went_back_is_named_with_both_readings() -> None:
    found = list(counters_back("P", READ))
    assert [record for record, _ in found] == ["O3"]
    assert "from 110 (2031-02-01) to 109 h (2031-03-01)" in found[0][1].words


def test_a_counter_that_stands_still_is_fine() -> None:
    assert list(counters_back("P", [READ[0], READ[0]._replace(record_id="O9")])) == []


def test_a_baseline_break_lets_a_counter_begin_anew() -> None:
    assert list(counters_back("P", [*READ[:2], READ[2]._replace(broke=True)])) == []


def test_total_time_that_went_back_is_named() -> None:
    entries = [HoursRead("M1", "2031-01-01T08:00Z", 120.0), HoursRead("M2", "2031-02-01T08:00Z", 119.9)]
    assert [record for record, _ in hours_back("X-WATT", entries)] == ["M2"]
    assert list(hours_back("X-WATT", entries[::-1])) == []
