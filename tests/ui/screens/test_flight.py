"""A flight: recorded, derived, flagged, corrected, struck out, restored; nothing is lost and nothing overwritten."""

import pytest

from logbook.ui.screens.flight import FlightScreen
from logbook.ui.screens.form import FormScreen
from logbook.ui.widgets.problem_box import ProblemBox
from tests import club
from tests.ui.walk import walk


async def opened(walker, flight_id: str = "LOW") -> FlightScreen:
    walker.app.open_record("flight", flight_id)
    await walker.until(lambda: isinstance(walker.app.screen, FlightScreen) and walker.app.screen.shown)
    await walker.until(lambda: not walker.app.screen.waiting)
    return walker.app.screen


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_one_look_says_what_it_cost_and_whether_anything_was_wrong(busy_desk, size) -> None:
    async with walk(busy_desk, size) as walker:
        await opened(walker)
        text = walker.flat
    assert "0:40 h block · 14.3" in text
    assert "kWh (" in text
    assert "landed with 20 %" in text
    assert "‼ 4 flags without an answer" in text


async def test_everything_is_there_with_units_low_to_high_and_how_it_was_made(busy_desk) -> None:
    async with walk(busy_desk, (140, 90)) as walker:
        await opened(walker)
        text = walker.flat
    for words in (
        "Off blocks 12:00 UTC", "Charge before 90 after 20 %", "Temperature before 20 highest 35 after 33 °C",
        "nominal capacity", "not a planning rate", "what to do", "Never changed", "Planning aid".lower(),
        "the flight manual, the instruments, local rules and the pilot decide",
    ):  # fmt: skip
        assert words.lower() in text.lower(), words


async def test_the_forecast_from_earlier_flights_stands_beside_what_happened(busy_desk) -> None:
    async with walk(busy_desk, (140, 90)) as walker:
        await opened(walker)
        assert f"{club.P1} landed with 20 % forecast" in walker.flat


async def test_remarks_are_shown_as_they_were_written(busy_desk) -> None:
    async with walk(busy_desk, (140, 90)) as walker:
        await opened(walker, "F8")
        assert "[/] calm [bold]x" in walker.text


async def correct(walker, **texts: str) -> FormScreen:
    await walker.press("e")
    await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
    for name, text in texts.items():
        walker.app.screen._boxes[name].box.value = text
    await walker.pilot.pause()
    return walker.app.screen


async def test_a_correction_keeps_the_earlier_version_with_who_when_and_why(busy_desk) -> None:
    busy_desk.set("operator", club.ADA)
    async with walk(busy_desk, (140, 90)) as walker:
        await opened(walker)
        await correct(walker, landings_day="2", why="counted again")
        await walker.press("f2")
        await walker.until("Corrected: landings, day.")
        await walker.until("landings, day was 1, became 2 (counted again)")
        assert "Ada Quill:" in walker.flat


async def test_the_present_values_are_expected_and_only_what_is_typed_changes(busy_desk) -> None:
    before = busy_desk.show("flight", "LOW")
    async with walk(busy_desk) as walker:
        await opened(walker)
        form = await correct(walker, remarks="slip")
        assert form._boxes["off_blocks"].expected == "12:00"
        assert form._boxes[f"{club.P1}.soc_landing_pct"].expected == "20"
        await walker.press("f2")
        await walker.until("Corrected: remarks.")
    after = busy_desk.show("flight", "LOW")
    ignored = ("remarks", "versions", "token")
    assert {k: v for k, v in after.items() if k not in ignored} == {
        k: v for k, v in before.items() if k not in ignored
    }


async def test_a_time_is_typed_as_on_the_clock_and_a_reading_by_its_pack(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await opened(walker)
        await correct(walker, on_blocks="1245", **{f"{club.P1}.soc_landing_pct": "26"})
        await walker.press("f2")
        await walker.until("Corrected:")
    shown = busy_desk.show("flight", "LOW")
    assert shown["on_blocks"] == "2031-06-20T12:45Z"
    assert {r["serial_no"]: r["soc_landing_pct"] for r in shown["readings"]}[club.P1] == 26


async def test_a_dash_makes_a_field_unknown(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await opened(walker)
        await correct(walker, climb_ft="-")
        await walker.press("f2")
        await walker.until("Corrected: feet climbed.")
    assert busy_desk.show("flight", "LOW")["climb_ft"] is None


async def test_after_a_quarter_of_an_hour_a_reason_is_asked_for(busy_desk) -> None:
    busy_desk.clock = lambda: "2031-06-30T12:16Z"
    async with walk(busy_desk) as walker:
        await opened(walker)
        form = await correct(walker, aboard="2")
        await walker.press("f2")
        await walker.until("Reason is needed")
        assert form._boxes["why"].has_focus_within
        assert busy_desk.show("flight", "LOW")["aboard"] is None


async def test_an_impossible_correction_stays_in_its_form_and_writes_nothing(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await opened(walker)
        form = await correct(walker, landing="1130")
        await walker.press("f2")
        await walker.until("is before take-off")
        assert busy_desk.show("flight", "LOW")["token"] == 0
        if isinstance(walker.app.screen, ProblemBox):
            await walker.press("escape")
        assert walker.app.screen is form
        assert form._boxes["landing"].text == "1130"


async def test_what_somebody_else_changed_is_not_overwritten_but_shown(busy_desk) -> None:
    async with walk(busy_desk, (140, 90)) as walker:
        await opened(walker)
        await correct(walker, aboard="2")
        with busy_desk.elsewhere() as other:
            other.correct("flight", "LOW", {"aboard": 1, "mass_kg": 601}, why="the other was first")
        await walker.press("f2")
        await walker.until(lambda: isinstance(walker.app.screen, ProblemBox))
        assert "changed" in walker.flat
        assert busy_desk.show("flight", "LOW")["aboard"] == 1
        await walker.press("escape", "escape")
        await walker.until(lambda: isinstance(walker.app.screen, FlightScreen))
        await walker.until("601 kg")
        await walker.press("e")  # what was typed is here again, on top of the new state
        await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
        assert walker.app.screen._boxes["aboard"].text == "2"
        assert walker.app.screen._boxes["mass_kg"].expected == "601"


async def test_striking_out_needs_a_reason_and_can_be_taken_back(busy_desk) -> None:
    async with walk(busy_desk, (140, 90)) as walker:
        await opened(walker)
        await walker.press("d", "enter")
        assert "A reason is needed" in walker.flat
        await walker.type("entered twice")
        await walker.press("enter")
        await walker.until("Struck out: it counts nowhere")
        assert busy_desk.show("flight", "LOW")["struck"] == 1
        await walker.press("d")
        await walker.until("Restore it: why?")
        await walker.type("it was not")
        await walker.press("enter")
        await walker.until(lambda: busy_desk.show("flight", "LOW")["struck"] == 0)
        await walker.until("restored (it was not)")


async def test_the_last_correction_is_taken_back_and_that_is_kept_too(busy_desk) -> None:
    busy_desk.correct("flight", "LOW", {"aboard": 2, f"{club.P1}.soc_landing_pct": 31}, why="slip")
    async with walk(busy_desk, (140, 90)) as walker:
        await opened(walker)
        await walker.press("f7")
        await walker.until("taken back")
    shown = busy_desk.show("flight", "LOW")
    assert shown["aboard"] is None
    assert {r["serial_no"]: r["soc_landing_pct"] for r in shown["readings"]}[club.P1] == 20
    assert len(busy_desk.changes_of(shown)) == 2


async def test_with_nothing_to_take_back_it_says_so(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await opened(walker)
        await walker.press("f7")
        await walker.until("no correction to take back")


async def test_an_answered_flag_shows_who_answered_and_no_longer_waits(busy_desk) -> None:
    busy_desk.set("operator", club.CLEO)
    for flag in busy_desk.show("flight", "LOW")["flags"]:
        busy_desk.answer("LOW", flag, "talked over")
    async with walk(busy_desk, (140, 90)) as walker:
        await opened(walker)
        assert "talked over (Cleo Fenn," in walker.flat
        assert "ok: no flag" in walker.flat


async def test_a_flight_over_midnight_keeps_its_days_when_corrected(busy_desk) -> None:
    late = club.flight("LATE", date="2031-06-25", off_blocks="2031-06-25T23:30Z", takeoff="2031-06-25T23:40Z",
                       landing="2031-06-26T00:10Z", on_blocks="2031-06-26T00:15Z")  # fmt: skip
    club.put(busy_desk.book, "flight", late)
    async with walk(busy_desk) as walker:
        await opened(walker, "LATE")
        await correct(walker, on_blocks="0020")
        await walker.press("f2")
        await walker.until("Corrected:")
    assert busy_desk.show("flight", "LATE")["on_blocks"] == "2031-06-26T00:20Z"
