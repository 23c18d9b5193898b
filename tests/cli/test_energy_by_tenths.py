"""Energy by tenths of charge, from the entry of a pack type to the figures it changes, and out and in again."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.docs.pages import ROOT

FALLING = [12, 11, 10, 10, 9, 8, 8, 8, 7, 7]
"""Upper six 10 in the mean: a percent near full is worth 1.2 points, near empty 0.7."""


def run(book: Path, *words: str, rc: int = 0, typed: str = "") -> str:
    done = subprocess.run(
        [sys.executable, "-m", "logbook", "--file", str(book), *words],
        input=typed,
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )
    assert done.returncode == rc, done.stderr
    return done.stdout + (done.stderr if rc else "")


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "club.logbook"
    path.write_bytes((ROOT / "sample_db" / "sample.logbook").read_bytes())
    return path


def state(book: Path) -> None:
    for row in json.loads(run(book, "list", "pack-types", "--format", "json")):
        run(book, "correct", "pack-type", row["part_no"], f"energy_by_decile={json.dumps(FALLING)}")


def one_flight(book: Path) -> dict:
    flights = json.loads(
        run(book, "list", "flights", "--aircraft", "ZZ-AMP", "--format", "json", "--limit", "40")
    )
    return next(row for row in flights if row["derived"]["energy_kwh"] and row["outcome"] == "flown")


def test_energy_of_a_flight_follows_the_stated_figures(book) -> None:
    before = one_flight(book)
    state(book)
    after = one_flight(book)
    assert after["flight_id"] == before["flight_id"]
    weights = [value / 10 for value in FALLING]
    for old, new in zip(before["readings"], after["readings"], strict=True):
        high, low = old["soc_departure_pct"], old["soc_landing_pct"]
        points = sum(
            weight * max(min(high, top) - max(low, top - 10), 0)
            for weight, top in zip(weights, range(100, 0, -10), strict=True)
        )
        expected = old["derived"]["energy_kwh"] / (high - low) * points
        assert new["derived"]["energy_kwh"] == pytest.approx(expected, rel=1e-3)
        assert "tenth" in new["derived"]["how"]


def test_the_forecasts_say_what_the_record_makes_of_it_and_never_switch_it_off(book) -> None:
    assert "energy_by_decile" not in json.loads(run(book, "forecasts", "ZZ-AMP", "--format", "json"))
    state(book)
    found = json.loads(run(book, "forecasts", "ZZ-AMP", "--format", "json"))["energy_by_decile"]
    assert found["flights"] > 100
    assert found["favours"] in ("given", "without", "cannot tell")
    assert {"given", "without", "constant"} <= found.keys()
    text = run(book, "forecasts", "ZZ-AMP")
    assert found["words"] in " ".join(text.split())
    assert "each % the same" in text
    assert max(map(len, text.splitlines())) <= 80


def test_a_plan_is_solved_through_it(book) -> None:
    typed = json.dumps({"aircraft": "ZZ-AMP", "packs": [], "legs": [{"kind": "level", "minutes": 12}]})
    before = json.loads(run(book, "plan", "-", "--format", "json", typed=typed))
    state(book)
    after = json.loads(run(book, "plan", "-", "--format", "json", typed=typed))
    for old, new in zip(before["packs"], after["packs"], strict=True):
        assert 0 <= new["landing_soc_pct"]["low"] <= new["landing_soc_pct"]["mid"] <= 100
        assert new["landing_soc_pct"] != old["landing_soc_pct"]


def test_it_leaves_and_enters_with_a_package_and_nothing_kept_goes_stale(book, tmp_path) -> None:
    run(book, "export", "packs", "--to", "-")
    state(book)
    run(book, "check")
    first, second = tmp_path / "first.zip", tmp_path / "second.zip"
    run(book, "export", "all", "--to", str(first))
    run(tmp_path / "copy.logbook", "import", str(first))
    run(tmp_path / "copy.logbook", "export", "all", "--to", str(second))
    assert first.read_bytes() == second.read_bytes()
    types = json.loads(run(tmp_path / "copy.logbook", "list", "pack-types", "--format", "json"))
    assert {tuple(row["energy_by_decile"]) for row in types} == {tuple(FALLING)}


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        ("[1, 1, 1]", "ten numbers are needed"),
        ("[9, 1, 1, 1, 1, 1, 1, 1, 1, 1]", "not within"),
        ("[1, 1, 1, 1, 1, 1, 1, 1, 1, -1]", "energy_by_decile"),
        ("ten", "energy_by_decile"),
    ],
)
def test_what_no_battery_can_mean_is_refused(book, stated, said) -> None:
    types = json.loads(run(book, "list", "pack-types", "--format", "json"))
    words = ("correct", "pack-type", types[0]["part_no"], f"energy_by_decile={stated}")
    assert said in run(book, *words, rc=3)
    assert json.loads(run(book, "list", "pack-types", "--format", "json")) == types


def test_an_earlier_list_stays_in_the_history_and_travels_with_it(book, tmp_path) -> None:
    state(book)
    part_no = json.loads(run(book, "list", "pack-types", "--format", "json"))[0]["part_no"]
    run(
        book,
        "correct",
        "pack-type",
        part_no,
        "energy_by_decile=1.07;1.05;1.04;1.03;1.01;1;0.99;0.97;0.96;0.88",
    )
    earlier = json.loads(run(book, "show", "pack-type", part_no, "--format", "json"))["versions"]
    assert [version["was"]["energy_by_decile"] for version in earlier[-2:]] in (
        [None, FALLING],
        [FALLING, None],
    )
    first, second = tmp_path / "first.zip", tmp_path / "second.zip"
    run(book, "export", "all", "--to", str(first))
    run(tmp_path / "copy.logbook", "import", str(first))
    run(tmp_path / "copy.logbook", "export", "all", "--to", str(second))
    assert first.read_bytes() == second.read_bytes()
    run(tmp_path / "copy.logbook", "check")


@pytest.mark.parametrize(
    "typed", ["1,2;1,1;1;1;0,9;0,8;0,8;0,8;0,7;0,7", "1.2 1.1 1 1 0.9 0.8 0.8 0.8 0.7 0.7"]
)
def test_a_form_repeats_what_was_typed_as_shares_of_the_mean(typed) -> None:
    from logbook.services.form_readers import tenths

    meaning = tenths(typed)
    assert meaning.value == [1.2, 1.1, 1, 1, 0.9, 0.8, 0.8, 0.8, 0.7, 0.7]
    assert meaning.echo.startswith("of their mean: 1.33 1.22 1.11")
    assert "there are 9" in tenths(typed[: typed.rindex("0")].rstrip("; ")).problem
    assert "10-0 %" in tenths(typed[: typed.rindex("0")] + "0.2").problem


def test_scores_fit_a_terminal_of_eighty_columns_and_say_what_they_are(book) -> None:
    table, words = run(book, "forecasts", "ZZ-AMP").split("\n\n")[:2]
    assert max(map(len, [*table.splitlines(), *words.splitlines()])) <= 80
    assert "points of landing charge" in words


def test_without_a_flight_to_judge_by_no_error_of_nought_is_shown(book) -> None:
    said = run(book, "forecasts", "ZZ-TOW")
    assert "0.00" not in said


def _nulls(value: object, path: str = "") -> list[str]:
    if isinstance(value, dict):
        return [one for name, part in value.items() for one in _nulls(part, f"{path}.{name}")]
    if isinstance(value, list):
        return [one for number, part in enumerate(value) for one in _nulls(part, f"{path}[{number}]")]
    return [path] if value is None else []


def test_the_forecasts_as_json_hold_no_null_with_and_without_stated_tenths(book) -> None:
    plain = json.loads(run(book, "forecasts", "ZZ-AMP", "--rows", "--format", "json"))
    assert "energy_by_decile" not in plain
    assert _nulls(plain) == []
    state(book)
    stated = json.loads(run(book, "forecasts", "ZZ-AMP", "--rows", "--format", "json"))
    assert stated["energy_by_decile"]["packs"]
    assert _nulls(stated) == []
