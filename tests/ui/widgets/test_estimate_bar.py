"""An estimate shows its figures, its unit and its count; the bar stands in proportion."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.ui.widgets.estimate_bar import DRAWN, TYPED, EstimateBar, EstimateLine, bar
from tests.ui.screen_text import screen_text

LEVEL = EstimateLine("Level", "kWh/min", 0.34, 0.36, 0.39, n=41, handbook=0.40)


def test_figures_say_everything_the_bar_says() -> None:
    assert LEVEL.figures == "0.36 kWh/min (0.34 to 0.39), n 41; handbook 0.40"


def test_too_few_records_is_an_answer() -> None:
    assert (
        EstimateLine("Climb", "kWh", because="2 flights: log three more").figures
        == "2 flights: log three more"
    )
    assert EstimateLine("Climb", "kWh", handbook=1.5).figures == "too few records; handbook 1.50"
    assert bar(EstimateLine("Climb", "kWh", handbook=1.5), 20, DRAWN).strip() == ""


FIGURES = st.lists(st.floats(-1e6, 1e6), min_size=3, max_size=3).map(sorted)


@given(FIGURES, st.floats(-1e6, 1e6) | st.none(), st.integers(12, 80))
def test_the_signs_stand_in_the_order_of_their_values(
    figures: list[float], handbook: float | None, width: int
) -> None:
    low, mid, high = figures
    drawn = bar(EstimateLine("x", "u", low, mid, high, 5, handbook), width, TYPED)
    assert len(drawn) == width
    assert drawn.count("O") == 1  # the middle is always seen
    places = [drawn.find(sign) for sign in "[O]"]
    seen = [place for place in places if place >= 0]
    assert all(before < after for before, after in pairwise(seen))
    if handbook is not None and "H" in drawn:
        assert (drawn.index("H") < drawn.index("O")) == (handbook < mid)


def test_bars_of_one_quantity_share_a_scale() -> None:
    narrow = EstimateLine("as flown", "kWh", 14.7, 15.3, 15.9, 481, span=(14.3, 16.8))
    wide = EstimateLine("by SOH", "kWh", 14.3, 15.5, 16.8, 1, span=(14.3, 16.8))
    one, other = bar(narrow, 60, DRAWN), bar(wide, 60, DRAWN)
    assert other.index("├") < one.index("├") < one.index("┤") < other.index("┤")
    drawn = (one.index("┤") - one.index("├")) / (other.index("┤") - other.index("├"))
    assert drawn == pytest.approx(1.2 / 2.5, abs=0.05)


def test_the_bar_is_in_proportion() -> None:
    drawn = bar(EstimateLine("x", "u", 0.0, 5.0, 10.0), 59, TYPED)
    assert drawn.index("O") == 29
    assert drawn.index("[") + drawn.index("]") == 58


@pytest.mark.parametrize(("width", "rows"), [(140, 1), (80, 1), (60, 2), (40, 3)])
async def test_figures_are_always_whole(show, width: int, rows: int) -> None:
    app = show(lambda: [EstimateBar(LEVEL, label_width=7)])
    async with app.run_test(size=(width, 8)) as pilot:
        await pilot.pause()
        lines = screen_text(app).splitlines()
    assert LEVEL.figures in " ".join(" ".join(lines).split())
    assert "●" in lines[rows - 1]
    assert "◇" in lines[rows - 1]
    assert not lines[rows]


async def test_letters_only_where_the_font_has_no_others(show) -> None:
    app = show(lambda: [EstimateBar(LEVEL)], ascii_only=True)
    async with app.run_test(size=(100, 8)) as pilot:
        await pilot.pause()
        assert screen_text(app).isascii()


async def test_another_estimate_replaces_the_first(show) -> None:
    app = show(lambda: [EstimateBar(LEVEL)])
    async with app.run_test(size=(60, 8)) as pilot:
        app.query_one(EstimateBar).show(EstimateLine("Level", "kWh/min", because="no flight yet: [log] one"))
        await pilot.pause()
        assert "no flight yet: [log] one" in screen_text(app)
        assert "●" not in screen_text(app)
