"""Figures stand under each other by their decimal point, whatever stands around them."""

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from logbook.ui.widgets.facts import Fact, Facts, lay_out
from tests.ui.screen_text import screen_text

FACTS = [
    Fact("Time in service", "1234.5", "h"),
    Fact("Cycles", "87", "", "discharge"),
    Fact("Usable capacity", "9.83", "kWh", "9.6 to 10.1, n 41"),
    Fact("Coldest", "-4", "°C"),
    Fact("State", "in quarantine", "", "inspection before next use", "warning"),
]


async def test_decimal_points_stand_under_each_other(show) -> None:
    app = show(lambda: [Facts(FACTS)])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        lines = screen_text(app).splitlines()
    points = {
        lines[0].index("1234.5") + 4,
        lines[2].index("9.83") + 1,
        lines[1].index("87") + 2,
        lines[3].index("-4") + 2,
    }
    assert len(points) == 1
    assert (
        len(
            {
                line.index(unit)
                for line, unit in zip(lines, ("h ", "", "kWh", "°C"), strict=False)
                if unit.strip() in ("kWh", "°C")
            }
        )
        == 1
    )
    assert "in quarantine" in lines[4]
    assert "inspection before next use" in lines[4]


async def test_text_from_people_is_text(show) -> None:
    app = show(lambda: [Facts([Fact("[b]label", "[/]", "", "note\x1b[2J")])])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "[b]label  [/]   note\\x1b[2J" in screen_text(app)


async def test_another_look_and_other_facts_are_drawn(show) -> None:
    app = show(lambda: [Facts(FACTS)])
    async with app.run_test(size=(80, 24)) as pilot:
        app.theme = "logbook-light"
        app.query_one(Facts).show([Fact("Only", "1", "h")])
        await pilot.pause()
        assert screen_text(app).split() == ["Only", "1", "h"]


async def test_a_long_remark_goes_on_under_itself(show) -> None:
    app = show(
        lambda: [
            Facts([Fact("Charge", "24", "%", "! below the reserve of 30 %", "error"), Fact("Next", "1", "h")])
        ]
    )
    async with app.run_test(size=(34, 24)) as pilot:
        await pilot.pause()
        lines = screen_text(app).splitlines()
    assert lines[0].endswith("! below the")
    assert lines[1] == " " * lines[0].index("!") + "reserve of 30 %"
    assert "Next" in lines[2]


TEXT = st.text(st.characters(), max_size=12)
FIGURE = st.decimals(-9999, 9999, places=2).map(str)


@given(st.lists(st.builds(Fact, TEXT, TEXT | FIGURE, TEXT), max_size=8))
def test_every_part_fills_its_column(facts: list[Fact]) -> None:
    lines = [line for line, fact in zip(lay_out(facts), facts, strict=True) if fact.unit]
    assert len({(cell_len(line.label), cell_len(line.value), cell_len(line.unit)) for line in lines}) <= 1


@given(st.lists(st.builds(Fact, TEXT, FIGURE), min_size=1, max_size=8))
def test_figures_align_for_any_figures(facts: list[Fact]) -> None:
    assert len({line.value.rstrip().index(".") for line in lay_out(facts)}) == 1
