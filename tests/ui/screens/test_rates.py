"""Rates: handbook beside record, how good the forecasts were, and what does not fit, down to the single flight."""

import pytest

from logbook.services.questions import list_records
from logbook.store.flights import FlightFilter
from logbook.ui.screens.flight import FlightScreen
from logbook.ui.screens.rates import RatesScreen
from logbook.ui.widgets.choice_field import ChoiceField
from logbook.ui.widgets.estimate_bar import EstimateBar
from logbook.ui.widgets.record_table import RecordTable
from logbook.units import down
from tests.ui.screens.test_plan import desk, sample_once  # noqa: F401 - the sample's desk
from tests.ui.walk import walk

SIZES = [(60, 20), (80, 24), (140, 40)]


def screen(walker) -> RatesScreen:
    return walker.app.screen


async def of_amp(walker) -> None:
    await walker.until(lambda: screen(walker).shown is not None)
    screen(walker).query_one("#aircraft", ChoiceField).value = "ZZ-AMP"
    await walker.until(lambda: screen(walker).shown.aircraft == "ZZ-AMP" and not screen(walker).waiting)
    await walker.pilot.pause()


@pytest.mark.parametrize("size", SIZES)
async def test_each_rate_stands_beside_the_handbook_with_interval_and_number(desk, size) -> None:  # noqa: F811
    async with walk(desk, size, first="rates") as walker:
        await walker.until(lambda: screen(walker).shown is not None)
        await walker.until("Climb")
        figures = [bar.line.figures for bar in screen(walker).query(EstimateBar)]
        assert figures[1].startswith("1.48 kWh/1000 ft (")
        assert figures[1].endswith("; handbook 1.32")
        assert "1.48 kWh/1000 ft" in walker.flat
        assert "F8 Menu" in walker.text.splitlines()[-1]


async def test_while_the_record_is_read_the_screen_says_so(desk, monkeypatch) -> None:  # noqa: F811
    monkeypatch.setattr(RatesScreen, "ask", lambda *_: None)
    async with walk(desk, first="rates") as walker:
        assert "Working out what the record says" in walker.text
        assert "No flight with both charges" not in walker.text  # nobody knows that yet


async def test_error_bias_share_inside_and_width_stand_beside_handbook_and_average(desk) -> None:  # noqa: F811
    async with walk(desk, (140, 120), first="rates") as walker:
        await of_amp(walker)
        text = walker.flat
    for words in ("error bias inside width handbook average", "all flights", "last 50", "cross-country", "Nils Orban",
                  "by chance alone", "Who flies", "differ by", "Landing charge: forecast and what came"):  # fmt: skip
        assert words in text, words


async def test_an_entry_that_does_not_fit_says_what_would_and_opens_its_flight(desk) -> None:  # noqa: F811
    async with walk(desk, (140, 120), first="rates") as walker:
        await of_amp(walker)
        first = screen(walker).shown.suspects[0]
        assert f"{first.fits:.0f}" in walker.text
        await walker.press("enter")
        await walker.until(lambda: screen(walker).query_one(RecordTable).has_focus)
        await walker.press("enter")
        await walker.until(lambda: isinstance(walker.app.screen, FlightScreen) and walker.app.screen.shown)
        assert walker.app.screen.record_id == first.flight_id


async def test_the_flights_behind_are_listed_and_open(desk) -> None:  # noqa: F811
    async with walk(desk, first="rates") as walker:
        await walker.until(lambda: screen(walker).shown is not None)
        row = screen(walker).shown.rows[0]
        await walker.press("u")
        await walker.until("Flights behind the rates of ZZ-OHM")
        assert f"{row.mid:.0f} ({down(row.low)}-{row.high:.0f})" in walker.text
        await walker.press("enter")
        await walker.until(lambda: isinstance(walker.app.screen, FlightScreen))


async def test_before_the_first_flight_the_figures_are_said_to_be_the_handbooks(club_desk) -> None:
    async with walk(club_desk, (100, 60), first="rates") as walker:
        await walker.until("all figures are the handbook's, as wide as handbooks are.")
        await walker.until("nothing to judge the forecasts by")


async def test_in_plain_letters_the_headings_name_the_sign_the_bars_draw(busy_desk) -> None:
    busy_desk.set("ascii", True)
    async with walk(busy_desk, (100, 60), first="rates") as walker:
        await walker.until("beside handbook H")
        assert "(H no effect)" in walker.flat
        assert "◇" not in walker.text


@pytest.mark.parametrize("size", SIZES)
async def test_a_stated_energy_by_tenths_is_judged_beside_the_scores(desk, size) -> None:  # noqa: F811
    falling = [12, 11, 10, 10, 9, 8, 8, 8, 7, 7]
    for row in list_records(desk.book, "pack-type", FlightFilter()):
        desk.correct("pack-type", row["part_no"], {"energy_by_decile": falling}, why="capacity check")
    async with walk(desk, (size[0], 120), first="rates") as walker:
        await of_amp(walker)
        assert screen(walker).shown.tenths["flights"] > 100
        # at 140 columns the rates stand beside it, so that its lines are apart in the text of the screen
        said = screen(walker).shown.tenths["words"].split()
        assert (" ".join(said[:4]) if size[0] == 140 else " ".join(said)) in walker.flat
        for words in ("energy by tenths", "with, as stated", "each % the same"):
            assert words in walker.flat, words
        assert all(len(line.rstrip()) <= size[0] for line in walker.text.splitlines())


async def test_without_a_stated_energy_by_tenths_nothing_is_said_of_it(desk) -> None:  # noqa: F811
    async with walk(desk, (140, 120), first="rates") as walker:
        await of_amp(walker)
        assert "energy by tenths" not in walker.flat
