"""A plot on the screen hides nothing, names everything, and says its values."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from logbook.reports.plot import SHAPES, Axis, Band, Limit, Mark, Plot, Series
from logbook.ui.widgets.plot import PlotView
from logbook.ui.widgets.plot_canvas import DRAWN, TYPED
from logbook.ui.widgets.plot_sheet import draw
from tests.ui.screen_text import screen_text

DAYS = [date(2031, month, 1).toordinal() for month in range(1, 13)]


def capacity() -> Plot:
    mid = [10.4 - 0.05 * n for n in range(12)]
    return Plot(
        "Usable capacity",
        Axis("date", dated=True),
        Axis("usable capacity", "kWh", decimals=2),
        (
            Series("estimate", DAYS, mid),
            Series("check", [DAYS[5]], [10.0], kind="points", shape="cross", tone="text"),
        ),
        (Band("90 % interval", DAYS, [m - 0.2 for m in mid], [m + 0.2 for m in mid]),),
        (Limit("plan ahead", 9.05), Limit("end of life", 9.0, "error")),
        (Mark("firmware", DAYS[7]),),
    )


def text_of(plot: Plot, width: int, height: int, signs=DRAWN, cursor=None) -> list[str]:
    return ["".join(piece.text for piece in row) for row in draw(plot, width, height, signs, cursor)]


@pytest.mark.parametrize(("width", "height"), [(80, 22), (140, 38), (60, 18), (40, 12), (24, 8)])
@pytest.mark.parametrize("signs", [DRAWN, TYPED])
def test_every_row_has_the_width_of_the_window(width: int, height: int, signs) -> None:
    rows = text_of(capacity(), width, height, signs)
    assert len(rows) == height
    assert {cell_len(row) for row in rows} == {width}


@pytest.mark.parametrize("width", [80, 60])
def test_everything_drawn_is_named(width: int) -> None:
    text = "\n".join(text_of(capacity(), width, 22))
    for name in (
        "Usable capacity",
        "[kWh]",
        "estimate",
        "check",
        "90 % interval",
        "plan ahead",
        "end of life",
        "firmware",
    ):
        assert name in text


def test_the_names_of_close_limits_do_not_cover_each_other() -> None:
    rows = text_of(capacity(), 80, 22)
    assert sum("plan ahead" in row or "end of life" in row for row in rows) == 2


def test_a_legend_never_stands_in_the_field() -> None:
    rows = text_of(capacity(), 80, 22)
    field = [row for row in rows if "│" in row or "┤" in row]
    assert not [row for row in field if "estimate" in row or "interval" in row]


def test_letters_only_where_the_font_has_no_others() -> None:
    assert "".join(text_of(capacity(), 80, 22, TYPED, DAYS[3])).isascii()


def test_each_shape_has_its_own_sign() -> None:
    for signs in (DRAWN, TYPED):
        assert len({signs.shapes[shape] for shape in SHAPES}) == len(SHAPES)


def test_points_stand_where_their_values_are() -> None:
    plot = Plot(
        "t",
        Axis("x", low=0, high=10),
        Axis("y", low=0, high=10),
        (Series("s", [0, 10], [0, 10], kind="points"),),
    )
    rows = text_of(plot, 60, 20)
    field = [row for row in rows if "│" in row or "┤" in row]
    assert field[-1].split("│")[-1].split("┤")[-1].startswith("•")
    assert field[0].rstrip().endswith("•")


def test_too_small_a_window_and_no_value_are_said() -> None:
    assert "No room for the plot" in text_of(capacity(), 60, 5)[0]
    assert "No charge yet." in "".join(
        text_of(Plot("t", Axis("x"), Axis("y"), empty="No charge yet."), 60, 12)
    )


TEXT = st.text(st.characters(), max_size=20)
VALUE = st.floats(-1e6, 1e6) | st.just(float("nan"))


@settings(max_examples=60)
@given(
    TEXT,
    st.lists(st.tuples(st.floats(-1e6, 1e6), VALUE), max_size=30),
    st.integers(1, 90),
    st.integers(1, 30),
)
def test_any_text_and_any_values_fill_the_window_exactly(
    name: str, points: list, width: int, height: int
) -> None:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    plot = Plot(
        name, Axis(name, name), Axis(name, name),
        (Series(name, xs, ys), Series(name, xs, ys, kind="points")),
        limits=(Limit(name, 5.0),), marks=(Mark(name, 0.0),),
    )  # fmt: skip
    cursor = plot.stops[0] if plot.stops else None
    rows = text_of(plot, width, height, cursor=cursor)
    assert len(rows) == height
    assert {cell_len(row) for row in rows} == {width}


async def test_left_and_right_read_the_values(show) -> None:
    app = show(lambda: [PlotView(capacity())])
    async with app.run_test(size=(80, 24)) as pilot:
        view = app.query_one(PlotView)
        assert "left and right: read the values" in screen_text(app)
        await pilot.press("left")
        assert "▲ 1 Dec 2031   estimate 9.85 kWh   90 % interval 9.65 kWh to 10.05 kWh" in screen_text(app)
        await pilot.press("home", "right")
        assert view.cursor_x == DAYS[1]
        assert "1 Feb 2031" in screen_text(app)
        await pilot.press("left", "left", "left")
        assert view.cursor_x == DAYS[0]


async def test_another_plot_keeps_the_cursor_at_its_place(show) -> None:
    app = show(lambda: [PlotView(capacity())])
    async with app.run_test(size=(80, 24)) as pilot:
        view = app.query_one(PlotView)
        await pilot.press("home", "right", "right")
        view.show(Plot("t", Axis("date", dated=True), Axis("y"), (Series("s", DAYS[1:4], [1, 2, 3]),)))
        await pilot.pause()
        assert view.cursor_x == DAYS[2]
        view.show(Plot("t", Axis("x"), Axis("y"), empty="Nothing here."))
        await pilot.press("left")
        assert "Nothing here." in screen_text(app)


async def test_another_look_repaints_the_plot(show) -> None:
    app = show(lambda: [PlotView(capacity())])
    async with app.run_test(size=(80, 24)) as pilot:
        view = app.query_one(PlotView)
        before = [segment.style for segment in view.render_line(1)]
        app.theme = "logbook-light"
        await pilot.pause()
        assert [segment.style for segment in view.render_line(1)] != before
