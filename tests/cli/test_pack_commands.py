"""Commands on packs: what they print, and how they end."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from logbook.services.correct import correct
from logbook.store.database import Book
from tests.club import ADA, NOW, P1, P2, P3, WATT, charge, flight_at, put

AT = "2031-06-01T10:00Z"


@pytest.fixture
def flown(book_path: Path) -> None:
    """A few days of flights and charges in the book that commands open."""
    with Book.open(book_path) as book:
        correct(book, "pack-type", "PK-12", {"charge_min_temp_c": 5, "charge_max_temp_c": 40}, by=ADA)
        for day in range(1, 6):
            put(book, "flight", flight_at(8, f"F{day}", f"2031-05-{day:02d}"))
            for serial in (P1, P2):
                started, ended = f"2031-05-{day:02d}T10:00Z", f"2031-05-{day:02d}T11:00Z"
                put(book, "charge", charge(f"C{day}", serial, started, ended=ended, shared_energy_kwh=8.4))


@pytest.mark.usefixtures("flown")
def test_a_pack_whole_as_text_and_as_json(logbook) -> None:
    text = logbook("pack", P1)
    assert text.status == 0
    assert "Component record: battery pack LARK-01" in text.out
    assert "not a release to service" in text.out
    found = logbook("pack", P1, "--format", "json").json
    assert found["row"]["flights"] == 5
    assert found["costs"]["aircraft"] == WATT


@pytest.mark.usefixtures("flown")
def test_the_ledger_and_only_its_gaps(logbook) -> None:
    assert len(logbook("ledger", P1, "--format", "json").json) == 20
    assert logbook("ledger", P1, "--gaps").out == "The line is unbroken.\n"
    assert logbook("ledger", P1, "--format", "csv").out.startswith("at,what,record_id,soc_pct")


@pytest.mark.usefixtures("book_path")
def test_fitting_removing_exchanging(logbook) -> None:
    assert logbook("remove", P1, "--at", AT, "--by", ADA, "--why", "workshop").out == (
        f"{P1} removed from {WATT}, front, {AT}\n"
    )
    taken = logbook("fit", P1, "--aircraft", WATT, "--position", "rear", "--at", AT)
    assert (taken.status, taken.out) == (3, "")
    assert "position is taken" in taken.err
    assert logbook("fit", P1, "--aircraft", WATT, "--position", "front", "--at", AT).status == 0
    swapped = logbook("swap", P1, P3, "--at", "2031-06-02T10:00Z", "--format", "json")
    assert len(swapped.json["done"]) == 2


@pytest.mark.usefixtures("book_path")
def test_states_need_a_reason_and_are_one_of_a_few(logbook, monkeypatch) -> None:
    monkeypatch.setattr("logbook.services.add.now", lambda: NOW)
    assert logbook("state", P1, "broken", "--why", "x").status == 2
    assert logbook("state", P1, "quarantined", "--why", " ").status == 2
    assert logbook("state", P1, "quarantined", "--why", "hard landing", "--at", AT).status == 0
    assert "it is quarantined" in logbook("pack", P1).out
    entry = ("release", P1, "--text", "inspected, no damage", "--by", "Cleo Fenn", "--certificate", "C-7")
    early = logbook(*entry, "--at", "2031-06-01T09:59Z")
    assert (early.status, early.out) == (3, "")
    assert "quarantined since 2031-06-01 10:00 UTC" in early.err
    assert "it is quarantined" in logbook("pack", P1).out
    released = logbook(*entry)
    assert released.status == 0
    assert "not a release to service" in released.err


@pytest.mark.usefixtures("flown")
def test_charging_now(logbook) -> None:
    answer = logbook(
        "charge-now", P1, "--temp", "48", "--air", "20", "--at", "2031-05-06T08:00Z", "--soc", "50"
    )
    assert answer.status == 0
    assert answer.out.startswith("Charge now? no: 48 °C; most to charge is 40 °C")
    assert "90 % about " in answer.out
    assert "after it may begin" in answer.out


@pytest.mark.usefixtures("flown")
def test_where_the_book_shows_fahrenheit_a_bare_temperature_is_refused_since_30_f_is_frost(logbook) -> None:
    ask = ("charge-now", P1, "--soc", "50", "--at", "2031-05-06T08:00Z")
    assert logbook("settings", "temperature=F").status == 0
    bare = logbook(*ask, "--temp", "30")
    assert (bare.status, bare.out) == (2, "")
    assert "30 of which degrees? This book shows °F." in bare.err
    assert "Write 30f or 30c." in bare.err
    assert logbook(*ask, "--temp", "30f").out.startswith("Charge now? no: 30.2 °F; least to charge is 41 °F")
    assert logbook(*ask, "--temp", "30c", "--air", "20c").out.startswith("Charge now? yes: 86 °F")
    assert logbook(*ask, "--temp", "30c", "--air", "20").status == 2


@pytest.mark.usefixtures("flown")
def test_adding_a_charge_says_its_flags_on_standard_error(logbook) -> None:
    given = charge("C9", P1, "2031-05-08T10:00Z", soc_start_pct=90, soc_end_pct=91, temp_start_c=2)
    answer = logbook("add", "charge", "-", given=given)
    assert (answer.status, answer.out) == (0, "C9\n")
    assert "below the least for charging (5 °C)" in answer.err
    listed = logbook("list", "charges", "--format", "json").json
    assert [flag["rule"] for flag in listed[0]["flags"]] == ["charge_temperature"]
    assert "charge_temperature" in logbook("show", "charge", "C9").out


@pytest.mark.usefixtures("flown")
def test_papers_go_to_a_file_that_is_not_overwritten(logbook, tmp_path: Path) -> None:
    target = tmp_path / "watt.html"
    assert logbook("paper", "aircraft", WATT, "--to", str(target)).status == 0
    assert target.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert logbook("paper", "aircraft", WATT, "--to", str(target)).status == 2
    assert logbook("paper", "aircraft", WATT, "--to", str(target), "--force").status == 0
    assert logbook("paper", "pack", P1).out.startswith("Component record")


@pytest.mark.parametrize(
    "words", [("pack",), ("ledger",), ("charge-now",), ("paper", "pack"), ("remove",), ("swap", P1)]
)
@pytest.mark.usefixtures("book_path")
def test_an_unknown_pack_is_refused(logbook, words) -> None:
    answer = logbook(*words, "P-404")
    assert (answer.status, answer.out) == (3, "")
    assert "knows no pack" in answer.err


@pytest.mark.usefixtures("flown")
def test_an_issued_paper_is_checked_and_the_status_says_what_came_of_it(
    logbook, book_path: Path, tmp_path: Path
) -> None:
    target = tmp_path / "pack.html"
    assert logbook("paper", "pack", P1, "--as-of", "2031-05-20", "--to", str(target)).status == 0
    found = logbook("paper", "check", str(target))
    assert found.status == 0
    assert "UNCHANGED SINCE ISSUE" in found.out
    with Book.open(book_path) as book:
        correct(book, "charge", "C2", {f"{P1}.soc_end_pct": 88}, by=ADA, why="misread")
    found = logbook("paper", "check", str(target))
    assert found.status == 1
    assert "CHANGED SINCE ISSUE: charges (5, as many as then)." in found.out
    found = logbook("paper", "check", str(target), "--format", "json")
    assert found.status == 1
    assert (found.json["records"], found.json["text"], found.json["still_true"]) == (
        "changed",
        "as issued",
        False,
    )
    assert {"C2"} == {one["id"] for one in found.json["changed"] if one["changes"]}


def test_what_cannot_be_checked_is_refused(logbook, tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear all")
    assert logbook("paper", "check", str(letter)).status == 3
    assert logbook("paper", "check", str(tmp_path / "none")).status == 3
    assert logbook("paper", "check", str(letter), "--as-of", "2031-05-20").status == 2
    assert logbook("paper", "check", str(letter), "--format", "pdf").status == 2
    assert logbook("paper", "pack", P1, "--format", "json").status == 2


@pytest.mark.usefixtures("flown")
def test_a_swap_that_flights_speak_against_is_said_and_can_be_taken_back(logbook) -> None:
    before = logbook("list", "installations", "--format", "json").json
    swapped = logbook("swap", P1, P3, "--at", "2031-05-03T09:30Z", "--by", ADA)
    assert swapped.status == 0
    assert (
        "LARK-01 was in X-WATT on 2 flights (2031-05-04 to 2031-05-05); they do not count for it"
        in swapped.err
    )
    back = logbook("take-back", P1, "--by", ADA, "--why", "wrong month")
    assert (back.status, back.err) == (0, "")
    assert f"{P1} is in {WATT}, front again, since" in back.out
    assert [row["removed"] for row in logbook("list", "installations", "--format", "json").json] == [
        row["removed"] for row in before
    ]
    assert logbook("take-back", "nobody").status == 3


@pytest.mark.usefixtures("flown")
def test_a_charge_whose_meter_does_not_fit_is_named_with_what_would(logbook, book_path) -> None:
    """Ten times what thirty points can take: a slip of the decimal point."""
    assert logbook("capacity", P1, "--format", "json").json["doubtful_charges"] == []
    with Book.open(book_path) as book:
        put(
            book,
            "charge",
            charge("CX", P1, "2031-05-06T10:00Z", ended="2031-05-06T11:00Z", energy_kwh=42.0),
        )
    (named,) = logbook("capacity", P1, "--format", "json").json["doubtful_charges"]
    assert (named["charge_id"], named["metered_kwh"]) == ("CX", 42.0)
    assert 2 < named["expected_kwh"] < 8
    assert named["z"] > 4
    assert (
        "doubtful: charge of 2031-05-06 10:00 UTC: 42.0 kWh at the meter, about"
        in logbook("capacity", P1).err
    )
    assert logbook("capacity", P2, "--format", "json").json["doubtful_charges"] == []
    assert logbook("pack", P1, "--format", "json").json["capacity"]["doubtful_charges"] == [named]
    before = logbook("pack", P1, "--format", "json", "--as-of", "2031-05-05").json
    assert before["capacity"]["doubtful_charges"] == []


@pytest.mark.usefixtures("flown")
def test_the_list_of_packs_has_limits_of_the_type_and_what_was_accrued(logbook) -> None:
    with Book.open(Path(os.environ["LOGBOOK_FILE"])) as book:
        correct(book, "pack-type", "PK-12", {"limit_hours": 900, "cycle_definition": "discharge"}, by=ADA)
        correct(book, "pack", P2, {"limit_hours": 1}, by=ADA)
    head, first, second = logbook("list", "packs").out.splitlines()[:3]
    assert head.split("  ")[0] == "pack"
    assert "first limit expected" in head
    assert [first.split()[i] for i in (0, 3, 4, 5, 6)] == [P1, WATT, "front", "2.5", "900"]
    assert "Limit reached: hours." in second
    recorded = logbook("list", "packs", "--format", "json").json[0]
    assert (recorded["serial_no"], recorded["limit_hours"]) == (P1, None)  # as it is recorded
