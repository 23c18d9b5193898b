"""Exports: everything in one list, a sensible place, nothing overwritten unasked, nothing half-written left."""

import zipfile
from pathlib import Path

import pytest

from logbook.services import export_list
from logbook.services.export_list import OFFERS
from logbook.services.watched import Stopped
from logbook.ui.screens.exports_form import ExportForm, export_form
from logbook.ui.widgets.choice_field import ChoiceField
from logbook.ui.widgets.entry_input import EntryInput
from tests import club
from tests.ui.walk import walk

SIZES = [(60, 20), (80, 24), (140, 40)]


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    home = tmp_path / "documents"
    home.mkdir()
    monkeypatch.setattr(export_list, "documents_folder", lambda: home)
    return home


async def open_form(walker, offer_id: str, which: str = "") -> ExportForm:
    walker.app.push_screen(export_form(walker.app.desk, offer_id, which))
    await walker.until(lambda: isinstance(walker.app.screen, ExportForm) and walker.app.screen.query("#to"))
    await walker.pilot.pause()
    return walker.app.screen


@pytest.mark.parametrize("size", SIZES)
async def test_everything_that_can_be_written_is_listed_with_what_it_is_for(busy_desk, size) -> None:
    async with walk(busy_desk, size, first="exports") as walker:
        await walker.until("Whole book")
        lines = walker.app.screen.query_one("LineList")._lines
        said = {line.head[0].text.strip(): line.body for line in lines if line.target}
        assert {offer.title: offer.about for offer in OFFERS}.items() <= said.items()
        assert {"Import", "Merge"} <= set(said)


async def test_the_list_is_whole_at_eighty_columns(busy_desk) -> None:
    async with walk(busy_desk, (80, 24), first="exports") as walker:
        await walker.until("Merge")
        assert "Whole book" in walker.text


@pytest.mark.parametrize(
    "offer", [offer for offer in OFFERS if offer.id != "plan"], ids=lambda offer: offer.id
)
async def test_each_of_them_is_written_to_the_place_that_is_proposed(busy_desk, offer, tmp_path) -> None:
    async with walk(busy_desk) as walker:
        screen = await open_form(walker, offer.id)
        proposed = Path(screen.query_one("#to", EntryInput).value)
        assert proposed.parent == tmp_path / "documents"
        await walker.press("f2")
        await walker.until(proposed.exists)
        await walker.until("opy is in" if offer.id == "backup" else "Written to")
    told = proposed.stat()  # noqa: ASYNC240 - the app is closed by now
    assert told.st_size > 0
    assert told.st_mode & 0o077 == 0
    assert [path.name for path in proposed.parent.iterdir()] == [proposed.name]


async def test_another_form_has_another_ending_unless_a_path_was_typed(busy_desk, tmp_path) -> None:
    async with walk(busy_desk) as walker:
        screen = await open_form(walker, "flights")
        screen.query_one("#form", ChoiceField).value = "xlsx"
        await walker.until("flights-2031-06-30.xlsx")
        mine = tmp_path / "mine"
        screen.query_one("#to", EntryInput).value = str(mine)
        screen.query_one("#form", ChoiceField).value = "csv"
        await walker.pilot.pause()
        assert screen.query_one("#to", EntryInput).value == str(mine)
        await walker.press("f2")
        await walker.until("Written to")
    assert (tmp_path / "mine.csv").read_text().startswith("flight_id,")


async def test_a_folder_is_enough(busy_desk, tmp_path) -> None:
    async with walk(busy_desk) as walker:
        screen = await open_form(walker, "packs")
        screen.query_one("#to", EntryInput).value = str(tmp_path)
        await walker.press("f2")
        await walker.until("Written to")
    assert (tmp_path / "packs-2031-06-30.csv").exists()


@pytest.mark.parametrize(
    ("answer", "kept", "files"), [("beside", True, 2), ("replace", False, 1), ("write noth", True, 1)]
)
async def test_nothing_is_overwritten_without_being_asked(busy_desk, tmp_path, answer, kept, files) -> None:
    there = tmp_path / "documents" / "mine.csv"
    there.write_text("precious")
    async with walk(busy_desk) as walker:
        screen = await open_form(walker, "flights")
        screen.query_one("#to", EntryInput).value = str(there)
        await walker.press("f2")
        await walker.until("is there already")
        await walker.type(answer)
        await walker.press("enter")
        if answer != "write noth":
            await walker.until("Written to")
    assert (there.read_text() == "precious") is kept
    assert len(list(there.parent.iterdir())) == files


async def test_a_pilot_s_pages_have_two_forms_and_three_kinds_of_file(busy_desk, tmp_path) -> None:
    async with walk(busy_desk) as walker:
        screen = await open_form(walker, "person-pages", club.BEN)
        assert screen.which == club.BEN
        screen.query_one("#layout", ChoiceField).value = "american"
        screen.query_one("#form", ChoiceField).value = "text"
        await walker.press("f2")
        await walker.until("Written to")
    (written,) = (tmp_path / "documents").iterdir()
    assert written.name == "record-Ben-Marsh-2031-06-30.txt"
    assert "61.51" in written.read_text()


async def test_the_whole_book_comes_out_as_a_package(busy_desk, tmp_path) -> None:
    async with walk(busy_desk) as walker:
        await open_form(walker, "package")
        await walker.press("f2")
        await walker.until("Written to")
    (written,) = (tmp_path / "documents").iterdir()
    assert {"flights.csv", "versions.csv", "datapackage.json"} <= set(zipfile.ZipFile(written).namelist())


async def test_escape_stops_the_work_and_nothing_half_written_stays(busy_desk, tmp_path, monkeypatch) -> None:
    import threading

    from logbook.services.exchange_desk import ExchangeDesk

    begun = threading.Event()

    def slow(_: ExchangeDesk, target, watch) -> None:
        target.write(b"half")
        begun.set()
        for _ in range(2000):
            watch.step("flights: 1,000 rows")
            threading.Event().wait(0.005)
        raise AssertionError("nobody stopped it")

    monkeypatch.setattr(ExchangeDesk, "_package", slow)
    async with walk(busy_desk) as walker:
        await open_form(walker, "package")
        await walker.press("f2")
        await walker.until(begun.is_set)
        await walker.until("Working: flights: 1,000 rows")
        await walker.press("escape")
        await walker.until("Stopped: nothing was written.")
        assert isinstance(walker.app.screen, ExportForm)
    assert list((tmp_path / "documents").iterdir()) == []


def test_a_stopped_export_of_the_command_kind_leaves_nothing_either(busy_desk, tmp_path) -> None:
    from logbook.services.watched import Watch

    watch = Watch()
    watch.stop()
    desk, offer = busy_desk.exchange, export_list.BY_ID["flights"]
    with pytest.raises(Stopped):
        desk.write(offer, "", offer.forms[0], tmp_path / "documents" / "f.csv", force=False, watch=watch)
    assert list((tmp_path / "documents").iterdir()) == []


async def test_what_cannot_be_written_is_said_beside_the_path(busy_desk, tmp_path) -> None:
    (tmp_path / "file").write_text("")
    async with walk(busy_desk) as walker:
        screen = await open_form(walker, "flights")
        screen.query_one("#to", EntryInput).value = str(tmp_path / "file" / "x.csv")
        await walker.press("f2")
        await walker.until("cannot be written")
        screen.query_one("#to", EntryInput).value = ""
        await walker.pilot.pause()
        await walker.press("f2")
        await walker.until("No place is named")


async def test_where_nothing_can_be_named_that_is_said(empty_desk) -> None:
    async with walk(empty_desk) as walker:
        await open_form(walker, "plan")
        await walker.until("There is nothing of that kind in the book yet.")
        await walker.press("f2")
        await walker.until("Which plan? Choose one.")


def test_the_screens_explain_themselves() -> None:
    from logbook.ui.help_text import blocks, page

    assert all(len(blocks(page(name))) >= 5 for name in ("exports", "import", "merge"))
