"""A recording of the aeroplane beside the flight form: told from a track by itself, read by the mapping that is known, kept at once."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.services.add import add
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.recording_mappings import mapping_for, remember
from logbook.services.unfinished import entry_of
from logbook.store.records import Records
from logbook.ui.screens.form import FormScreen
from logbook.ui.screens.log_flight import LogFlightScreen
from logbook.ui.screens.log_flight_saved import SavedBox
from logbook.ui.screens.take_from import TakeFromScreen
from logbook.ui.widgets.pick_box import PickBox
from tests.recorder import dated, flight_rows, mapping, mapping_text, written
from tests.services.club import club_book
from tests.ui.screens.at_the_form import Keys, at_the_form

NOW = "2031-06-23T18:30Z"
SIZES = [(80, 24), (60, 20)]
START = "2031-06-23T17:00:00Z"
SECONDS = {"column": "t", "as": "seconds", "start": None}
TOML = mapping_text(name="club recorder").replace('as = "seconds"', 'as = "iso"')
TAKEN = {
    "off_blocks": "1705", "takeoff": "1710", "landing": "1734", "on_blocks": "1738",
    "P-101.soc_departure_pct": "90", "P-101.soc_landing_pct": "57", "P-101.temp_max_c": "30",
}  # fmt: skip
"""By hand, from what `recorder.flight_rows` writes: 5 min on blocks, 5 of taxi, 25 in the air, 3 of taxi; 1 % a minute."""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    book = club_book(tmp_path / "club.logbook")
    yield Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "drafts"))
    book.close()


@pytest.fixture
def card(tmp_path: Path) -> Path:
    return written(tmp_path / "card.csv", dated(flight_rows(), START))


@pytest.fixture
def counting(tmp_path: Path) -> Path:
    """The same from a recorder that counts seconds."""
    return written(tmp_path / "card.csv", flight_rows())


@pytest.fixture
def words(tmp_path: Path) -> Path:
    path = tmp_path / "club.toml"
    path.write_text(TOML, encoding="utf-8")
    return path


def known(desk: Desk, aircraft: str = "AB-1", **changes) -> None:
    """The book has read a recording by this mapping before."""
    time = {"column": "t", "as": "iso", "start": None}
    remember(desk.book, mapping(**({"name": "club recorder", "time": time} | changes)), aircraft)


def values(form: LogFlightScreen) -> dict[str, str]:
    return {name: text for name, (text, _) in form.entry.typed().items()}


def recordings(desk: Desk) -> list[dict]:
    return [row for _, row in Records(desk.book, "recording").select()]


def flat(keys: Keys) -> str:
    return " ".join(keys.text.replace("▌", "").split())


async def lines(keys: Keys, screen: TakeFromScreen) -> None:
    await keys.until(lambda: bool(screen.lines))


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_the_mapping_used_last_reads_it_and_it_is_kept_as_the_flight_is_saved(desk, card, size) -> None:
    known(desk)
    async with at_the_form(desk, size) as keys:
        form = keys.app.screen
        screen = await keys.read(card)
        await lines(keys, screen)
        assert screen.query_one("#mapping").value == "club recorder"
        assert "Kept beside the flight when that is saved" in flat(keys)
        assert screen.proposal.notes == ("Not on it, nor in its energy: P-102.",)
        for line in screen.lines:
            assert line.words in keys.text
            await keys("down")
        await keys("a")
        assert TAKEN.items() <= values(form).items()
        assert form.entry.values["P-101.soc_landing_pct"][1] == "recorder"
        assert recordings(desk) == []
        await keys("escape", "f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
        assert "The recording card.csv is kept beside it: 8.73 kWh measured of P-101." in flat(keys)
    (kept,) = recordings(desk)
    flight = desk.show("flight", kept["flight_id"])
    assert (flight["off_blocks"], flight["landing"]) == ("2031-06-23T17:05Z", "2031-06-23T17:34Z")
    assert (flight["off_blocks_source"], flight["landing_source"]) == ("recorder", "recorder")
    front = next(reading for reading in flight["readings"] if reading["serial_no"] == "P-101")
    assert (front["soc_landing_pct"], front["source"]) == (57, "recorder")
    assert {row["counts"] for row in flight["derived"]["beside"]} <= {"both", "recorded", "neither"}
    assert kept["at_least"] == 0


async def test_one_line_is_taken_with_one_key_and_put_back_with_it(desk, card) -> None:
    known(desk)
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        screen = await keys.read(card)
        await lines(keys, screen)
        await keys("down", "enter")
        assert values(form) == {"off_blocks": "1705"}
        assert len(form.entry.recordings) == 1
        await keys("up", "f4")
        assert values(form) == {}
        assert form.entry.recordings == ()


async def test_looking_at_a_recording_keeps_nothing(desk, card) -> None:
    known(desk)
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        await lines(keys, await keys.read(card))
        await keys("escape")
        assert (form.entry.typed(), form.entry.recordings) == ({}, ())


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_without_a_mapping_one_is_asked_for_and_known_from_then_on(desk, card, words, size) -> None:
    async with at_the_form(desk, size) as keys:
        screen = await keys.read(card)
        await keys.until(lambda: "No recording of AB-1 was read yet" in flat(keys))
        assert "Name a mapping file" in flat(keys)
        box = screen.query_one("#mapping")
        assert keys.app.focused is box
        box.value = str(words)
        await keys("enter")
        await lines(keys, screen)
        await keys("a", "escape", "f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
    found = mapping_for(desk.book, "AB-1")
    assert found is not None
    assert found.name == "club recorder"


async def test_of_those_that_fit_one_is_chosen_and_those_that_do_not_are_not_offered(desk, card) -> None:
    known(desk, "AB-2")
    known(desk, "AB-2", name="other columns", speed={"column": "TAS"})
    async with at_the_form(desk) as keys:
        screen = await keys.read(card)
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        assert "No recording of AB-1 was read yet" in flat(keys)
        assert "other columns" not in keys.text
        await keys("enter")
        await lines(keys, screen)
        assert screen.proposal.recording.mapping.name == "club recorder"


async def test_another_mapping_can_be_chosen_for_what_was_read(desk, card) -> None:
    known(desk, name="rear seat", packs={"rear": {"soc": "soc"}, "front": {"soc": "temp"}})
    known(desk)
    async with at_the_form(desk) as keys:
        screen = await keys.read(card)
        await lines(keys, screen)
        await keys("f7")
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        await keys(*"rear", "enter")
        await keys.until(lambda: any(line.name == "P-102.soc_landing_pct" for line in screen.lines))


async def test_a_mapping_of_another_aeroplane_is_refused(desk, card, words) -> None:
    words.write_text('aircraft = "AB-9"\n' + TOML, encoding="utf-8")
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        screen = await keys.read(card)
        await keys.until(lambda: "Name a mapping file" in flat(keys))
        screen.query_one("#mapping").value = str(words)
        await keys("enter")
        await keys.until(lambda: "is of AB-9; the flight is of AB-1" in flat(keys))
        await keys("escape")
        assert form.entry.typed() == {}


async def test_a_pack_that_was_fitted_elsewhere_shows_that_it_is_another_aeroplanes(desk, card) -> None:
    add(desk.book, "aircraft", {"registration": "AB-9", "type": "Two-seater", "positions": ["front"]})
    add(desk.book, "pack", {"serial_no": "P-900", "nominal_kwh": 11})
    add(desk.book, "installation", {
        "serial_no": "P-900", "aircraft": "AB-9", "position": "front", "fitted": "2031-01-01T08:00Z",
    })  # fmt: skip
    known(desk, packs={"front": {"soc": "soc", "serial_no": "P-900"}})
    async with at_the_form(desk) as keys:
        await keys.read(card)
        await keys.until(lambda: "'P-900' was fitted in AB-9" in flat(keys))


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a photograph\n", "neither a track nor a recording"),
        (b"\x89PNG,\x00\x01\x02", "neither a track nor a recording"),
        (b"", "neither a track nor a recording"),
        (b"t,alt,gs,soc,kw,temp\n1,2\n3,4\n", "2 cells, but the header has 6"),
        (b"t,alt,gs,soc,kw,temp\n", "only 0 of 0 rows"),
        (b"<kml>,</kml", "not a GPX file"),
        (b"other,columns\n1,2\n", "has other columns than the mapping 'club recorder'"),
        (
            b"t,alt,gs,soc,kw,temp\n2031-06-23T17:00:01Z,2,3,[red]700[/],5,6\n2031-06-23T17:00:02Z,2,3,80,5,6\n",
            "[red]700[/]",
        ),
    ],
    ids=["words", "picture", "nothing", "ragged", "no rows", "xml", "other columns", "no number"],
)
async def test_what_is_no_recording_is_said_and_the_form_stays(desk, tmp_path, content, said, size) -> None:
    known(desk)
    path = tmp_path / "[bold]x.csv"
    path.write_bytes(content)
    async with at_the_form(desk, size) as keys:
        form = keys.app.screen
        await keys.read(path)
        await keys.until(lambda: said in flat(keys))
        await keys("escape")
        assert keys.app.screen is form
        assert form.entry.typed() == {}


async def test_a_track_is_seen_from_what_it_holds_whatever_it_is_called(desk, tmp_path) -> None:
    path = tmp_path / "track.csv"
    path.write_text('<?xml version="1.0"?><gpx version="1.1"></gpx>')
    async with at_the_form(desk) as keys:
        await keys.read(path)
        await keys.until(lambda: "holds no track with times" in flat(keys))


@pytest.mark.parametrize("size", SIZES, ids=str)
async def test_of_a_recorder_that_counts_seconds_it_is_asked_from_when(desk, counting, size) -> None:
    known(desk, time=SECONDS)
    async with at_the_form(desk, size) as keys:
        form = keys.app.screen
        screen = await keys.read(counting)
        await keys.until(lambda: isinstance(keys.app.screen, FormScreen))
        assert "When did the recording card.csv begin?" in flat(keys)
        await keys(*"1700")
        assert "2031-06-23 17:00" in flat(keys)
        await keys("f2")
        await lines(keys, screen)
        box = screen.query_one("#offset").box
        for text, found in (("-1:00", "1605"), ("0", "1705")):  # the clock put right: it is not asked again
            box.value = text
            box.focus()
            await keys("enter")
            await keys.until(lambda found=found: screen.lines[1].found == found)
        await keys("a")
        assert TAKEN.items() <= values(form).items()
    (draft,) = desk.unfinished()  # killed: it is read again from the moment that was said
    entry = entry_of(draft)
    saved = desk.save_flight(desk.flight_form(entry), entry.values, entry.flight_id, open_only=False)
    (said,) = desk.exchange.keep_recordings(saved.flight_id, entry.recordings, {})
    assert said.startswith("The recording card.csv is kept beside it: ")
    assert recordings(desk)[0]["started"] == "2031-06-23T17:00Z"


async def test_whoever_does_not_know_when_it_began_leaves_with_nothing_taken(desk, counting) -> None:
    known(desk, time=SECONDS)
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        screen = await keys.read(counting)
        await keys.until(lambda: isinstance(keys.app.screen, FormScreen))
        await keys("f2")
        assert "Time of second 0 is needed" in flat(keys)
        await keys(*"now", "f2")
        assert "when it began, not now" in flat(keys)
        await keys("escape")
        assert keys.app.screen is screen
        assert screen.lines == []
        await keys("escape")
        assert form.entry.typed() == {}


async def test_a_recording_of_another_day_needs_the_day_first(desk, tmp_path) -> None:
    known(desk)
    card = written(tmp_path / "card.csv", dated(flight_rows(), "2031-06-21T17:00:00Z"))
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        await lines(keys, await keys.read(card))
        await keys("a")
        assert "off_blocks" not in values(form)
        assert "Take the day first" in keys.text
        await keys("enter", "a")
        assert form.entry.day == "2031-06-21"
        assert TAKEN.items() <= values(form).items()


async def test_the_clock_put_right_goes_before_that_of_the_mapping(desk, card) -> None:
    known(desk, time={"column": "t", "as": "iso", "start": None, "clock_offset_s": 120})
    async with at_the_form(desk) as keys:
        screen = await keys.read(card)
        await lines(keys, screen)
        assert screen.lines[1].found == "1707"
        box = screen.query_one("#offset").box
        for text, found in (("-1:00", "1605"), ("0", "1705")):
            box.value = text
            box.focus()
            await keys("enter")
            await keys.until(lambda found=found: screen.lines[1].found == found)


async def test_a_card_with_two_flights_asks_which_and_keeps_that_part(desk, tmp_path) -> None:
    rows = flight_rows()
    later = ((row[0] + 3000, *row[1:]) for row in rows)  # ten minutes without rows between them
    twice = dated([*rows, *later], START)
    known(desk)
    async with at_the_form(desk) as keys:
        screen = await keys.read(written(tmp_path / "day.csv", twice))
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        assert "holds 2 flights" in keys.text
        await keys("down", "enter")
        await lines(keys, screen)
        await keys("a", "escape", "f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
    (kept,) = recordings(desk)
    flight = desk.show("flight", kept["flight_id"])
    assert (flight["off_blocks"], flight["on_blocks"]) == ("2031-06-23T17:55Z", "2031-06-23T18:28Z")
    assert kept["energy_kwh"] == pytest.approx(0.25 + 40 / 12 + 5 + 0.15, abs=0.05)
    assert kept["interval_s"] == pytest.approx(1, abs=0.01)


async def test_after_the_program_was_killed_the_draft_still_leads_to_the_recording(desk, card) -> None:
    known(desk)
    async with at_the_form(desk) as keys:
        await lines(keys, await keys.read(card))
        await keys("a")
    (draft,) = desk.unfinished()
    entry = entry_of(draft)
    saved = desk.save_flight(desk.flight_form(entry), entry.values, entry.flight_id, open_only=False)
    (said,) = desk.exchange.keep_recordings(saved.flight_id, entry.recordings, {})
    assert said.startswith("The recording card.csv is kept beside it: ")
    assert len(recordings(desk)) == 1


@pytest.mark.parametrize("change", ["gone", "other"])
async def test_a_file_that_is_gone_or_another_by_then_is_said_and_the_flight_is_saved(
    desk, card, change
) -> None:
    known(desk)
    async with at_the_form(desk) as keys:
        await lines(keys, await keys.read(card))
        await keys("a")
        (draft,) = desk.unfinished()
        entry = entry_of(draft)
        if change == "gone":
            card.unlink()
        else:
            written(card, flight_rows()[:2000])
        (said,) = (
            desk.exchange.keep_recordings(
                desk.save_flight(desk.flight_form(entry), entry.values, entry.flight_id, open_only=False).flight_id,
                entry.recordings,
                {},
            )
        )  # fmt: skip
    assert said.startswith("! The recording card.csv is not kept beside it: ")
    assert recordings(desk) == []
    assert desk.show("flight", entry.flight_id)["landing"] == "2031-06-23T17:34Z"
