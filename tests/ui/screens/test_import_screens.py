"""Taking in: looked at first, row by row; then all, only the good, or nothing; and another book, decision by decision."""

import shutil
from pathlib import Path

import pytest

from logbook.services.correct import correct
from logbook.services.export_book import export_package
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.ui.screens.import_look import ImportLook
from logbook.ui.screens.import_merge import MergeScreen
from logbook.ui.screens.imports import ImportScreen
from logbook.ui.widgets.entry_input import EntryInput
from tests import club
from tests.ui.walk import walk

SIZES = [(60, 20), (80, 24), (140, 40)]
FOREIGN = """Day;Plane;Out;In;Who;Text
09.06.2031;X-WATT;08:00;08:40;Ada Quill;[/] calm
10.06.2031;X-WATT;08:00;07:00;Nobody Known;odd
"""
MAPPING = """kind = "flight"
[file]
separator = ";"
[dates]
order = "day month year"
zone = "UTC"
[columns]
aircraft = "Plane"
date = { column = "Day", as = "date" }
off_blocks = { column = "Out", as = "time", date = "Day" }
on_blocks = { column = "In", as = "time", date = "Day", after = "off_blocks" }
pilot = "Who"
remarks = "Text"
"""


def count(desk) -> int:
    return len(Flights(desk.book).in_time())


async def open_import(walker, source: Path, mapping: Path | None = None, *, merging: bool = False) -> None:
    walker.app.push_screen(ImportScreen(merging=merging))
    await walker.until(
        lambda: isinstance(walker.app.screen, ImportScreen) and walker.app.screen.query("#source")
    )
    walker.app.screen.query_one("#source", EntryInput).value = str(source)
    if mapping is not None:
        walker.app.screen.query_one("#mapping", EntryInput).value = str(mapping)
    await walker.pilot.pause()


@pytest.fixture
def package(busy_desk, tmp_path) -> Path:
    """What the busy club would write."""
    export_package(busy_desk.book, tmp_path / "club.zip")
    return tmp_path / "club.zip"


@pytest.fixture
def foreign(tmp_path) -> tuple[Path, Path]:
    source, mapping = tmp_path / "old.csv", tmp_path / "old.toml"
    source.write_text(FOREIGN)
    mapping.write_text(MAPPING)
    return source, mapping


@pytest.mark.parametrize("size", SIZES)
async def test_what_would_become_of_every_row_is_said_and_nothing_enters(empty_desk, package, size) -> None:
    async with walk(empty_desk, size) as walker:
        await open_import(walker, package)
        await walker.until("a package")
        await walker.press("f2")
        await walker.until(lambda: isinstance(walker.app.screen, ImportLook))
        await walker.until("Nothing has entered yet.")
        assert "6 flight" in walker.flat
        rows = walker.app.screen.rows
        assert sum(row.file == "flights.csv" for row in rows) == 6
        assert {row.fate for row in rows} == {"new"}
    assert count(empty_desk) == 0


async def test_then_it_is_taken_in_whole(empty_desk, package) -> None:
    async with walk(empty_desk) as walker:
        await open_import(walker, package)
        await walker.press("f2")
        await walker.until("Nothing has entered yet.")
        await walker.press("f2")
        await walker.until("Taken in:")
        await walker.press("escape")
        await walker.until("Taken in:")
    assert count(empty_desk) == 6


async def test_what_the_book_holds_already_is_the_same_and_nothing_is_new(busy_desk, package) -> None:
    async with walk(busy_desk) as walker:
        await open_import(walker, package)
        await walker.press("f2")
        await walker.until("the book holds all of it already")


async def test_a_foreign_file_asks_for_its_mapping(busy_desk, foreign) -> None:
    async with walk(busy_desk) as walker:
        await open_import(walker, foreign[0])
        await walker.until("it needs a mapping")
        await walker.press("f2")
        await walker.until("name a mapping, or make one with F3")


async def test_bad_rows_come_first_with_the_reason_and_the_good_ones_can_enter(busy_desk, foreign) -> None:
    before = count(busy_desk)
    async with walk(busy_desk) as walker:
        await open_import(walker, *foreign)
        await walker.press("f2")
        await walker.until("1 row cannot enter")
        assert walker.app.screen.rows[0].fate == "refused"
        await walker.until("old.csv, line 3:")
        await walker.press("f2")
        await walker.until("Nothing has entered.")
        await walker.press("escape")
        assert count(busy_desk) == before
        await walker.press("f3")
        await walker.until("The refused rows are in")
    assert count(busy_desk) == before + 1


async def test_a_mapping_is_made_on_screen_and_reads_the_file(busy_desk, foreign) -> None:
    source, _ = foreign
    async with walk(busy_desk) as walker:
        await open_import(walker, source)
        await walker.press("f3")
        await walker.until("Mapping for old.csv")
        typed = {
            "separator": "semi", "order": "day", "zone": "UTC", "aircraft": "plane", "date": "day", "off_blocks": "out",
            "on_blocks": "in", "pilot": "=Ada Quill", "remarks": "text", "function": "=pic",
        }  # fmt: skip
        for name, text in typed.items():
            walker.app.screen._boxes[name].box.value = text
        await walker.press("f2")
        await walker.until("The mapping is in")
        await walker.press("f2")
        await walker.until(lambda: isinstance(walker.app.screen, ImportLook))
        fates = [(row.line, row.fate) for row in walker.app.screen.rows]
    # The second row ends at 07:00 after 08:00: the mapping takes it for the next morning, which is no error by itself.
    assert fates == [(2, "new"), (3, "new")]


NEWER = """Plane,Out,Length,What,Weight,Height,Before %,After %
X-WATT,09.06.2031 08:00,0:40,pattern work,1000,500,90,60
"""


@pytest.mark.parametrize("size", [(60, 20), (80, 24)], ids=str)
async def test_durations_units_words_and_one_charge_for_all_packs_are_typed_as_a_person_does(
    busy_desk, tmp_path, size
) -> None:
    source = tmp_path / "newer.csv"
    source.write_text(NEWER)
    typed = {
        "separator": "comma", "order": "day", "cells": "date and", "zone": "UTC", "lengths": "h:mm", "aircraft": "plane",
        "off_blocks": "out", "block_time": "length", "kind": "what", "highest_ft": "height", "mass_kg": "weight",
        "kind_words": "pattern work = circ", "mass_unit": "lb", "height_unit": "m",
        "whole.soc_departure_pct": "before", "whole.soc_landing_pct": "after",
    }  # fmt: skip
    async with walk(busy_desk, size) as walker:
        await open_import(walker, source)
        await walker.press("f3")
        await walker.until("Mapping for newer.csv")
        boxes = walker.app.screen._boxes
        for name, text in typed.items():
            walker.app.screen.set_focus(boxes[name].box)
            await walker.type(text)
            assert boxes[name].box.value == text
        await walker.until(lambda: "pattern work is circuits" in boxes["kind_words"].understood.echo)
        assert not [name for name, box in boxes.items() if box.refused]
        await walker.press("f2")
        await walker.until("The mapping is in")
        await walker.press("f2")
        await walker.until(lambda: isinstance(walker.app.screen, ImportLook))
        await walker.press("f2")
        await walker.until("Taken in:")
    newest = max(Flights(busy_desk.book).in_time())
    flight = Flights(busy_desk.book).read([newest])[0]
    assert (flight["off_blocks"], flight["on_blocks"]) == ("2031-06-09T08:00Z", "2031-06-09T08:40Z")
    assert flight["kind"] == "circuits"
    # 1 lb = 0.45359237 kg, 1 ft = 0.3048 m: international yard and pound agreement of 1959
    assert flight["mass_kg"] == pytest.approx(453.59237)
    assert flight["highest_ft"] == pytest.approx(500 / 0.3048)
    (reading,) = flight["readings"]
    assert (reading["serial_no"], reading["soc_departure_pct"], reading["soc_landing_pct"]) == (None, 90, 60)


async def test_what_durations_and_words_lack_is_said_in_their_fields(busy_desk, tmp_path) -> None:
    source = tmp_path / "newer.csv"
    source.write_text(NEWER)
    async with walk(busy_desk) as walker:
        await open_import(walker, source)
        await walker.press("f3")
        await walker.until("Mapping for newer.csv")
        boxes = walker.app.screen._boxes
        for name, text in {
            "separator": "comma", "order": "day", "cells": "date and", "zone": "UTC", "aircraft": "plane",
            "off_blocks": "out", "block_time": "length", "kind": "what",
        }.items():  # fmt: skip
            boxes[name].box.value = text
        walker.app.screen.set_focus(boxes["kind_words"].box)
        await walker.type("pattern work")
        await walker.until("'pattern work' is no pair")
        boxes["kind_words"].box.value = "pattern work = circuits"
        await walker.press("f2")
        await walker.until("How durations are written is needed")
        assert not list(tmp_path.glob("*.mapping.toml"))


async def test_a_mapping_that_cannot_be_stays_in_the_form(busy_desk, foreign) -> None:
    async with walk(busy_desk) as walker:
        await open_import(walker, foreign[0])
        await walker.press("f3")
        await walker.until("Mapping for old.csv")
        for name, text in {"separator": "semi", "order": "day", "aircraft": "plane", "date": "zorro"}.items():
            walker.app.screen._boxes[name].box.value = text
        await walker.press("f2")
        await walker.until("no column is called so")


async def test_nothing_there_is_said_beside_the_field(busy_desk, tmp_path) -> None:
    async with walk(busy_desk) as walker:
        await open_import(walker, tmp_path / "nowhere.zip")
        await walker.until("nothing is there")
        await walker.press("f2")
        await walker.until("There is nothing at")


async def test_a_look_can_be_stopped(busy_desk, package, monkeypatch) -> None:
    import threading

    from logbook.services.exchange_desk import ExchangeDesk

    begun = threading.Event()

    def slow(_: ExchangeDesk, *_paths, watch, **_how) -> None:
        begun.set()
        while True:
            watch.step("flights: 1,000 rows read")
            threading.Event().wait(0.005)

    monkeypatch.setattr(ExchangeDesk, "take_in", slow)
    async with walk(busy_desk) as walker:
        await open_import(walker, package)
        await walker.press("f2")
        await walker.until(begun.is_set)
        await walker.press("escape")
        await walker.until("Stopped: nothing was changed.")
        assert isinstance(walker.app.screen, ImportScreen)


# -- merging -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def other(busy_desk, tmp_path) -> Path:
    """A copy of the club's book in which one flight is new and two flights say something else."""
    path = tmp_path / "other.logbook"
    busy_desk.book.connection.execute("PRAGMA wal_checkpoint")
    shutil.copyfile(busy_desk.book.path, path)
    with Book.open(path) as book:
        club.put(book, "flight", club.flight_at(15, "NEW", day="2031-06-15"))
        correct(book, "flight", "F6", {"remarks": "theirs 6"}, by=club.BEN, why="typo")
        correct(book, "flight", "F8", {"remarks": "theirs 8"}, by=club.BEN, why="typo")
    for flight_id in ("F6", "F8"):
        correct(
            busy_desk.book, "flight", flight_id, {"remarks": f"ours {flight_id}"}, by=club.ADA, why="typo"
        )
    return path


@pytest.mark.parametrize("size", SIZES)
async def test_differences_stand_side_by_side(busy_desk, other, size) -> None:
    async with walk(busy_desk, size) as walker:
        await open_import(walker, other, merging=True)
        await walker.press("f2")
        await walker.until(lambda: isinstance(walker.app.screen, MergeScreen))
        await walker.until("2 of 2 differences are not decided")
        assert "flight 1 new" in walker.flat
        await walker.until("ours F6")
        await walker.until("theirs 6")


async def test_each_difference_has_a_decision_of_its_own(busy_desk, other) -> None:
    async with walk(busy_desk) as walker:
        await open_import(walker, other, merging=True)
        await walker.press("f2")
        await walker.until("2 of 2 differences are not decided")
        await walker.press("f2")
        await walker.until("Decide every difference first")
        await walker.press("f3", "f4")
        await walker.until("F2 merges; a backup is made first.")
        await walker.press("f2")
        await walker.until("Merged. The book as it was before is in")
    said = {flight_id: busy_desk.show("flight", flight_id) for flight_id in ("F6", "F8", "NEW")}
    assert (said["F6"]["remarks"], said["F8"]["remarks"]) == ("ours F6", "theirs 8")
    assert any("ours F8" in str(version) for version in said["F8"]["versions"])


async def test_all_are_decided_alike_and_nothing_before_is_written(busy_desk, other) -> None:
    async with walk(busy_desk) as walker:
        await open_import(walker, other)  # a book is known as one
        await walker.until("a book of this program")
        await walker.press("f2")
        await walker.until("2 of 2 differences")
        await walker.press("f5")
        await walker.until("Whose word counts")
        await walker.type("theirs")
        await walker.press("enter")
        await walker.until("F2 merges")
        assert busy_desk.show("flight", "F6")["remarks"] == "ours F6"
        await walker.press("escape")
        await walker.until(lambda: isinstance(walker.app.screen, ImportScreen))
    assert busy_desk.show("flight", "F6")["remarks"] == "ours F6"


async def test_a_book_is_not_merged_into_itself(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await open_import(walker, busy_desk.book.path, merging=True)
        await walker.press("f2")
        await walker.until("cannot be merged into itself")
