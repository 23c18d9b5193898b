"""A flight of a day before its packs were entered as fitted: the form says why it asks for no charge."""

from __future__ import annotations

from pathlib import Path

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.first_start import save_first
from logbook.store.database import Book

NOW = "2031-06-30T12:00Z"
FIRST = {"registration": "AB-9", "positions": ["front", "rear"], "serials": ["P-1", "P-2"]}


def warned(desk: Desk, day: str, **changes: str) -> list[str]:
    entry = desk.begin_flight("AB-9", day)._replace(**changes)
    seen = desk.preview(desk.flight_form(entry), {}, entry.flight_id)
    return [words for _, words in seen.flags if "fitted only since" in words]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    book = Book.open(tmp_path / "new.logbook", create=True)
    return Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))


def test_yesterdays_flight_says_that_the_packs_are_fitted_only_since_today(desk: Desk) -> None:
    save_first(desk.book, FIRST, NOW)  # "Fitted since" left empty: today
    assert warned(desk, "2031-06-29") == [
        f"{serial} ({position}) is fitted only since 2031-06-30: its charge is not asked for. "
        "If it was in before, correct the day in Setup, Fittings."
        for serial, position in (("P-1", "front"), ("P-2", "rear"))
    ]
    assert warned(desk, "2031-06-30") == []
    assert warned(desk, "2031-06-29", outcome="device") == []


def test_once_the_day_is_corrected_the_packs_are_on_the_form(desk: Desk) -> None:
    save_first(desk.book, FIRST, NOW)
    for row in desk.records("installation"):
        desk.correct("installation", row["installation_id"], {"fitted": "2031-06-01T00:00Z"}, why="earlier")
    assert warned(desk, "2031-06-29") == []
    form = desk.flight_form(desk.begin_flight("AB-9", "2031-06-29"))
    assert [slot.serial_no for slot in form.packs] == ["P-1", "P-2"]


def test_a_position_that_was_filled_before_is_no_matter(desk: Desk) -> None:
    save_first(desk.book, FIRST | {"fitted": "2031-06-01"}, NOW)
    desk.add("pack", {"serial_no": "P-3"})
    desk.do_fitting("swap", {"first": "P-3", "second": "P-1", "at": "2031-06-30T08:00Z"})
    assert warned(desk, "2031-06-29") == []
