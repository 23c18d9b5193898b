"""The page of flags says what the rules say, for every rule there is."""

from __future__ import annotations

import ast
from pathlib import Path

from logbook.cli import flags_page
from logbook.rules import catalogue, charge_rules, flag, observation_rules

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "flags.md"


def test_the_page_of_flags_is_current() -> None:
    assert PAGE.read_text(encoding="utf-8") == flags_page.page(), (
        "run: python -m logbook.cli.flags_page > docs/flags.md"
    )


def test_paragraphs_are_broken_and_no_code_is_torn_apart() -> None:
    lines = [line for line in flags_page.page().split("\n") if not line.startswith("|")]
    assert max(map(len, lines)) <= 120
    assert all(line.count("`") % 2 == 0 for line in lines)


def test_every_rule_stands_on_the_page_once() -> None:
    told = [name for names in flags_page._GROUPS.values() for name in names]
    assert sorted(told) == sorted(catalogue.RULES)
    assert set(flags_page._ABOUT) == {*catalogue.RULES, *charge_rules.RULES, *observation_rules.RULES}


def _raised() -> dict[str, set[str]]:
    """Rule ids and severities as the rules' own code makes flags with them."""
    found: dict[str, set[str]] = {}
    for path in (ROOT / "logbook" / "rules").glob("*_rules.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Flag":
                rule, severity = node.args[:2]
                assert isinstance(rule, ast.Constant)
                assert isinstance(severity, ast.Name)
                found.setdefault(rule.value, set()).add(getattr(flag, severity.id))
    return found


def test_the_severities_told_are_those_the_rules_raise() -> None:
    raised = _raised()
    assert len(raised) > 30
    text = flags_page.page()
    for rule, severities in raised.items():
        assert f"`{rule}`" in text
        if rule in flags_page._ABOUT:
            assert severities == {flags_page._ABOUT[rule].severity}, rule


def test_every_figure_in_the_words_is_that_of_the_band() -> None:
    bands = flags_page.Thresholds()
    about = {name: one.speaks for name, one in flags_page._ABOUT.items()}
    for rule, figures in {
        "packs_apart": (bands.apart_departure_pct, bands.apart_landing_pct),
        "soh_rose": (bands.soh_rise_pct,),
        "ledger_gap": (bands.gap_pct, bands.gap_pct_per_day),
        "charge_start_differs": (bands.charge_start_pct,),
        "soc_rose": (bands.soc_rise_pct,),
        "times_improbable": (bands.longest_block_min, 100 * bands.least_power_share),
        "meter_gap": (bands.meter_gap_h,),
        "conditions_exceed_flight": (bands.conditions_over_min,),
        "recording_differs": (bands.recorded_soc_pct, bands.recorded_temp_c, bands.recorded_time_min),
    }.items():
        assert all(f"{figure:g} " in about[rule] for figure in figures), rule
    charge = flags_page.ChargeBands()
    assert (
        f"{charge.least_over_filled:g} to {charge.most_over_filled:g} times, and {charge.slack_kwh:g} kWh"
        in about["charge_energy"]
    )
    assert f"({charge.longest_h:g} h)" in about["charge_long"]
    assert f"{charge.balancing_days:g} days or {charge.balancing_cycles:g} cycles" in about["balancing_due"]
    assert f"{charge.parked_days:g} days" in about["parked_full"]
