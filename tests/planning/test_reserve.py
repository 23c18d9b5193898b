"""The final reserve: published cases as suggestions, the operator's own entry as the rule."""

import pytest

from logbook.domain.published_reserves import PUBLISHED_RESERVES, published_words
from logbook.domain.reserve import reserve_case
from logbook.planning.reserve import final_reserve
from tests.planning.linear import AIRCRAFT, aircraft


@pytest.mark.parametrize(
    ("kind", "night", "start", "end", "case"),
    [
        ("circuits", 0, "A", "A", "local"),
        ("circuits", 1, "A", "A", "night"),
        ("circuits", None, None, None, "local"),
        ("local", 0, "A", "A", "local"),
        ("local", 0, "A", "B", "day"),
        ("local", 2, "A", "B", "night"),
        ("local", 0, None, None, "local"),
        ("local", 0, "A", None, "day"),
        ("local", 0, None, "A", "day"),
        ("cross-country", 0, "A", "A", "day"),
        ("ferry", None, "A", "B", "day"),
        ("check", 0, "A", "A", "day"),
        (None, 0, "A", "A", "day"),
    ],
)
def test_the_case_follows_from_kind_places_and_night(kind, night, start, end, case):
    assert reserve_case(kind, night, start, end) == case


def test_the_reserve_is_the_operators_entry_and_never_assumed():
    assert final_reserve(AIRCRAFT, "day").minutes == 30
    assert final_reserve(aircraft(final_reserve_min_day=None), "day") is None
    assert final_reserve(aircraft(final_reserve_kw_day=None, cruise_power_kw=None), "day") is None


def test_without_a_power_of_its_own_the_reserve_is_counted_at_cruise_power_and_says_so():
    found = final_reserve(aircraft(final_reserve_kw_day=None, cruise_power_kw=21), "day")
    assert found.power_kw == 21
    assert "21 kW" in found.words()


def test_a_reserve_of_minutes_at_a_power_is_an_energy():
    """30 min × 20 kW = 10 kWh (arithmetic)."""
    assert final_reserve(AIRCRAFT, "day").energy_kwh == 10


def test_the_published_minutes_are_listed_with_their_source():
    """14 CFR 91.151(a); AMC1 NCO.OP.125(b) of 30 October 2022; ICAO Annex 6 Part II 2.2.3.6 (read second-hand)."""
    listed = {(rule.rule.split(",")[0], rule.case): rule.minutes for rule in PUBLISHED_RESERVES}
    assert listed["14 CFR 91.151(a)", "day"] == 30
    assert listed["14 CFR 91.151(a)", "night"] == 45
    assert listed["EU AMC1 NCO.OP.125(b)", "local"] == 10
    assert listed["EU AMC1 NCO.OP.125(b)", "day"] == 30
    assert listed["EU AMC1 NCO.OP.125(b)", "night"] == 45
    assert all(rule.source for rule in PUBLISHED_RESERVES)


def test_what_is_published_stands_beside_the_field_with_its_power_and_its_rule():
    assert published_words("local") == (
        "Published: 10 min at maximum continuous cruise power, 1500 ft above the destination "
        "(EU AMC1 NCO.OP.125(b), same aerodrome, always in sight)."
    )
    assert published_words("night").count("45 min at") == 3
