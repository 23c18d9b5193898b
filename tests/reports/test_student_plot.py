"""Plots of a student: what is unknown is left out, and two flights of one day stand beside each other."""

import pytest

from logbook.reports.plot import day_number
from logbook.reports.student_plot import error_plot, margin_plot


def flight(day: str, own=None, program=None, margin=None) -> dict:
    return {"date": day, "estimate_error_pct": own, "program_error_pct": program, "margin_pct": margin}


def test_both_errors_of_one_flight_stand_at_one_place() -> None:
    flights = [flight("2031-05-09", 5), flight("2031-05-09", -3, 1), flight("2031-05-10", None, 2)]
    own, program = error_plot(flights).series
    day = day_number("2031-05-09")
    assert (list(own.x), list(own.y)) == ([day, day + 0.5], [5, -3])
    assert (list(program.x), list(program.y)) == ([day + 0.5, day + 1], [1, 2])


def test_the_reserve_is_a_line_at_nought() -> None:
    plot = margin_plot([flight("2031-05-09", margin=-2)])
    assert [(limit.label, limit.y, limit.tone) for limit in plot.limits] == [("reserve", 0, "error")]


def test_a_landing_below_the_reserve_has_a_sign_of_its_own_and_a_word() -> None:
    """In a low window -1 shares a row with the line of the reserve: colour alone would not tell it."""
    over, below = margin_plot([flight("2031-05-09", margin=0), flight("2031-05-10", margin=-1)]).series
    assert (list(over.y), over.shape, over.label) == ([0], "dot", "margin")
    assert (list(below.y), below.shape, below.label) == ([-1], "cross", "below")
    assert len(margin_plot([flight("2031-05-09", margin=3)]).series) == 1


@pytest.mark.parametrize("plot", [error_plot, margin_plot])
def test_nothing_known_is_said_in_words(plot) -> None:
    assert not plot([flight("2031-05-09")]).series
    assert plot([]).empty.startswith("No flight")
