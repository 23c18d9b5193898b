"""A plot says what it shows; an SVG of it loses no value and carries no markup from people."""

import math
import re
from datetime import date
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.reports.plot import SHAPES, Axis, Band, Limit, Mark, Plot, Reading, Series, day_number
from logbook.reports.plot_svg import INKS, plot_svg

SVG = "{http://www.w3.org/2000/svg}"
ANY_TEXT = st.text(st.characters(), max_size=30)
NAN = math.nan


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - made here, and a fault in it must be seen


def capacity(**changes) -> Plot:
    days = [date(2031, month, 1).toordinal() for month in (1, 2, 3, 4)]
    parts = {
        "title": "Usable capacity",
        "x": Axis("date", dated=True),
        "y": Axis("usable capacity", "kWh"),
        "series": (
            Series("estimate", days, [10.1, 10.0, NAN, 9.8]),
            Series("capacity check", days[1:3], [10.05, 9.85], kind="points", shape="ring", tone="text"),
        ),
        "bands": (Band("90 % interval", days, [9.8, 9.7, 9.6, 9.5], [10.4, 10.3, 10.2, 10.1]),),
        "limits": (Limit("end of life", 8.5, "error"),),
        "marks": (Mark("firmware", days[2]),),
    }
    return Plot(**(parts | changes))


def test_a_series_needs_one_value_for_each_x() -> None:
    with pytest.raises(ValueError, match="every x needs exactly one value"):
        Series("s", [1, 2], [1])
    with pytest.raises(ValueError, match="an x must be a number"):
        Series("s", [NAN], [1])
    with pytest.raises(ValueError, match="stands above"):
        Band("b", [1], [2], [1])


def test_the_cursor_stops_only_where_something_is_known() -> None:
    plot = capacity()
    assert [date.fromordinal(int(x)).month for x in plot.stops] == [1, 2, 3, 4]
    lonely = capacity(series=(Series("s", [1, 2, 3], [5, NAN, 6]),), bands=())
    assert lonely.stops == [1, 3]


def test_values_are_said_exactly_with_their_unit() -> None:
    plot = capacity()
    assert plot.readings_at(plot.stops[1]) == [
        Reading("estimate", "10 kWh"),
        Reading("capacity check", "10.05 kWh"),
        Reading("90 % interval", "9.7 kWh to 10.3 kWh"),
    ]
    assert plot.readings_at(plot.stops[2])[0].label == "capacity check"  # an unknown value is not said
    assert plot.x.value_words(plot.stops[0]) == "1 Jan 2031"


def test_limits_are_always_inside_the_picture() -> None:
    low, high = capacity().y_range()
    assert low < 8.5
    assert high > 10.4


def test_one_value_alone_has_room_around_it() -> None:
    low, high = Plot("t", Axis("x"), Axis("y"), (Series("s", [3], [7]),)).y_range()
    assert low < 7 < high


def test_day_numbers_of_stored_dates_and_instants() -> None:
    assert day_number("2031-05-09") == date(2031, 5, 9).toordinal()
    assert day_number("2031-05-09T06:00Z") == date(2031, 5, 9).toordinal() + 0.25


def test_the_svg_has_every_point_with_its_exact_value() -> None:
    plot = Plot(
        "p",
        Axis("x"),
        Axis("charge", "%"),
        (Series("s", [1, 2], [0.1 + 0.2, 87], kind="points"),),
        limits=(Limit("reserve", 30),),
    )
    titles = [node.text for node in parsed(plot_svg(plot)).iter(f"{SVG}title")]
    assert "s, 1: 0.3 %" in titles
    assert "s, 2: 87 %" in titles
    assert "reserve: 30 %" in titles


def test_the_svg_places_values_in_proportion() -> None:
    axis = Axis("y", low=0, high=10)
    plot = Plot("p", Axis("x", low=0, high=4), axis, (Series("s", [0, 1, 4], [0, 5, 10], kind="points"),))
    dots = [
        (float(node.get("cx")), float(node.get("cy")))
        for node in parsed(plot_svg(plot)).iter(f"{SVG}circle")
        if list(node)
    ]
    (x0, y0), (x1, y1), (x2, y2) = dots
    assert (x1 - x0) / (x2 - x0) == pytest.approx(0.25, abs=1e-3)
    assert (y1 - y0) / (y2 - y0) == pytest.approx(0.5, abs=1e-3)
    assert y2 < y0  # upwards


def test_a_gap_interrupts_the_line() -> None:
    svg = plot_svg(capacity())
    assert len(re.findall("<polyline", svg)) == 2


@pytest.mark.parametrize("shape", SHAPES)
def test_every_shape_is_drawn(shape) -> None:
    with_point = plot_svg(
        Plot("p", Axis("x"), Axis("y"), (Series("s", [1], [1], kind="points", shape=shape),))
    )
    assert with_point.count("s, 1: 1") == 1


def test_nothing_to_draw_is_said() -> None:
    assert "No charge yet." in plot_svg(Plot("p", Axis("x"), Axis("y"), empty="No charge yet."))


@given(ANY_TEXT, ANY_TEXT, ANY_TEXT)
def test_no_text_can_become_markup_or_a_hidden_character(title: str, label: str, unit: str) -> None:
    plot = Plot(
        title,
        Axis(label, unit),
        Axis(label, unit),
        (Series(label, [1, 2], [1, 2]), Series(label, [1], [1], kind="points")),
        limits=(Limit(label, 1.5),),
        marks=(Mark(title, 1),),
    )
    svg = plot_svg(plot)
    svg.encode("utf-8")
    nodes = {node.tag for node in parsed(svg).iter()}  # raises if it is not well-formed
    assert nodes <= {SVG + name for name in ("svg", "title", "rect", "text", "line", "polyline", "circle")}


def test_inks_are_readable_on_paper() -> None:
    def luminance(colour: str) -> float:  # WCAG 2.2, relative luminance
        shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    assert all(1.05 / (luminance(ink) + 0.05) >= 4.5 for ink in INKS.values())
