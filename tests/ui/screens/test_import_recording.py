"""A recording taken in from the screen: which flights are on it, beside which it is kept, and what is wrong with it."""

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from logbook.services.recording_mappings import mapping_for, remember
from logbook.store.records import Records
from logbook.ui.screens.import_recorded import RecordedLook
from logbook.ui.widgets.pick_box import PickBox
from tests import club
from tests.recorder import flight_rows, mapping, mapping_text, written
from tests.ui.screens.test_import_screens import open_import
from tests.ui.walk import walk

SIZES = [(60, 20), (80, 24), (140, 40)]
DAY = "2031-06-15"
WORDS = mapping_text(name="club recorder", start="2031-06-15T14:55:00Z", warmth=False)


@pytest.fixture
def card(tmp_path) -> Path:
    return written(tmp_path / "card.csv", flight_rows())


@pytest.fixture
def words(tmp_path) -> Path:
    path = tmp_path / "club.toml"
    path.write_text(WORDS, encoding="utf-8")
    return path


@pytest.fixture
def flown(busy_desk):
    """The flight that was recorded: off blocks 15:00, on blocks 15:33."""
    times = {"off_blocks": f"{DAY}T15:00Z", "takeoff": None, "landing": None, "on_blocks": f"{DAY}T15:33Z"}
    club.put(busy_desk.book, "flight", club.flight("REC", **times))
    return busy_desk


def kept(desk) -> list[dict]:
    return [row for _, row in Records(desk.book, "recording").select()]


async def pick(walker, aircraft: str) -> None:
    await walker.until(lambda: isinstance(walker.app.screen, PickBox))
    await walker.type(aircraft)
    await walker.press("enter")


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_it_is_looked_at_and_then_kept_beside_its_flight(flown, card, words, size) -> None:
    async with walk(flown, size) as walker:
        await open_import(walker, card, words)
        await walker.press("f2")
        await pick(walker, club.WATT)
        await walker.until(lambda: isinstance(walker.app.screen, RecordedLook))
        await walker.until("Nothing was written yet")
        assert "8.73 kWh measured of" in walker.flat
        assert kept(flown) == []
        await walker.press("f2")
        await walker.until("Kept beside 1 flight")
        await walker.press("escape")
        await walker.until("Kept beside 1 flight")
    assert [row["flight_id"] for row in kept(flown)] == ["REC"]
    assert mapping_for(flown.book, club.WATT).name == "club recorder"


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_a_mapping_the_book_knows_needs_not_be_named_but_from_when_seconds_count_is_asked(
    flown, card, size
) -> None:
    remember(flown.book, mapping(aircraft=club.WATT), club.WATT)
    late = datetime(2031, 6, 15, 22, tzinfo=UTC).timestamp()  # a time alone is of the day of the file
    os.utime(card, (late, late))
    async with walk(flown, size) as walker:
        await open_import(walker, card)
        await walker.until("a recording of the aeroplane, by a mapping the book knows")
        await walker.press("f2")
        await walker.until("When did the recording card.csv begin?")
        await walker.press("escape", "f2")
        await walker.until("When did the recording card.csv begin?")
        await walker.press(*"1455", "f2")
        await walker.until("Nothing was written yet")
        await walker.press("f2")
        await walker.until("Kept beside 1 flight")


async def test_a_flight_the_book_does_not_have_is_said_and_nothing_is_recorded(flown, card, words) -> None:
    words.write_text(WORDS.replace("14:55", "05:55"), encoding="utf-8")
    async with walk(flown) as walker:
        await open_import(walker, card, words)
        await walker.press("f2")
        await pick(walker, club.WATT)
        await walker.until("The book has no flight then")
        await walker.until("There is nothing to keep.")
        await walker.press("f2", "escape")
    assert kept(flown) == []


async def test_both_flights_of_a_card_are_kept(flown, words, tmp_path) -> None:
    times = {"off_blocks": f"{DAY}T15:50Z", "takeoff": None, "landing": None, "on_blocks": f"{DAY}T16:23Z"}
    club.put(flown.book, "flight", club.flight("REC2", **times))
    rows = flight_rows()
    twice = [*rows, *((row[0] + 3000, *row[1:]) for row in rows)]
    async with walk(flown) as walker:
        await open_import(walker, written(tmp_path / "day.csv", twice), words)
        await walker.press("f2")
        await pick(walker, club.WATT)
        await walker.until("F2 keeps it beside the flights")
        await walker.press("f2")
        await walker.until("Kept beside 2 flights")
    both = {row["flight_id"]: row for row in kept(flown)}
    assert set(both) == {"REC", "REC2"}
    for row in both.values():
        assert row["energy_kwh"] == pytest.approx(0.25 + 40 / 12 + 5 + 0.15, abs=0.05)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("[packs.front]", '[packs.front]\nserial_no = "GHOST"'), "The book knows no pack 'GHOST'"),
        (('column = "gs"', 'column = "TAS"'), "names the column 'TAS'"),
        (('unit = "kt"', 'unit = "knots"'), "'unit' is not one of"),
    ],
    ids=["pack", "column", "unit"],
)
async def test_what_is_wrong_is_said_beside_the_fields(flown, card, words, change, said) -> None:
    words.write_text(WORDS.replace(*change), encoding="utf-8")
    async with walk(flown) as walker:
        await open_import(walker, card, words)
        await walker.press("f2")
        await walker.pilot.pause(0.1)
        if isinstance(walker.app.screen, PickBox):
            await pick(walker, club.WATT)
        await walker.until(said)
    assert kept(flown) == []


async def test_the_aeroplane_that_had_other_packs_is_refused(flown, card, words) -> None:
    words.write_text(
        WORDS.replace("[packs.front]", f'[packs.front]\nserial_no = "{club.P1}"'), encoding="utf-8"
    )
    async with walk(flown) as walker:
        await open_import(walker, card, words)
        await walker.press("f2")
        await pick(walker, club.VOLT)
        await walker.until(f"was fitted in {club.WATT}")


async def test_a_track_is_sent_to_the_form(flown, tmp_path) -> None:
    (tmp_path / "one.gpx").write_text("<gpx/>")
    async with walk(flown) as walker:
        await open_import(walker, tmp_path / "one.gpx")
        await walker.until("a track: open Log a flight")
        await walker.press("f2")
        await walker.until("A track is taken beside the form")
