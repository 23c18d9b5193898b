"""Setup: a book begins with a short form, and everything it is about can be entered, opened and changed later."""

import pytest

from logbook.ui.screens.form import FormScreen
from logbook.ui.screens.record import RecordScreen
from logbook.ui.screens.setup_list import SetupList
from logbook.ui.widgets.line_list import LineList
from logbook.ui.widgets.pick_box import PickBox
from tests import club
from tests.ui.walk import walk


async def choose(walker, target) -> None:
    lines = walker.app.screen.query_one(LineList)
    for _ in range(40):
        if lines.target == target:
            break
        lines.action_move(1)
    assert lines.target == target
    await walker.press("enter")
    await walker.pilot.pause()


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_an_empty_book_asks_how_to_begin(empty_desk, size) -> None:
    async with walk(empty_desk, size, sample_offered=True) as walker:
        await walker.until("How do you want to begin?")
        for words in ("Begin a book", "Look at the sample", "Look around first"):
            assert words in walker.text


async def test_the_first_form_makes_a_book_one_can_fly_with(empty_desk) -> None:
    async with walk(empty_desk) as walker:
        await walker.press("enter")
        await walker.until("A new logbook")
        await walker.press(*"Ada", "f6", *"X-OHM", "f6", *"front; rear", "enter", *"L1; L2", "f2")
        await walker.until("X-OHM is in the book")
        assert "· Ada ·" in walker.text.splitlines()[1]
    assert empty_desk.facts.fitted_now("X-OHM") == [("L1", "front"), ("L2", "rear")]


async def test_what_an_empty_field_means_is_said_while_one_is_in_it(empty_desk) -> None:
    async with walk(empty_desk) as walker:
        await walker.press("enter")
        await walker.until("A new logbook")
        assert "Left empty, entries carry no name" in walker.flat
        walker.app.screen._boxes["soh_zero_fraction"].focus()
        await walker.until("What does SOH 0 mean in your manual?")
        assert walker.app.screen._boxes["soh_zero_fraction"].expected == ""


async def test_what_is_wrong_in_the_lowest_field_one_sees_is_seen_too(empty_desk) -> None:
    async with walk(empty_desk, (80, 24)) as walker:
        await walker.press("enter")
        await walker.until("A new logbook")
        await walker.press(*["tab"] * 8)
        await walker.type("32 of May")
        await walker.press("enter")
        await walker.until("! a day such as")


async def test_looking_around_first_writes_nothing_and_setup_begins_later(empty_desk) -> None:
    async with walk(empty_desk) as walker:
        await walker.press("escape")
        await walker.until("no flight yet")
        await walker.press("s")
        await walker.until("This book is empty")
        await choose(walker, ("begin", ""))
        assert isinstance(walker.app.screen, PickBox)
    assert empty_desk.is_empty()


async def test_the_sample_is_what_the_app_ends_with(empty_desk) -> None:
    from logbook.ui.screens.first_start import OPEN_SAMPLE

    async with walk(empty_desk, sample_offered=True) as walker:
        await walker.press("down", "enter")
        assert walker.app.return_value == OPEN_SAMPLE


@pytest.mark.parametrize(
    "kind", ["aircraft", "pack-type", "pack", "installation", "person", "person-item", "place"]
)
async def test_every_list_opens_its_records_and_can_add(busy_desk, kind) -> None:
    async with walk(busy_desk, first="setup") as walker:
        await choose(walker, ("kind", kind))
        assert isinstance(walker.app.screen, SetupList)
        assert walker.app.screen.query_one(LineList).target[0] == kind
        await walker.press("a")
        await walker.until(lambda: isinstance(walker.app.screen, FormScreen | PickBox))


async def test_a_record_is_corrected_struck_out_and_shows_its_versions(busy_desk) -> None:
    async with walk(busy_desk, first="setup") as walker:
        walker.app.open_record("place", club.MOSS)
        await walker.until("Place: Mosswick")
        await walker.press("e")
        await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
        walker.app.screen._boxes["elevation_ft"].box.value = "410"
        await walker.pilot.pause()
        await walker.press("f2")
        await walker.until("elevation was unknown, became 410")
        assert "Elevation 410 ft" in walker.flat
        await walker.press("d")
        await walker.until("Strike it out: why?")
        await walker.type("closed")
        await walker.press("enter")
        await walker.until("Struck out: it counts nowhere")
        assert isinstance(walker.app.screen, RecordScreen)


async def test_packs_are_swapped_in_one_step(busy_desk) -> None:
    async with walk(busy_desk, first="setup") as walker:
        await choose(walker, ("kind", "installation"))
        await walker.press("a", *"swap", "enter")
        await walker.until("First pack")
        walker.app.screen._boxes["first"].box.value = club.P1
        walker.app.screen._boxes["second"].box.value = club.P3
        await walker.pilot.pause()
        await walker.press("f2")
        await walker.until(lambda: isinstance(walker.app.screen, SetupList))
    assert busy_desk.facts.fitted_now(club.WATT)[0] == (club.P3, "front")


async def test_the_look_changes_at_once_and_is_kept(busy_desk) -> None:
    async with walk(busy_desk, first="setup") as walker:
        await choose(walker, ("theme", ""))
        await walker.press(*"light", "enter")
        await walker.until(lambda: walker.app.theme == "logbook-light")
    assert busy_desk.setting("theme") == "logbook-light"


async def test_clock_and_signs_are_kept(busy_desk) -> None:
    async with walk(busy_desk, first="setup") as walker:
        await choose(walker, ("clock", ""))
        await walker.press(*"local", "enter")
        await choose(walker, ("ascii", ""))
        await walker.press(*"plain", "enter")
        await walker.until("plain letters")
    assert busy_desk.setting("clock") == "local"
    assert busy_desk.setting("ascii") is True


async def test_a_changed_band_is_used_for_every_flight_and_can_be_taken_back(busy_desk) -> None:
    def apart() -> bool:
        busy_desk.today()
        return any(flag["rule"] == "packs_apart" for flag in busy_desk.show("flight", "LOW")["flags"])

    assert apart()
    async with walk(busy_desk, first="setup") as walker:
        for text, count in (("30", 1), ("-", 0)):
            await choose(walker, ("bands", ""))
            await walker.until("When rules speak")
            walker.app.screen._boxes["apart_landing_pct"].box.value = text
            await walker.pilot.pause()
            await walker.press("f2")
            await walker.until("1 changed" if count else "as usual")
            assert apart() is (count == 0)


async def test_the_bands_of_charges_stand_below_those_of_flights(busy_desk) -> None:
    club.put(
        busy_desk.book, "charge", club.charge("LONG", club.P1, "2031-06-16T08:00Z", ended="2031-06-16T20:00Z")
    )

    def too_long() -> bool:
        return any(flag["rule"] == "charge_long" for flag in busy_desk.show("charge", "LONG")["flags"])

    assert not too_long()
    async with walk(busy_desk, first="setup") as walker:
        for text, count in (("10", 1), ("-", 0)):
            await choose(walker, ("bands", ""))
            await walker.until("When rules speak")
            await walker.press("f6")  # the next part of the form
            assert "Charges" in walker.flat
            walker.app.screen._boxes["longest_h"].box.value = text
            await walker.pilot.pause()
            await walker.press("f2")
            await walker.until("1 changed" if count else "as usual")
            assert too_long() is (count == 1)
    assert busy_desk.setting("charge_bands") == {}


async def test_a_backup_says_where_it_is(busy_desk) -> None:
    async with walk(busy_desk, first="setup") as walker:
        await choose(walker, ("backup", ""))
        await walker.until("A verified copy is in")
    assert list(busy_desk.book.path.with_name("book.logbook.backups").iterdir())


async def test_a_backup_that_fails_is_said_in_a_box(busy_desk, monkeypatch) -> None:
    from logbook.errors import FileTrouble

    def full(_desk):
        raise FileTrouble("The disk is full.", next_step="Make room.")

    monkeypatch.setattr(type(busy_desk), "back_up", full)
    async with walk(busy_desk, first="setup") as walker:
        await choose(walker, ("backup", ""))
        await walker.until("The disk is full.")


async def test_units_are_chosen_with_digits_and_the_next_form_asks_in_them(busy_desk) -> None:
    async with walk(busy_desk, (80, 24)) as walker:
        await walker.press("s")
        await walker.until("kg °C NM h:mm")
        await choose(walker, ("units", ""))
        await walker.until("Units in which figures are shown and typed")
        await walker.press("2", "enter", "2", "enter", "2", "enter", "3", "f2")
        await walker.until("lb °F km h")
    assert busy_desk.measures == ("lb", "°F", "km", "h")
    form = busy_desk.flight_form(busy_desk.begin_flight(club.WATT))
    assert next(field.unit for field in form.fields if field.name == "mass_kg") == "lb"


async def test_lists_show_flight_times_as_chosen_and_name_the_unit(busy_desk) -> None:
    busy_desk.keep_measures({"duration": "h"})
    async with walk(busy_desk, (80, 24)) as walker:
        await walker.press("f")
        await walker.until("block 3.33 h")
        assert "Block h" in walker.text
        assert "0.67" in walker.text
