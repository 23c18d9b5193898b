"""A pack and an aeroplane are shown with what follows from their record, and with what is open on their flights."""

from __future__ import annotations

import csv
import io

import pytest

from tests.club import P1, P2, WATT, flight_at, reading

pytestmark = pytest.mark.usefixtures("book_path")


@pytest.fixture
def flown(logbook):
    """Two flights: one below the reserve by the second pack alone, one without a flag of the first pack."""
    low = flight_at(8, "LOW", readings=[reading(P1, soc_landing_pct=60), reading(P2, soc_landing_pct=20)])
    assert logbook("add", "flight", "-", given=[low, flight_at(12, "FINE")]).status == 0
    return logbook


def test_a_pack_has_the_figures_of_the_export_and_its_own_open_flags(flown):
    shown = flown("show", "pack", P2, "--format", "json").json
    exported = csv.DictReader(io.StringIO(flown("export", "packs", "--to", "-").out))
    row = next(row for row in exported if row["serial_no"] == P2)
    derived = shown["derived"]
    for name in ("time_in_service_hours", "landings", "equivalent_cycles_discharge", "usable_kwh_mid"):
        assert float(row[name]) == pytest.approx(derived[name])
    below = [flag for flag in shown["flags"] if flag["rule"] == "landing_below_reserve"]
    assert [(flag["flight_id"], flag["serial_no"]) for flag in below] == [("LOW", P2)]
    other = flown("show", "pack", P1, "--format", "json").json
    assert "landing_below_reserve" not in {flag["rule"] for flag in other["flags"]}
    assert shown["versions"] == []


def test_an_answered_flag_is_not_open_any_more(flown):
    assert flown("answer", "LOW", "landing_below_reserve", "--words", "go-around", "--pack", P2).status == 0
    shown = flown("show", "aircraft", WATT, "--format", "json").json
    assert "landing_below_reserve" not in {flag["rule"] for flag in shown["flags"]}


def test_an_aeroplane_has_its_total_time_landings_and_fitted_packs(flown):
    shown = flown("show", "aircraft", WATT, "--format", "json").json
    derived = shown["derived"]
    assert derived["total_time_hours"] == pytest.approx(1.0)  # two flights of thirty minutes in the air
    assert (derived["flights"], derived["landings"]) == (2, 2)
    assert [one["serial_no"] for one in derived["fitted"]] == [P1, P2]
    text = flown("show", "aircraft", WATT).out
    assert f"{P1} front; {P2} rear" in text
    assert "LOW: Charge after landing" in text


def test_one_that_was_struck_out_is_shown_all_the_same(flown):
    assert flown("strike", "pack", "LARK-03", "--why", "never ours").status == 0
    assert flown("show", "pack", "LARK-03").status == 0


def test_the_earlier_state_of_one_charge_for_all_names_the_whole_aeroplane(logbook):
    one = flight_at(8, "ONE", readings=[reading(None)])
    assert logbook("add", "flight", "-", given=one).status == 0
    assert logbook("correct", "flight", "ONE", ".soc_landing_pct=52", "--why", "misread").status == 0
    text = logbook("show", "flight", "ONE").out
    assert "whole aeroplane: soc_landing_pct=60" in text
    assert "None:" not in text
    assert logbook("undo", "flight", "ONE").status == 0
    assert "whole aeroplane: as it is now" in logbook("show", "flight", "ONE").out
