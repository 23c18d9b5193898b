"""The library face: what the commands do, from Python, and nothing loaded before it is wanted."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from logbook import open_logbook
from logbook.errors import DataRefused, NoBook
from tests import club


def test_importing_the_package_loads_nothing_heavy():
    code = "import sys, logbook; print([m for m in ('numpy', 'pydantic', 'textual', 'sqlite3') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_opening_a_book_loads_no_screens(book_path: Path):
    code = f"import sys, logbook; logbook.open_logbook({str(book_path)!r}).close(); print('textual' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_a_flight_is_added_found_corrected_answered_and_struck_out(book_path: Path):
    low = [club.reading(club.P1, soc_landing_pct=20), club.reading(club.P2)]
    with open_logbook(book_path, by=club.ADA) as book:
        (added,) = book.add("flight", club.flight("LOW", readings=low))
        assert "landing_below_reserve" in {flag["rule"] for flag in added.flags}
        assert [flight["flight_id"] for flight in book.flights(flag="any")] == ["LOW"]
        assert list(book.flights(person=club.BEN)) == []
        assert list(book.flights(since="2031-05-10")) == []

        book.answer("LOW", "landing_below_reserve", "Talked over with Ben.", club.P1)
        done = book.correct(
            "flight", "LOW", {"remarks": "gusty", f"{club.P1}.soc_landing_pct": 21}, "misread"
        )
        assert ("remarks", None, "gusty") in done.changes
        (was, *_) = book.show("flight", "LOW")["versions"]
        assert was["by_whom"] == club.ADA
        assert was["why"] == "misread"

        book.strike("flight", "LOW", "entered twice")
        assert list(book.flights()) == []


def test_a_book_tells_its_packs_rates_capacity_forecasts_totals_and_a_plan(book_path: Path):
    with open_logbook(book_path) as book:
        book.add("flight", [club.flight_at(hour, f"F{hour}") for hour in (6, 8, 10)])
        assert [pack["serial_no"] for pack in book.packs()] == [club.P1, club.P2, club.P3, club.P4]
        assert book.rates(club.WATT)["rates"]["level"]["observed"]["mid"] > 0
        assert 8 < book.capacity(club.P1)["usable_kwh"]["mid"] < 13
        assert len(book.forecasts(club.WATT)["rows"]) == 6
        assert book.totals(club.ADA)["total_min"] == 120
        assert book.student(club.ADA)["person"] == club.ADA
        assert book.records("places")
        assert book.path == book_path
        answer = book.plan({"aircraft": club.WATT, "legs": [{"kind": "circuits", "circuits": 2}]})
        assert answer["verdict"] in ("fits", "does_not_fit", "cannot_tell")
        assert book.records("plans") == []


def test_what_cannot_be_is_refused_in_words_and_changes_nothing(book_path: Path):
    with open_logbook(book_path) as book:
        with pytest.raises(DataRefused, match="X-GONE"):
            book.add("flight", [club.flight("A"), club.flight("B", aircraft="X-GONE")])
        assert list(book.flights()) == []


def test_a_book_is_made_only_where_that_is_asked_for(tmp_path: Path):
    with pytest.raises(NoBook):
        open_logbook(tmp_path / "none.logbook")
    with open_logbook(tmp_path / "new.logbook", create=True) as book:
        assert list(book.flights()) == []


def test_without_a_path_the_usual_book_is_opened_and_a_backup_is_a_book(book_path: Path):
    with open_logbook() as book:
        assert book.path == book_path
        copy = book.back_up()
    with open_logbook(copy) as again:
        assert len(again.records("packs")) == 4
