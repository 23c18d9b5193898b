"""A charge is written down with few keys, and says when the packs are full."""

import asyncio
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.ui.app import LogbookApp
from logbook.ui.screens.charge_form import ChargeFormScreen
from logbook.ui.screens.charging import ChargingScreen
from logbook.ui.widgets.pick_box import PickBox
from logbook.ui.widgets.problem_box import ProblemBox
from tests.services.club import club_book
from tests.ui.screen_text import screen_text

NOW = "2031-05-08T15:00Z"  # after what is typed here: a time to come is doubted


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    book = club_book(tmp_path / "club.logbook")
    desk = Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))
    desk.strike("charge", "c1", "the tests enter it themselves")
    yield desk
    book.close()


class Typist:
    """Presses keys and counts them. A text counts a key for each letter."""

    def __init__(self, app: LogbookApp, pilot) -> None:
        self.app, self.pilot, self.count = app, pilot, 0

    async def __call__(self, *keys: str) -> None:
        for key in keys:
            single = [key] if key in NAMED else list(key)
            self.count += len(single)
            await self.pilot.press(*single)

    async def until(self, condition) -> None:
        for _ in range(200):
            if condition():
                return
            await self.pilot.pause(0.02)
        raise AssertionError(screen_text(self.app))

    async def to_form(self) -> ChargeFormScreen:
        await self.until(
            lambda: isinstance(self.app.screen, ChargeFormScreen) and self.app.screen.form is not None
        )
        await self.pilot.pause()
        return self.app.screen

    @property
    def text(self) -> str:
        return screen_text(self.app)


NAMED = {"enter", "escape", "tab", "f2", "f4", "f5", "f6"}


@asynccontextmanager
async def at_the_keys(desk: Desk, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Typist]:
    async with asyncio.timeout(60):
        app = LogbookApp(desk)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            yield Typist(app, pilot)


def session(desk: Desk) -> dict:
    (found,) = [row for row in desk.charging.sessions() if row["charge_id"] != "c1"]
    return found


async def test_a_charge_of_two_packs_on_one_meter_takes_at_most_35_keys(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys("c", "a")
        screen = await keys.to_form()
        assert "= 55 ?" in keys.text  # the landing charge, expected and not filled in
        await keys("1130", "enter", "+95", "enter", "9,4", "f5", "=", "97", "enter", "=", "96", "f2")
        await keys.until(lambda: isinstance(keys.app.screen, ChargingScreen))
        await keys.until(lambda: "55-97  53-96" in keys.text)
        assert keys.count <= 35
        assert screen.entry.closing is False
    row = session(desk)
    assert (row["started"], row["ended"], row["meter_kwh"]) == ("2031-05-08T11:30Z", "2031-05-08T13:05Z", 9.4)
    assert [(p["serial_no"], p["soc_start_pct"], p["soc_end_pct"]) for p in row["packs"]] == [
        ("P-101", 55, 97), ("P-102", 53, 96),
    ]  # fmt: skip
    assert desk.unfinished() == []


async def test_a_running_charge_is_saved_and_ended_later(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys("c", "a")
        await keys.to_form()
        await keys("1055", "f5", "=", "f2")
        await keys.until(lambda: "running since 10:55 UTC" in keys.text)
        await keys("a")
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        await keys("enter")
        screen = await keys.to_form()
        assert screen.entry.closing
        await keys("1230", "f2")
        await keys.until(lambda: isinstance(keys.app.screen, ChargingScreen))
    row = session(desk)
    assert row["ended"] == "2031-05-08T12:30Z"
    assert [pack["serial_no"] for pack in row["packs"]] == ["P-101"]  # nothing was typed of the other


async def test_may_it_be_charged_and_when_is_it_full_is_answered_in_words(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys("c")
        await keys.until(lambda: "Charge now?" in keys.text)
        assert "AB-1" in keys.text
        await keys("a")
        await keys.to_form()
        await keys.until(lambda: "Charge now?" in keys.text)


async def test_every_key_of_a_charge_is_offered_again(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys("c", "a")
        await keys.to_form()
        await keys("1130", "enter", "+9")
    async with at_the_keys(desk) as keys:
        await keys("c", "a")
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        assert "Go on: AB-1, charge of 2031-05-08" in keys.text
        await keys("enter")
        screen = await keys.to_form()
        assert screen.fields.by_name["ended"].text == "+9"
        await keys("escape")
        await keys.until(lambda: "an entry is unfinished" in keys.text)


@pytest.mark.parametrize(
    ("texts", "field", "words"),
    [
        ({}, "started", "needs the time it began"),
        ({"started": "1130"}, "P-101.soc_start_pct", "No pack was charged"),
        ({"started": "1130", "ended": "1100", "P-101.soc_end_pct": "97"}, "ended", "before 11:30"),
        ({"started": "1130", "P-101.soc_end_pct": "101"}, "P-101.soc_end_pct", "0 to 100 %"),
    ],
)
async def test_what_cannot_be_stays_in_its_field_and_is_not_saved(
    desk: Desk, texts, field: str, words: str
) -> None:
    async with at_the_keys(desk) as keys:
        await keys("c", "a")
        screen = await keys.to_form()
        for name, text in texts.items():
            screen.fields.by_name[name].box.value = text
        await keys.pilot.pause()
        await keys("f2")
        await keys.pilot.pause()
        assert keys.app.screen is screen
        assert "Not saved" in keys.text
        assert words in " ".join(keys.text.split())
        assert keys.app.focused is screen.fields.by_name[field].box
    assert [row["charge_id"] for row in desk.charging.sessions()] in ([], ["c1"])


async def test_a_session_is_opened_corrected_and_keeps_its_earlier_version(desk: Desk) -> None:
    desk.correct("charge", "c1", {"struck": 0}, why="the tests need it after all")
    async with at_the_keys(desk) as keys:
        await keys("c")
        await keys.until(lambda: "55-97" in keys.text)
        await keys("enter")
        await keys.until(lambda: "Pack P-102" in keys.text)
        await keys("e")
        screen = await keys.to_form()
        assert "Correct the charge of AB-1" in keys.text
        screen.fields.by_name["P-101.soc_end_pct"].box.value = "96"
        screen.fields.by_name["shared_energy_kwh"].box.value = ""
        await keys.pilot.pause()
        await keys("f2")
        await keys.until(lambda: "Earlier versions" in keys.text)
    shown = desk.show("charge", "c1")
    assert [(row["soc_end_pct"], row["shared_energy_kwh"]) for row in shown["packs"]] == [
        (96, None),
        (97, None),
    ]


@pytest.mark.parametrize("size", [(80, 24), (140, 40), (60, 20)])
async def test_list_and_form_fit_every_size(desk: Desk, size: tuple[int, int]) -> None:
    async with at_the_keys(desk, size) as keys:
        await keys("c")
        await keys.until(lambda: "Charge now?" in keys.text)
        await keys("a")
        screen = await keys.to_form()
        for name in screen.fields.order()[::3]:
            screen.go_to(name)
            await keys.pilot.pause()
            assert screen.query_one("#fields").region.contains_region(screen.fields.by_name[name].region), (
                name
            )


async def test_a_book_without_packs_says_what_to_do(tmp_path: Path) -> None:
    from logbook.store.database import Book

    book = Book.open(tmp_path / "empty.logbook", create=True)
    desk = Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))
    desk.add("aircraft", {"registration": "TUG-2"})
    async with at_the_keys(desk) as keys:
        await keys("c", "a")
        await keys.until(lambda: "add one in Setup" in keys.text)
    book.close()


async def test_what_somebody_else_changed_meanwhile_is_shown_and_not_overwritten(desk: Desk) -> None:
    desk.correct("charge", "c1", {"struck": 0}, why="needed after all")
    async with at_the_keys(desk) as keys:
        keys.app.open_record("charge", "c1")
        await keys.until(lambda: "Charge of P-101" in keys.text)
        await keys("e")
        form = await keys.to_form()
        desk.correct("charge", "c1", {"charger": "Mobile"}, why="another one")
        form.put({"price": ("4.2", "read")})
        await keys("f2")
        await keys.until(lambda: isinstance(keys.app.screen, ProblemBox))
        flat = " ".join(keys.text.split())
        assert "changed meanwhile" in flat
        assert "it was Wall and is Mobile now" in flat
        assert [row["price"] for row in desk.show("charge", "c1")["packs"]] == [None, None]
        await keys("escape")
        await keys.to_form()
        await keys("f2")
        await keys.until(lambda: not isinstance(keys.app.screen, ChargeFormScreen))
    rows = desk.show("charge", "c1")["packs"]
    assert [(row["charger"], row["price"]) for row in rows] == [("Mobile", 4.2), ("Mobile", 4.2)]
