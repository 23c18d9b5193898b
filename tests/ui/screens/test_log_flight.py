"""A flight is written down in under a minute, and no key that was pressed is ever lost."""

import asyncio
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from textual import events

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.flight_fields import MORE
from logbook.ui.app import LogbookApp
from logbook.ui.screens.log_flight import LogFlightScreen
from logbook.ui.screens.log_flight_saved import SavedBox
from logbook.ui.widgets.pick_box import PickBox
from logbook.ui.widgets.reading_text import Source
from logbook.ui.widgets.words_field import WordsArea, WordsField
from tests.services.club import NOW, club_book
from tests.ui.screen_text import screen_text

BEFORE = ["98", "enter", "=", "18", "enter", "97", "enter", "=", "19"]
"""Both packs: charge typed, health confirmed, temperature typed."""
AFTER_TIMES = ["0935", "enter", "+6", "enter", "+42", "enter", "+4", "enter"]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    book = club_book(tmp_path / "club.logbook")
    yield Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))
    book.close()


class Typist:
    """Presses keys and counts them. A text counts a key for each letter."""

    def __init__(self, app: LogbookApp, pilot) -> None:
        self.app, self.pilot, self.count = app, pilot, 0

    async def __call__(self, *keys: str) -> None:
        for key in keys:
            single = [key] if len(key) == 1 or key in NAMED else list(key)
            self.count += len(single)
            await self.pilot.press(*single)

    async def until(self, condition) -> None:
        for _ in range(200):
            if condition():
                return
            await self.pilot.pause(0.02)
        raise AssertionError(screen_text(self.app))

    async def to_form(self, *keys: str) -> LogFlightScreen:
        """Presses keys that lead to the form, and waits until one can type."""
        await self(*keys)
        await self.until(
            lambda: isinstance(self.app.screen, LogFlightScreen) and self.app.screen.form is not None
        )
        await self.pilot.pause()
        return self.app.screen

    async def put(self, **texts: str) -> None:
        """Puts texts into fields at once: for tests of something else than typing. `P101__soc` stands for `P-101.soc`."""
        fields = self.app.screen.fields.by_name
        for name, text in texts.items():
            fields[name.replace("P10", "P-10").replace("__", ".")].box.value = text
        await self.pilot.pause()

    @property
    def text(self) -> str:
        return screen_text(self.app)


NAMED = {
    "enter",
    "escape",
    "tab",
    "up",
    "down",
    "left",
    "right",
    "backspace",
    "f2",
    "f3",
    "f4",
    "f5",
    "f6",
    "shift+tab",
}


@asynccontextmanager
async def at_the_keys(
    desk: Desk, size: tuple[int, int] = (80, 24), seconds: float = 60
) -> AsyncIterator[Typist]:
    async with asyncio.timeout(seconds):
        app = LogbookApp(desk)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            yield Typist(app, pilot)


def value(screen: LogFlightScreen, name: str) -> tuple[str, str]:
    field = screen.fields.by_name[name]
    return field.text, str(field.source)


# -- under a minute ----------------------------------------------------------------------------------------------------


async def test_opening_before_start_takes_at_most_25_keys(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys.to_form("l")
        await keys("f5", "=", *BEFORE, "enter", "enter", "40", "f3")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
        assert keys.count <= 25
        await keys("enter")
        await keys.until(lambda: keys.app.screen.NAME == "today")
    flight = desk.show("flight", desk.facts.open_flights()[0]["flight_id"])
    assert (flight["state"], flight["pilot"], flight["kind"]) == ("open", "Ana Lind", "local")
    assert (flight["meter_start"], flight["mass_kg"], flight["pilot_estimate_soc_pct"]) == (412.3, 540, 40)
    assert [(r["serial_no"], r["soc_departure_pct"], r["soh_pct"], r["temp_departure_c"]) for r in flight["readings"]] == [
        ("P-101", 98, 91, 18), ("P-102", 97, 90, 19),
    ]  # fmt: skip


@pytest.mark.parametrize(("with_meter", "most"), [(True, 62), (False, 55)])
async def test_a_usual_flight_with_two_packs_takes_at_most_so_many_keys(
    desk: Desk, with_meter: bool, most: int
) -> None:
    if not with_meter:
        desk.correct("flight", "last", {"meter_start": None, "meter_end": None})
    async with at_the_keys(desk) as keys:
        await keys.to_form("l")
        await keys("f5", *(["="] if with_meter else []), *BEFORE, "f6")
        await keys(*AFTER_TIMES, "=", "enter", "=", "1500", "enter", "25", "enter")
        await keys(*(["413.1", "enter"] if with_meter else []))
        await keys("61", "enter", "41", "enter", "62", "enter", "40", "f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
        assert keys.count <= most
        text = keys.text
        assert "block 0:52" in text
        assert "air 0:42" in text
        assert "kWh/min" in text
    (flight,) = [f for f in (desk.show("flight", i) for i in ids(desk)) if f["flight_id"] != "last"]
    assert (flight["off_blocks"], flight["on_blocks"]) == ("2031-05-09T09:35Z", "2031-05-09T10:27Z")
    assert (flight["landings_day"], flight["climb_ft"], flight["level_min"]) == (1, 1500, 25)
    assert [(r["soc_landing_pct"], r["temp_max_c"]) for r in flight["readings"]] == [(61, 41), (62, 40)]


def ids(desk: Desk) -> list[str]:
    rows = desk.flights()
    from logbook.services.flight_rows import FlightFilter

    found = rows.ids(FlightFilter())
    return [line.flight_id for line in rows.rows(list(found)).values()]


async def test_closing_after_landing_is_offered_first_and_begins_at_off_blocks(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys.to_form("l")
        await keys("f5")
        await keys.put(P101__soc_departure_pct="98")
        await keys("f3")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
        await keys("enter", "l")
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        first = next(line for line in keys.text.splitlines() if "close it" in line)
        assert "AB-1 is out since 08:30 UTC: close it" in first
        screen = await keys.to_form("enter")
        await keys("0935")
        assert value(screen, "off_blocks") == ("0935", "read")
        assert value(screen, "P-101.soc_departure_pct") == ("98", "read")
        await keys.put(takeoff="+6", landing="+42", on_blocks="+4")
        await keys("f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
    assert desk.facts.open_flights() == []
    assert len(ids(desk)) == 2


# -- expected values ---------------------------------------------------------------------------------------------------


async def test_nothing_is_stored_that_was_not_typed_or_confirmed(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys("enter", "enter", "down", "tab", "f6", "f6", "f6")
        assert screen.entry.typed() == {}
        assert "= Ana Lind ?" in keys.text
        assert desk.drafts.offered() == []  # an untouched form leaves nothing behind


async def test_as_before_passes_over_a_mass_that_was_left_empty_before_too(desk: Desk) -> None:
    """Digits typed right after the key belong to the meter or a pack; in the mass they would be improbable."""
    desk.correct("flight", "last", {"mass_kg": None, "meter_start": None, "meter_end": None})
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys("f5", "98", "enter")
        assert value(screen, "P-101.soc_departure_pct") == ("98", "read")
        assert value(screen, "mass_kg") == ("", "empty")


async def test_a_dash_says_not_read_and_the_flight_is_saved(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        screen.go_to("P-101.soc_departure_pct")
        await keys("-")
        assert value(screen, "P-101.soc_departure_pct") == ("-", "not-read")
        await keys("f3")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
    (flight,) = desk.facts.open_flights()
    (reading,) = desk.show("flight", flight["flight_id"])["readings"]
    assert (reading["soc_departure_pct"], reading["source"]) == (None, "not-read")


# -- errors and doubts -------------------------------------------------------------------------------------------------


async def test_an_impossible_time_stays_in_its_field_and_is_not_saved(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys.put(off_blocks="0935")
        screen.go_to("takeoff")
        await keys("0930", "enter")
        assert screen.fields.by_name["takeoff"].refused
        assert "! before 09:35" in keys.text
        await keys("f2")
        await keys.pilot.pause()
        assert isinstance(keys.app.screen, LogFlightScreen)
        assert "Not saved" in keys.text
        assert keys.app.focused in screen.fields.by_name["takeoff"].query("EntryInput")
        await keys("backspace", "backspace", "41")
        assert not screen.fields.by_name["takeoff"].refused
    assert len(ids(desk)) == 1


async def test_a_doubtful_value_waits_for_its_confirming_key_and_is_named_after_saving(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys.put(pilot="ana", P101__temp_departure_c="88")
        await keys("f3")
        assert "improbable. Enter or ! in the field keeps it" in keys.text
        assert isinstance(keys.app.screen, LogFlightScreen)
        await keys("!", "f3")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
        assert "kept although improbable: Temp. 88 °C" in keys.text
        assert screen.entry is not None
    assert len(desk.facts.open_flights()) == 1


async def test_flags_are_said_in_words_with_a_sign_while_typing(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys.to_form("l")
        await keys.put(P101__soc_departure_pct="44")
        assert "‼ Departed with 44 % of pack P-101" in keys.text


# -- clocks, aeroplanes, days, outcomes ----------------------------------------------------------------------------------


async def test_the_clock_is_switched_without_moving_a_moment(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys.put(off_blocks="0935", takeoff="+6")
        await keys("f4")
        assert value(screen, "off_blocks") == ("1135", "read")
        assert "11:35 local 09:35Z" in keys.text
        assert "times in local time" in keys.text
        await keys("f4")
        assert value(screen, "off_blocks") == ("0935", "read")
        assert value(screen, "takeoff") == ("+6", "read")


async def test_changing_aeroplane_day_or_outcome_keeps_what_was_typed(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys.put(pilot="bert", off_blocks="0935")
        screen.query_one("#aircraft").value = "TUG-2"
        await keys.until(
            lambda: screen.form.choice.aircraft == "TUG-2" and "P-101.soh_pct" not in screen.fields.by_name
        )
        assert (value(screen, "pilot"), value(screen, "off_blocks")) == (("bert", "read"), ("0935", "read"))
        screen.query_one("#outcome").value = "aborted"
        await keys.until(lambda: "takeoff" not in screen.fields.by_name)
        assert value(screen, "off_blocks") == ("0935", "read")
        day = screen.query_one("#day")
        screen.set_focus(day.box)
        await keys("-1", "enter")
        await keys.until(lambda: screen.entry.day == "2031-05-08")
        await keys.pilot.pause()
        assert value(screen, "off_blocks") == ("0935", "read")
        assert "2031-05-08" in keys.text


async def test_an_aborted_flight_and_a_tug_without_packs_are_as_easy(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        screen.query_one("#aircraft").value = "TUG-2"
        await keys.until(lambda: screen.form.choice.aircraft == "TUG-2")
        assert not [name for name in screen.fields.by_name if "." in name]
        await keys.pilot.pause()
        screen.go_to("pilot")
        await keys.put(pilot="bert", off_blocks="0900", on_blocks="+9")
        await keys("f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
        assert "block 0:09" in keys.text
    assert len(ids(desk)) == 2


# -- a pile of paper slips -----------------------------------------------------------------------------------------------


async def test_after_saving_the_next_slip_keeps_aeroplane_and_date_and_f5_the_people_too(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        day = screen.query_one("#day")
        screen.set_focus(day.box)
        await keys("-1", "enter")
        await keys.until(lambda: screen.entry.day == "2031-05-08")
        await keys.pilot.pause()
        await keys("f5")
        await keys.put(off_blocks="1200", on_blocks="+30")
        await keys("f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
        first = screen.entry.flight_id
        await keys("f5")
        await keys.until(
            lambda: keys.app.screen is screen and screen.entry and screen.entry.flight_id != first
        )
        await keys.until(lambda: screen.entry.typed().get("pilot") is not None)
        assert (screen.entry.aircraft, screen.entry.day) == ("AB-1", "2031-05-08")
        assert value(screen, "pilot") == ("Ana Lind", "confirmed")
        assert value(screen, "off_blocks") == ("", "empty")


# -- nothing is lost -----------------------------------------------------------------------------------------------------


async def test_escape_loses_nothing_and_the_form_is_there_again(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys.put(pilot_estimate_soc_pct="40")
        await keys("escape")
        await keys.until(lambda: keys.app.screen.NAME == "today")
        await keys("l")
        await keys.until(lambda: keys.app.screen is screen)
        assert value(screen, "pilot_estimate_soc_pct") == ("40", "read")


async def test_another_start_offers_every_key_again_with_doubts_still_open(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys.to_form("l")
        await keys("f5", "=", "98", "enter", "enter", "88")
    async with at_the_keys(desk) as keys:
        await keys("l")
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        assert "Go on: flight of AB-1, 2031-05-09" in keys.text
        screen = await keys.to_form("enter")
        assert value(screen, "meter_start") == ("412.3", "confirmed")
        assert value(screen, "P-101.soc_departure_pct") == ("98", "read")
        assert value(screen, "P-101.temp_departure_c") == ("88", "read")
        assert screen.fields.by_name["P-101.temp_departure_c"].doubtful
    assert len(desk.unfinished()) == 1


async def test_an_unfinished_entry_can_be_thrown_away_and_only_in_two_steps(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys.to_form("l")
        await keys("bert")
    async with at_the_keys(desk) as keys:
        await keys("l")
        await keys.until(lambda: isinstance(keys.app.screen, PickBox))
        await keys("throw", "enter")
        await keys.until(lambda: "for good" in keys.text)
        assert len(desk.unfinished()) == 1
        screen = await keys.to_form("enter")
        assert screen.entry.typed() == {}
    assert desk.unfinished() == []


async def test_a_full_disk_for_drafts_is_told_and_typing_goes_on(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")

        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(desk.drafts, "keep", full)
        await keys.put(pilot="bert")
        assert keys.text.count("No space left on device") == 1
        assert value(screen, "pilot") == ("bert", "read")
        await keys.put(off_blocks="0935", on_blocks="+9")
        await keys("f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))


async def test_a_locked_book_is_told_in_a_box_and_the_entry_stays(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from logbook.errors import FileTrouble

    def locked(*_: object, **__: object) -> None:
        raise FileTrouble("Another program is writing to the book.", next_step="Try again in a moment.")

    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys("bert")
        monkeypatch.setattr(desk, "save_flight", locked)
        await keys("f3")
        await keys.until(lambda: "Try again in a moment" in keys.text)
        await keys("escape")
        await keys.until(lambda: keys.app.screen is screen)
        assert value(screen, "pilot") == ("bert", "read")
    assert len(desk.unfinished()) == 1


# -- whatever is typed or pasted -------------------------------------------------------------------------------------------


async def test_several_pasted_lines_stay_several_and_hidden_characters_are_shown(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        screen.go_to("remarks")
        await keys.pilot.pause()
        keys.app.focused.post_message(events.Paste("Bumpy [/] wind\r\n\x1b[2Jsecond\tline"))
        await keys.pilot.pause()
        await keys.pilot.pause()
        assert value(screen, "remarks")[0] == "Bumpy [/] wind\n\\x1b[2Jsecond\\tline"
        assert "Bumpy [/] wind" in keys.text
        screen.go_to("P-101.soc_departure_pct")
        await keys.pilot.pause()
        keys.app.focused.post_message(events.Paste("98\n97\n96"))
        await keys.pilot.pause()
        assert value(screen, "P-101.soc_departure_pct") == ("98", "read")


@settings(max_examples=2, deadline=None, suppress_health_check=list(HealthCheck))
@given(texts=st.lists(st.text(max_size=80), min_size=8, max_size=8))
async def test_any_text_goes_through_remarks_draft_and_book_unchanged(
    texts: list[str], tmp_path_factory
) -> None:
    folder = tmp_path_factory.mktemp("club")
    book = club_book(folder / "club.logbook")
    desk = Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, folder / "state"))
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        screen.go_to("remarks")
        field = screen.fields.by_name["remarks"]
        for text in [*texts, "[/] \x1b[2J\x9b1m\u202e"]:
            field.restore(text, "read")
            screen._changed(field, field.text, str(field.source))
            await keys.pilot.pause()
            assert "\x1b" not in keys.text
            assert field.text == text
        kept = desk.unfinished()[0].values["remarks"][0]
        await keys("f3")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
    (flight,) = desk.facts.open_flights()
    assert flight["remarks"] == kept == "[/] \x1b[2J\x9b1m\u202e"
    book.close()


async def test_wrong_keys_do_nothing_bad(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        await keys(
            "up", "left", "right", "!", "=", "-", "backspace", "f6", "x", "-", "=", "enter", "f2", "f4", "f4"
        )
        await keys.until(
            lambda: isinstance(keys.app.screen, PickBox)
        )  # "x-" may be meant as a name: it is asked
        await keys("escape")
        await keys.until(lambda: keys.app.screen is screen)
    assert len(ids(desk)) == 1
    assert "x-" not in desk.facts.people()


async def test_the_words_field_gives_back_exactly_what_was_put_in(show) -> None:
    app = show(lambda: [WordsField("Remarks")])
    async with app.run_test(size=(80, 24)) as pilot:
        field = app.query_one(WordsField)
        field.restore("a\x1bb\r\n\u202ec", "read")
        await pilot.pause()
        assert field.text == "a\x1bb\r\n\u202ec"
        assert "\x1b" not in screen_text(app)
        app.query_one(WordsArea).focus()
        await pilot.press("x")
        assert field.text.endswith("cx")
        assert field.source is Source.READ


# -- every size ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(80, 24), (140, 40), (60, 20)])
async def test_the_field_one_types_into_is_always_in_sight(desk: Desk, size: tuple[int, int]) -> None:
    async with at_the_keys(desk, size) as keys:
        screen = await keys.to_form("l")
        screen.unfold(MORE)
        await keys.pilot.pause()
        for name in screen.fields.order()[:: 2 if size[0] == 80 else 5]:
            if not screen.fields.by_name[name].display:
                continue
            screen.go_to(name)
            await keys.pilot.pause()
            region = screen.fields.by_name[name].region
            assert screen.query_one("#fields").region.contains_region(region), name
            assert screen.form.fields[[f.name for f in screen.form.fields].index(name)].label in keys.text


async def test_before_start_fits_a_small_terminal_without_scrolling(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        await keys.to_form("l")
        text = keys.text
        for words in ("Pilot", "Estimate", "front  P-101", "rear  P-102", "Temp."):
            assert words in text


async def test_beside_the_form_where_there_is_room_the_figures_stand(desk: Desk) -> None:
    async with at_the_keys(desk, (140, 40)) as keys:
        screen = await keys.to_form("l")
        live, fields = screen.query_one("#live").region, screen.query_one("#fields").region
        assert live.x >= fields.right
        assert live.height > 30


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_after_a_flight_the_next_one_begins_with_its_first_field_in_sight(
    desk: Desk, size: tuple[int, int]
) -> None:
    async with at_the_keys(desk, size) as keys:
        screen = await keys.to_form("l")
        await keys.put(pilot="Ana Lind", off_blocks="0900", on_blocks="0930")
        screen.go_to("remarks")
        await keys.pilot.pause()
        await keys("f2")
        await keys.until(lambda: isinstance(keys.app.screen, SavedBox))
        await keys("a")
        await keys.until(lambda: screen.is_current and screen.form and not screen.busy)
        await keys.until(lambda: screen.fields.name_of(screen.focused.parent) == "pilot")
        await keys.pilot.pause()
        region = screen.fields.by_name["pilot"].region
        assert screen.query_one("#fields").region.contains_region(region), keys.text


async def test_a_hint_too_long_for_one_line_stands_whole_in_two(desk: Desk) -> None:
    async with at_the_keys(desk) as keys:
        screen = await keys.to_form("l")
        screen.go_to("expected_back")
        await keys.pilot.pause()
        assert "counts minutes from the time before (here: from now)" in " ".join(keys.text.split())
        screen.go_to("pilot")
        await keys.pilot.pause()
        assert "= takes Ana Lind and goes on" in keys.text
        assert screen.query_one("#explained").region.height == 1
