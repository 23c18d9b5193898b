"""Dots become the right letters, and lines stay inside their field."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.ui.widgets.plot_canvas import Canvas, clip

FAR = st.floats(-1e9, 1e9)


def test_the_dots_of_a_cell_are_those_of_the_braille_block() -> None:
    # Unicode Standard, block "Braille Patterns" (U+2800): dots 1, 4 on top, 7, 8 at the bottom.
    canvas = Canvas(2, 1)
    canvas.dot(0, 0)
    assert canvas.sign(0, 0) == "⠁"  # BRAILLE PATTERN DOTS-1
    canvas.dot(1, 3)
    assert canvas.sign(0, 0) == "⢁"  # BRAILLE PATTERN DOTS-18
    for x in range(2):
        for y in range(4):
            canvas.dot(x, y)
    assert canvas.sign(0, 0) == "⣿"  # BRAILLE PATTERN DOTS-12345678
    assert canvas.sign(1, 0) == " "


@given(FAR, FAR, FAR, FAR)
def test_however_far_a_line_goes_it_stays_in_the_field(x0: float, y0: float, x1: float, y1: float) -> None:
    canvas = Canvas(20, 5)
    canvas.line(x0, y0, x1, y1)
    assert all(0 <= column < 20 and 0 <= row < 5 for column, row in canvas.cells)


@given(st.floats(0, 39), st.floats(0, 19), st.floats(0, 39), st.floats(0, 19))
def test_a_line_inside_is_not_cut(x0: float, y0: float, x1: float, y1: float) -> None:
    assert clip((x0, y0, x1, y1), 39, 19) == pytest.approx((x0, y0, x1, y1), abs=1e-9)


def test_the_part_of_a_line_inside_is_kept() -> None:
    assert clip((-10, 5, 30, 5), 19, 9) == (0, 5, 19, 5)
    assert clip((-10, -10, -1, 50), 19, 9) is None
