"""The book of flights: any number, narrowed and in any order, and what is narrowed is said."""

import re
from array import array

import pytest

from logbook.services.correct import correct
from logbook.services.flight_rows import FlightFilter
from logbook.ui.screens import flights as flights_module
from logbook.ui.screens.flights import FlightsScreen
from logbook.ui.widgets.record_table import RecordTable
from tests import club
from tests.ui.walk import walk

ALL = 6


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_the_list_its_filter_and_its_totals_are_seen(busy_desk, size) -> None:
    async with walk(busy_desk, size, first="flights") as walker:
        await walker.until(f"{ALL} flights ·")
        assert "All flights" in walker.text
        assert "2031-06-20" in walker.text
        assert "block 3:20 h · air 2:30 h · 5 landings" in walker.flat


async def test_totals_are_said_to_be_pending_until_they_are_there(busy_desk, monkeypatch) -> None:
    monkeypatch.setattr(FlightsScreen, "ask", lambda *_: None)
    async with walk(busy_desk, first="flights") as walker:
        assert "Totals: working …" in walker.text


async def test_the_first_page_is_painted_before_the_number_is_known(busy_desk, monkeypatch) -> None:
    monkeypatch.setattr(flights_module, "FIRST_PAGE", 3)
    asked = []
    monkeypatch.setattr(
        FlightsScreen, "ask", lambda _, topic, question, then: asked.append((topic, question, then))
    )
    async with walk(busy_desk, first="flights") as walker:
        table = walker.app.screen.query_one(RecordTable)
        assert (table.row_count, table.complete) == (3, False)
        assert "more rows are being read" in walker.text
        (_, question, then) = next(item for item in asked if item[0] == "ids")
        then(question(busy_desk))
        assert (table.row_count, table.complete) == (ALL, True)


async def find(walker, **texts: str) -> None:
    await walker.press("i")
    await walker.until("Find flights")
    for name, text in texts.items():
        walker.app.screen._boxes[name].box.value = text
    await walker.press("f2")
    await walker.until(lambda: isinstance(walker.app.screen, FlightsScreen))


@pytest.mark.parametrize(
    ("texts", "said", "number"),
    [
        ({"text": "[bold]"}, "with '[bold]'", 3),
        ({"person": "ben"}, club.BEN, 1),
        ({"aircraft": "x-v"}, club.VOLT, 2),
        ({"since": "2031-06-01", "until": "2031-06-20"}, "from 2031-06-01 · to 2031-06-20", 2),
        ({"flag": "below the reserve"}, "flag: landed below the reserve", 1),
        ({"kind": "circ"}, "circuits", 1),
        ({"struck": "y"}, "struck out", 0),
    ],
)
async def test_each_field_narrows_the_list_and_is_said(busy_desk, texts, said, number) -> None:
    async with walk(busy_desk, first="flights") as walker:
        await find(walker, **texts)
        await walker.until(f"Narrowed to {said}")
        await walker.until("1 flight ·" if number == 1 else f"{number} flights ·")
        await walker.press("escape")
        await walker.until(f"{ALL} flights ·")
        assert "[Flights]" in walker.text


async def test_a_wrong_name_stays_in_the_form_and_is_explained(busy_desk) -> None:
    async with walk(busy_desk, first="flights") as walker:
        await walker.press("i")
        await walker.until("Find flights")
        walker.app.screen._boxes["person"].box.value = "Zorro"
        await walker.press("f2")
        await walker.until("no person of that name")
        assert walker.app.screen._boxes["person"].text == "Zorro"


async def test_nothing_found_says_how_to_go_on(busy_desk) -> None:
    async with walk(busy_desk, first="flights") as walker:
        walker.app.screen._narrow(FlightFilter(text="nowhere"))
        await walker.until("Esc shows all")
        assert "No flight is like this" in walker.text


async def test_another_order_begins_at_its_first_row(busy_desk) -> None:
    async with walk(busy_desk, first="flights") as walker:
        await walker.press("j")
        await walker.until("In which order?")
        await walker.press(*"charge left", "enter")
        await walker.until("by charge left after landing")
        table = walker.app.screen.query_one(RecordTable)
        first = walker.text.splitlines()[4]
        assert "2031-06-20" in first  # landed with least
        assert table.cursor == 0


async def test_beside_the_list_stands_the_flight_under_the_cursor(busy_desk) -> None:
    async with walk(busy_desk, (140, 40), first="flights") as walker:
        await walker.press("down")
        await walker.until("12 min left")
        await walker.press("down")
        await walker.until("36 min left")


@pytest.mark.parametrize("size", [(80, 24), (118, 40)])
async def test_with_local_time_chosen_the_list_says_when_flights_began_on_the_clock_of_the_place(
    busy_desk, size
) -> None:
    correct(busy_desk.book, "place", club.FIELD, {"zone": "Europe/Rome"})
    busy_desk.set("clock", "local")
    async with walk(busy_desk, size, first="flights") as walker:
        await walker.until(f"{ALL} flights ·")
        assert " Local " in walker.text
        assert " UTC " not in walker.text
        assert re.search(r"2031-06-01 .*11:00", walker.text)  # 09:00Z, two hours ahead in summer


async def test_among_local_times_one_of_a_place_without_a_zone_stays_utc_and_says_so(busy_desk) -> None:
    busy_desk.set("clock", "local")
    async with walk(busy_desk, first="flights") as walker:
        await walker.until(f"{ALL} flights ·")
        assert "08:00Z" in walker.text


async def test_beside_a_flight_names_kinds_and_places_stand_whole_from_the_first_look(busy_desk) -> None:
    async with walk(busy_desk, (140, 40), first="flights") as walker:
        await walker.until(f"{ALL} flights ·")
        assert "Cleo Fenn" in walker.text
        assert "circuits" in walker.text
        assert "…" not in walker.text


async def test_a_narrow_window_has_no_room_for_it_and_asks_nothing(busy_desk) -> None:
    async with walk(busy_desk, (80, 24), first="flights") as walker:
        await walker.press("down")
        await walker.pilot.pause(0.3)
        assert not walker.app.screen.query_one("#beside").display


async def test_enter_opens_the_flight_and_escape_comes_back_to_its_row(busy_desk) -> None:
    async with walk(busy_desk, first="flights") as walker:
        await walker.press("down", "enter")
        await walker.until("Flight 2031-06-20")
        await walker.press("escape")
        await walker.until("All flights")
        assert walker.app.screen.query_one(RecordTable).cursor == 1


async def test_the_list_keeps_its_place_while_one_looks_elsewhere(busy_desk) -> None:
    async with walk(busy_desk, first="flights") as walker:
        await walker.press("down", "down", "t", "f")
        await walker.until("All flights")
        assert walker.app.screen.query_one(RecordTable).cursor == 2


async def test_a_late_answer_to_an_older_question_is_dropped(busy_desk) -> None:
    async with walk(busy_desk, first="flights") as walker:
        screen = walker.app.screen
        seen: list = []
        screen.ask("ids", lambda _: array("q", [1]), lambda _: seen.append("old"))
        screen.ask("ids", lambda _: array("q", [2]), lambda _: seen.append("new"))
        await walker.until(lambda: not screen.waiting)
        assert seen == ["new"]


async def test_an_empty_book_says_how_to_begin(club_desk) -> None:
    async with walk(club_desk, first="flights") as walker:
        assert "Log the first one with l" in walker.text
