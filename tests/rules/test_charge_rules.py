"""Rules on charges: each with a charge on either side of its edge."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.energy.estimate import Estimate
from logbook.rules.charge_rules import RULES, ChargeCase, charge_flags

TWELVE = Estimate(11.5, 12.0, 12.5)
FINE = ChargeCase(
    "P",
    "C1",
    minutes=90,
    soc_start_pct=40,
    soc_end_pct=90,
    temp_start_c=20,
    temp_end_c=28,
    least_temp_c=5,
    most_temp_c=45,
    own_kwh=6.6,
    usable_kwh=TWELVE,
    days_since_full=10,
    cycles_since_full=4,
    storage_pct=65,
    stood_days=1,
)


def rules(**changes: Any) -> list[str]:
    """What the rules say of the fine charge with some changes."""
    return [flag.rule for flag in charge_flags(FINE._replace(**changes))]


def test_a_charge_in_order_raises_nothing() -> None:
    assert rules() == []


@pytest.mark.parametrize(
    ("rule", "quiet", "flagged"),
    [
        ("charge_temperature", {"temp_start_c": 5}, {"temp_start_c": 4.9}),
        ("charge_temperature", {"temp_end_c": 45}, {"temp_end_c": 45.1}),
        ("charge_energy", {"own_kwh": 9.0}, {"own_kwh": 9.1}),  # 1.35 x 0.5 x 12.5 + 0.6 = 9.04
        ("charge_energy", {"own_kwh": 4.3}, {"own_kwh": 4.2}),  # 0.85 x 0.5 x 11.5 - 0.6 = 4.29
        ("charge_too_much", {"own_kwh": 6.6}, {"own_kwh": 17.5}),  # 1.35 x 12.5 + 0.6 = 17.475
        ("charge_fell", {"soc_end_pct": 39, "own_kwh": None}, {"soc_end_pct": 38.9, "own_kwh": None}),
        ("charge_overlap", {"overlaps": ""}, {"overlaps": "flight F1"}),
        ("charge_long", {"minutes": 1440}, {"minutes": 1441}),
        ("charge_meter_differs", {"shared_differs": False}, {"shared_differs": True}),
        ("balancing_due", {"days_since_full": 60}, {"days_since_full": 60.1}),
        ("balancing_due", {"cycles_since_full": 20}, {"cycles_since_full": 20.1}),
        ("balancing_due", {"days_since_full": 99, "is_full": True}, {"days_since_full": 99}),
        ("balancing_due", {"days_since_full": 99, "is_newest": False}, {"days_since_full": 99}),
        ("parked_full", {"stood_days": 7}, {"stood_days": 7.1}),
        ("parked_full", {"stood_days": 9, "storage_pct": 90}, {"stood_days": 9, "storage_pct": 89}),
    ],
)
def test_each_rule_speaks_on_its_side_of_the_edge_only(
    rule: str, quiet: dict[str, Any], flagged: dict[str, Any]
) -> None:
    assert rule not in rules(**quiet)
    assert rule in rules(**flagged)


def test_a_shared_meter_is_judged_by_all_packs_of_the_session() -> None:
    shared = {"own_kwh": None, "shared_kwh": 12.4, "session_holds_kwh": 25.0, "session_filled_kwh": 12.5}
    assert rules(**shared) == []
    assert rules(**shared | {"shared_kwh": 17.6}) == ["charge_energy"]
    assert rules(**shared | {"shared_kwh": 34.5}) == ["charge_too_much"]


def test_preheating_and_cooling_are_not_judged_by_energy() -> None:
    for purpose in ("preheat", "cooling"):
        assert rules(purpose=purpose, own_kwh=30.0, soc_end_pct=38) == []


def test_what_nobody_read_raises_nothing() -> None:
    assert charge_flags(ChargeCase("P", "C1")) == []


def test_every_flag_has_its_entry_in_the_catalogue() -> None:
    seen = charge_flags(
        FINE._replace(
            temp_start_c=0,
            own_kwh=40,
            soc_end_pct=10,
            overlaps="flight F1",
            minutes=9999,
            shared_differs=True,
            days_since_full=99,
        )
    )
    assert len(seen) >= 6
    assert {flag.rule for flag in seen} <= set(RULES)
    assert all(flag.serial_no == "P" and flag.words.endswith(".") for flag in seen)
