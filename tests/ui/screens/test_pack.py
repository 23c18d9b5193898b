"""One pack: may it fly, may it be charged, what is left of its life; its plots, and what can be written down."""

import pytest

from logbook.ui.screens.flight import FlightScreen
from logbook.ui.screens.form import FormScreen
from logbook.ui.screens.pack import PackScreen
from logbook.ui.widgets.plot import PlotView
from tests import club
from tests.ui.screens.reading import fill, pick, told
from tests.ui.walk import Walker, walk


@pytest.fixture
def worn_desk(busy_desk):
    """The first pack of the club with limits, an over-temperature, observations and a gap in its line of charge."""
    book = busy_desk.book
    busy_desk.correct("pack", club.P1, {"limit_hours": 500, "limit_cycles": 300}, why="from the log card")
    hot = [club.reading(club.P1, temp_max_c=58), club.reading(club.P2)]
    club.put(book, "flight", club.flight_at(9, "HOT", day="2031-06-22", readings=hot))
    for day, high in (("2031-04-10", 4.02), ("2031-05-10", 4.03), ("2031-06-25", 4.05)):
        seen = {"serial_no": club.P1, "at": f"{day}T09:00Z", "cell_min_v": 4.0, "cell_max_v": high}
        club.put(book, "observation", seen | {"text": "[red]looked\x1b[2J"})
    return busy_desk


async def opened(walker: Walker, serial_no: str = club.P1) -> PackScreen:
    walker.app.open_record("pack", serial_no)
    await walker.until(lambda: isinstance(walker.app.screen, PackScreen) and walker.app.screen.view)
    await walker.until(lambda: not walker.app.screen.waiting)
    return walker.app.screen


async def test_each_limit_says_so_far_limit_left_and_expected_or_why_it_cannot_be_judged(worn_desk) -> None:
    async with walk(worn_desk, (140, 60)) as walker:
        await opened(walker)
        text = walker.flat
    assert "so far limit left expected" in text
    assert "hours 2.5 500 h 497.5" in text  # five flights of half an hour
    assert "cannot be judged:" in text  # nobody said what the maker calls a cycle
    assert "No limit is stated in: date, SOH." in text


async def test_life_condition_and_history_stand_in_one_list(worn_desk) -> None:
    async with walk(worn_desk, (140, 110)) as walker:
        await opened(walker)
        text = walker.flat
    for words in (
        "‼ MAY NOT FLY, too hot on 2031-06-22: inspection before next use · fitted to X-WATT, front since 2031-04-01",
        "An entry (a) or an answer to the flag (w) ends it.", "May it be charged now?", "Above 90 % charge", "Below 20 % charge",
        "Pack LARK-01 reached 58 °C; its limit is 56 °C.", "None open.", "Line of charge:", "cells 50 mV apart",
        "+145.4 (+81.8 to +209.0) mV a year, line", "X-WATT front: 2.5 h, 5 landings", "Costs per hour of flying",
    ):  # fmt: skip
        assert words in text, words
    assert "[red]looked\\x1b[2J" in text


async def test_an_exceedance_opens_its_flight(worn_desk) -> None:
    async with walk(worn_desk, (140, 60)) as walker:
        await opened(walker)
        await walker.press("enter")
        await walker.until(lambda: isinstance(walker.app.screen, FlightScreen))
        assert walker.app.screen.record_id == "HOT"


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_g_cycles_the_plots_with_band_limits_and_gaps_named(worn_desk, size) -> None:
    async with walk(worn_desk, size) as walker:
        screen = await opened(walker)
        titles, legends = [], []
        for _ in range(4):
            await walker.press("g")
            plot = screen.query_one(PlotView).plot
            titles.append(plot.title)
            legends += [one.label for one in (*plot.series, *plot.bands, *plot.limits)]
            assert plot.title in walker.text
        await walker.press("g")
    assert titles == [
        "Usable capacity as flown", "Charge, last 8 weeks of the record", "Highest temperature of each flight",
        "Cells apart: highest less lowest",
    ]  # fmt: skip
    assert {"nine times in ten", "over the limit", "caution", "limit"} <= set(legends)
    assert [label for label in legends if label.startswith("gap: ")]


async def test_after_the_last_plot_a_narrow_window_shows_the_pack_again(worn_desk) -> None:
    async with walk(worn_desk) as walker:
        screen = await opened(walker)
        await walker.press(*"ggggg")
        assert not screen.has_class("plotting")
        assert "May it be charged now?" in walker.flat


async def test_figures_name_sources_depths_and_each_reading(worn_desk) -> None:
    async with walk(worn_desk, (140, 100)) as walker:
        await opened(walker)
        await walker.press("u")
        text = walker.flat
    for words in ("where it comes from", "what the maker rates it", "Cycles by depth (rainflow, ASTM E1049)", "20 to 30 %",
                  "2031-06-22 09:40 landing 60 % -30", "gap, "):  # fmt: skip
        assert words in text, words


async def test_figures_name_a_charge_whose_meter_does_not_fit(worn_desk) -> None:
    slip = club.charge("SLIP", club.P1, "2031-06-23T09:00Z", ended="2031-06-23T10:00Z", energy_kwh=42.0)
    club.put(worn_desk.book, "charge", slip)
    async with walk(worn_desk, (140, 100)) as walker:
        await opened(walker)
        await walker.press("u")
        text = walker.flat
    assert "Doubtful: charge of 2031-06-23 09:00 UTC: 42.0 kWh at the meter," in text
    assert "would fit; it counts little or nothing." in text


async def test_charging_is_answered_for_what_is_read_at_the_charger_and_nothing_is_recorded(
    worn_desk,
) -> None:
    before = len(worn_desk.records("observation"))
    worn_desk.correct("aircraft", club.WATT, {"charge_max_temp_c": 40}, why="manual")
    async with walk(worn_desk, (140, 40)) as walker:
        await opened(walker)
        await walker.press("f4")
        await fill(walker, temp_c="55")
        await walker.until("(with what you read)")
        await walker.until("Charge now? no: ")
    assert len(worn_desk.records("observation")) == before


async def test_a_pack_is_quarantined_with_a_reason_and_released_by_an_entry(worn_desk) -> None:
    async with walk(worn_desk, (140, 40)) as walker:
        await opened(walker)
        await walker.press("f3")
        await pick(walker, "state")
        await fill(walker, state="quarantined", why="smell of electrolyte", at="2031-06-29 0800")
        await walker.until("MAY NOT FLY, it is quarantined")
        await walker.until("smell of electrolyte")
        await walker.press("a")
        await pick(walker, "maintenance")
        await pick(walker, "inspection")
        await fill(
            walker, text="dismantled, dry", release="yes", completed="2031-06-30 0900", done_by="Dan Holt"
        )
        await walker.until(lambda: "quarantined -> fitted" in told(walker))
        await walker.until(lambda: "MAY NOT FLY" not in walker.flat)
    assert worn_desk.show("pack", club.P1)["state"] == "fitted"


async def test_a_defect_that_grounds_is_told_at_once_and_shown_on_top(worn_desk) -> None:
    async with walk(worn_desk) as walker:
        await opened(walker)
        await walker.press("a")
        await pick(walker, "defect")
        await fill(walker, text="hard landing")
        assert isinstance(walker.app.screen, FormScreen)  # whether it grounds is never answered silently
        await fill(walker, needs_inspection="yes", found="2031-06-30 0900")
        await walker.until("MAY NOT FLY, inspection before next use")


async def test_new_firmware_offers_that_the_estimates_start_anew(worn_desk) -> None:
    async with walk(worn_desk, (140, 40)) as walker:
        await opened(walker)
        await walker.press("a")
        await pick(walker, "maintenance")
        await pick(walker, "firmware")
        await fill(walker, text="version 7", completed="2031-06-30 0900")
        await pick(walker, "yes")
        await walker.until(lambda: "start anew at 2031-06-30" in told(walker))
        await walker.until(lambda: not walker.app.screen.waiting)
        assert walker.app.screen.view.breaks == [("2031-06-30T09:00Z", "firmware: version 7")]


async def test_a_pack_that_never_flew_says_what_is_missing(club_desk) -> None:
    async with walk(club_desk) as walker:
        await opened(walker, club.P4)
        text = walker.flat
        await walker.press(*"gg")
        assert "The charge of this pack was never read." in walker.flat
    assert "cannot tell" in text
    assert "No limit is set for this pack." in text


async def test_swapping_from_a_pack_asks_for_the_other_one_only(worn_desk) -> None:
    async with walk(worn_desk, (140, 40)) as walker:
        await opened(walker)
        await walker.press("f3")
        await pick(walker, "swap")
        await fill(walker, second=club.P3, at="2031-06-29 0800", why="even wear")
        await walker.until(lambda: f"{club.P1} fitted to {club.VOLT}" in told(walker))
        await walker.until(f"inspection before next use · fitted to {club.VOLT}, front")


@pytest.mark.parametrize("key", ["p", "m"])
@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_help_is_there_on_every_screen_of_packs_and_maintenance(worn_desk, key: str, size) -> None:
    async with walk(worn_desk, size) as walker:
        await walker.press(key)
        await walker.until(lambda: walker.app.screen.NAME in ("packs", "maintenance"))
        await walker.press("question_mark")
        await walker.until(
            "where does every battery pack stand?" if key == "p" else "what falls due, what was done?"
        )
