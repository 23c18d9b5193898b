"""A track beside the flight form: taken field by field, kept at once, nothing typed lost."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.services.add import add
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.typed_path import completed
from logbook.services.unfinished import entry_of
from logbook.ui.screens.flight import FlightScreen
from logbook.ui.screens.log_flight import LogFlightScreen
from logbook.ui.screens.log_flight_saved import SavedBox
from logbook.ui.screens.take_from import TakeFromScreen
from logbook.ui.widgets.pick_box import PickBox
from tests.services.club import club_book
from tests.track_pen import START, Pen
from tests.ui.screens.at_the_form import Keys, at_the_form

NOW = "2031-06-23T18:30Z"
"""An hour after the tracks of the pen."""
TAKEN = {
    "off_blocks": "1701", "takeoff": "1701", "landing": "1731", "on_blocks": "1731", "place_from": "Penfield",
    "place_to": "Penfield", "circuits": "0", "landings_day": "1",
}  # fmt: skip
"""By hand: it moves from 17:01:00 on and stops 1850 s later."""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    book = club_book(tmp_path / "club.logbook")
    add(book, "place", {"place": "Penfield", "latitude_deg": 45.0, "longitude_deg": 11.0})
    yield Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "drafts"))
    book.close()


@pytest.fixture
def one(tmp_path: Path) -> Path:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(100)
    return pen.write(tmp_path / "one.gpx")


def _values(screen: LogFlightScreen) -> dict[str, str]:
    return {name: text for name, (text, _) in screen.entry.typed().items()}


async def _lines(keys: Keys, screen: TakeFromScreen) -> None:
    await keys.until(lambda: bool(screen.lines))


async def test_all_empty_fields_are_taken_with_one_key_and_saved(desk: Desk, one: Path) -> None:
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        screen = await keys.read(one)
        await _lines(keys, screen)
        await keys("a")
        assert TAKEN.items() <= _values(form).items()
        assert {line.state for line in screen.lines} == {"same", "taken"}
        await keys("escape")
        assert keys.app.screen is form
        assert form.fields.by_name["off_blocks"].text == "1701"
        await keys("f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
    flight = desk.show("flight", form.entry.flight_id if form.entry else _newest(desk))
    assert (flight["off_blocks"], flight["on_blocks"]) == ("2031-06-23T17:01Z", "2031-06-23T17:31Z")
    assert {flight[f"{name}_source"] for name in ("off_blocks", "takeoff", "landing", "on_blocks")} == {
        "track"
    }
    assert flight["level_min"] == pytest.approx(20, abs=1)
    assert flight["readings"] == []


def _newest(desk: Desk) -> str:
    return str(desk.facts.last_flight("AB-1")["flight_id"])


async def test_what_is_typed_stays_until_its_own_line_is_taken_and_comes_back(desk: Desk, one: Path) -> None:
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        form.fields.by_name["off_blocks"].box.value = "1655"
        form.fields.by_name["circuits"].box.value = "0"
        await keys.pilot.pause()
        screen = await keys.read(one)
        await _lines(keys, screen)
        states = {line.name: line.state for line in screen.lines}
        assert (states["off_blocks"], states["circuits"]) == ("differs", "same")
        await keys("down")
        assert "6 min apart" in keys.text  # 17:01 against 16:55
        assert "1655" in keys.text
        await keys("a")
        assert _values(form)["off_blocks"] == "1655"
        assert _values(form)["takeoff"] == "1701"
        await keys("equals_sign")
        assert _values(form)["off_blocks"] == "1701"
        await keys("up", "f4")
        assert _values(form)["off_blocks"] == "1655"


async def test_escape_takes_nothing(desk: Desk, one: Path) -> None:
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        await _lines(keys, await keys.read(one))
        await keys("escape")
        assert form.entry.typed() == {}


async def test_what_was_taken_is_on_the_disk_before_the_form_is_seen_again(desk: Desk, one: Path) -> None:
    # a draft is what a killed program leaves; it is written with the key that takes, as with every key
    async with at_the_form(desk) as keys:
        screen = await keys.read(one)
        await _lines(keys, screen)
        await keys("a")
        (draft,) = desk.unfinished()
        kept = {name: text for name, (text, _) in entry_of(draft).values.items()}
        assert TAKEN.items() <= kept.items()


async def test_times_of_another_day_need_the_day_first(desk: Desk, tmp_path: Path) -> None:
    pen = Pen()
    pen.now -= 86_400
    pen.stay(60)
    pen.there_and_back()
    pen.stay(100)
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        screen = await keys.read(pen.write(tmp_path / "yesterday.gpx"))
        await _lines(keys, screen)
        await keys("a")
        assert "off_blocks" not in _values(form)
        assert "Take the day first" in keys.text
        await keys("enter")
        assert form.entry.day == "2031-06-22"
        await keys("a")
        assert TAKEN.items() <= _values(form).items()
        assert form.form.reader("off_blocks", form.entry.values)("1701").value == "2031-06-22T17:01Z"


async def test_a_flight_of_several_is_picked_and_another_can_be(desk: Desk, tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(600)
    pen.there_and_back(12)
    pen.stay(100)
    async with at_the_form(desk) as keys:
        screen = await keys.read(pen.write(tmp_path / "two.gpx"))
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        assert "holds 2 flights" in keys.text
        await keys("down", "enter")
        await _lines(keys, screen)
        assert screen.proposal.began == "2031-06-23T17:41Z"
        await keys("f5")
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        await keys("enter")
        await keys.until(lambda: screen.proposal.began == "2031-06-23T17:01Z")


async def test_a_flight_the_book_has_is_named_and_opened(desk: Desk, one: Path) -> None:
    add(desk.book, "flight", {
        "flight_id": "there", "aircraft": "AB-1", "off_blocks": "2031-06-23T16:59Z", "on_blocks": "2031-06-23T17:33Z",
        "pilot": "Ana Lind",
    })  # fmt: skip
    async with at_the_form(desk) as keys:
        screen = await keys.read(one)
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        assert "You have this flight already: AB-1 2031-06-23, 1659 to 1733 UTC, Ana Lind" in " ".join(
            keys.text.replace("▌", "").split()
        )
        await keys("down", "enter")
        await _lines(keys, screen)
        await keys("escape")
        await keys.read(one)
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        await keys("enter")
        await keys.until(lambda: isinstance(keys.app.screen, FlightScreen))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('<!DOCTYPE g [<!ENTITY a "ha">]><gpx version="1.1"><name>&a;</name></gpx>', "entities"),
        ("[bold]not a track", "not a GPX file"),
        ("", "not a GPX file"),
    ],
)
async def test_a_hostile_or_foreign_file_is_said_and_the_form_stays(
    desk: Desk, tmp_path: Path, text: str, said: str
) -> None:
    path = tmp_path / "[red]x[.gpx"
    path.write_text(text)
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        await keys.read(path)
        await keys.until(lambda: said in keys.text)
        await keys("escape")
        assert keys.app.screen is form


async def test_no_flight_no_file_and_a_folder_are_said(desk: Desk, tmp_path: Path) -> None:
    pen = Pen()
    pen.stay(600)
    async with at_the_form(desk) as keys:
        screen = await keys.read(pen.write(tmp_path / "still.gpx"))
        await keys.until(lambda: "was a flight" in keys.text)
        for path, words in (
            (tmp_path / "none.gpx", "no file at"),
            ("", "No file is named"),
            (tmp_path, "no file at"),
        ):
            screen.query_one("#path").value = str(path)
            await keys("enter")
            assert words in keys.text
        screen.query_one("#offset").box.value = "later"
        screen.query_one("#path").value = str(tmp_path / "still.gpx")
        await keys("f2")
        assert "Clock: minutes such as -2" in keys.text


async def test_a_clock_put_right_moves_the_times(desk: Desk, one: Path) -> None:
    async with at_the_form(desk) as keys:
        screen = await keys.read(one)
        await _lines(keys, screen)
        box = screen.query_one("#offset").box
        box.value = "-1:00"
        box.focus()
        await keys("enter")
        await keys.until(lambda: screen.proposal.offset_s == -3600)
        assert next(line.found for line in screen.lines if line.name == "off_blocks") == "1601"


async def test_tab_completes_and_the_folder_is_remembered(desk: Desk, one: Path, tmp_path: Path) -> None:
    async with at_the_form(desk) as keys:
        await _lines(keys, await keys.read(one))
        await keys("escape", "f7")
        box = keys.app.screen.query_one("#path")
        assert box.value == f"{tmp_path}/"
        await keys("o", "tab")
        assert box.value == str(one)
        await keys("tab")  # nothing left to complete: to the clock
        assert keys.app.focused is keys.app.screen.query_one("#offset").box


def test_a_path_is_completed_as_far_as_it_is_clear(tmp_path: Path) -> None:
    for name in ("flight-1.gpx", "flight-2.GPX", "flight.txt", ".hidden.gpx"):
        (tmp_path / name).touch()
    (tmp_path / "folder").mkdir()
    start = f"{tmp_path}/"
    assert completed(f"{start}fl", (".gpx",)) == (f"{start}flight-", ("flight-1.gpx", "flight-2.GPX"))
    assert completed(f"{start}fo", (".gpx",)) == (f"{start}folder/", ("folder/",))
    assert completed(f"{start}x", (".gpx",)) == (f"{start}x", ())
    assert completed(f"{start}.", (".gpx",)).names == (".hidden.gpx",)
    assert completed("/no/such/place/x", (".gpx",)).names == ()


@pytest.mark.parametrize("size", [(80, 24), (140, 40), (60, 20)], ids=str)
async def test_every_line_can_be_reached_at_every_size(desk: Desk, one: Path, size: tuple[int, int]) -> None:
    async with at_the_form(desk, size) as keys:
        screen = await keys.read(one)
        await _lines(keys, screen)
        for line in screen.lines:
            assert line.words in keys.text
            assert line.found in keys.text
            await keys("down")
        assert "a: all that are empty" in " ".join(keys.text.split())


async def test_a_flight_over_midnight_keeps_its_times(desk: Desk, tmp_path: Path) -> None:
    pen = Pen()
    pen.now = START + 6 * 3600 + 50 * 60 - 86_400  # 23:50 on the day before
    pen.stay(60)
    pen.there_and_back()
    pen.stay(100)
    async with at_the_form(desk) as keys:
        form = keys.app.screen
        screen = await keys.read(pen.write(tmp_path / "night.gpx"))
        await _lines(keys, screen)
        await keys("enter", "a")
        values = form.entry.values
        read = {
            name: form.form.reader(name, values)(values[name][0]).value for name in ("off_blocks", "landing")
        }
        assert read == {"off_blocks": "2031-06-22T23:51Z", "landing": "2031-06-23T00:21Z"}
        assert "landings_day" not in values
