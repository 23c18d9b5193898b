"""How cells and insulation move, and when a limit is met: like compared with like, since the pack started anew."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.energy.trend import line_through
from logbook.reports.pack_plots import cells_plot
from logbook.services.correct import correct
from logbook.services.pack_detail import pack_detail
from logbook.store.database import Book
from logbook.units import minutes_of
from tests.club import NOW, P1, put

CELLS, OHMS = "cells_apart_mv_per_year", "insulation_mohm_per_year"
YEAR = 525_960
MONTHS = [("01", 20), ("02", 22), ("03", 23), ("04", 26), ("05", 27)]


def see(book: Book, month: str, millivolts: float | None = None, day: int = 10, **more: Any) -> None:
    cells = {} if millivolts is None else {"cell_min_v": 3.6, "cell_max_v": round(3.6 + millivolts / 1000, 3)}
    put(book, "observation", {"serial_no": P1, "at": f"2031-{month}-{day}T08:00Z"} | cells | more)


def allow(book: Book, **limits: float) -> None:
    correct(book, "pack-type", "PK-12", limits, why="manual")


def trend(book: Book, name: str = CELLS) -> dict[str, Any]:
    found: dict[str, Any] = pack_detail(book, P1, NOW)["observations"]["trends"][name]
    return found


def expected(found: dict[str, Any]) -> list[str | None]:
    return [found[f"expected_{end}"] for end in ("low", "mid", "high")]


@pytest.fixture
def drifting(book: Book) -> Book:
    for month, millivolts in MONTHS:
        see(book, month, millivolts)
    return book


def test_the_date_is_where_the_line_meets_the_limit(drifting: Book) -> None:
    allow(drifting, cells_apart_limit_mv=50)
    found = trend(drifting)
    x = [minutes_of(f"2031-{month}-10T08:00Z") / YEAR for month, _ in MONTHS]
    line = line_through(x, [float(value) for _, value in MONTHS], 0.41)
    assert line is not None
    met = line.meets(50, minutes_of(NOW) / YEAR)
    for text, at in zip(expected(found), met[:3], strict=True):
        assert text is not None
        assert abs(minutes_of(f"{text}T12:00Z") / YEAR - at) < 1 / 365
    assert (
        found["limit_words"] == "limit 50 mV, expected about May 2032 (between March 2032 and September 2032)"
    )
    assert found["limit"] == 50


def test_without_a_limit_the_caution_stands_in_and_without_both_nothing_is_expected(drifting: Book) -> None:
    assert trend(drifting)["limit_words"] == "no limit is stated"
    assert (trend(drifting)["limit"], expected(trend(drifting))) == (None, [None] * 3)
    allow(drifting, cells_apart_caution_mv=40)
    assert trend(drifting)["limit_words"].startswith("caution 40 mV, expected about ")
    allow(drifting, cells_apart_caution_mv=27)
    assert trend(drifting)["limit_words"] == "caution 27 mV, passed on 2031-05-10"
    allow(drifting, cells_apart_limit_mv=27)  # what meets a limit is still allowed
    assert trend(drifting)["limit_words"] == "limit 27 mV, expected by now: look again"
    assert trend(drifting)["expected_low"] == NOW[:10]
    allow(drifting, cells_apart_limit_mv=26.9)
    assert trend(drifting)["limit_words"] == "limit 26.9 mV, passed on 2031-05-10"
    assert expected(trend(drifting)) == [None] * 3


def test_a_pack_that_does_not_move_has_no_date_within_ten_years(book: Book) -> None:
    allow(book, cells_apart_limit_mv=50)
    for month in ("01", "02", "03", "04", "05"):
        see(book, month, 20)
    assert (
        trend(book)["limit_words"] == "limit 50 mV, probably not within 10 years (March 2039 at the earliest)"
    )
    assert expected(trend(book))[1:] == [None, None]
    allow(book, cells_apart_limit_mv=90)
    assert trend(book)["limit_words"] == "limit 90 mV, not within 10 years"
    assert expected(trend(book)) == [None] * 3


def test_too_few_readings_say_so(book: Book) -> None:
    allow(book, cells_apart_limit_mv=50)
    assert (
        trend(book)["limit_words"]
        == "limit 50 mV; no date: too few readings alike, 3 over a month are needed"
    )
    for month in ("01", "02"):
        see(book, month, 20)
    assert expected(trend(book)) == [None] * 3
    assert "too few readings" in trend(book)["limit_words"]


def test_insulation_falls_towards_its_limit(book: Book) -> None:
    allow(book, insulation_limit_mohm=5)
    for month, ohms in (("01", 30), ("02", 28), ("03", 25.5), ("04", 24), ("05", 21.6)):
        see(book, month, insulation_mohm=ohms)
    found = trend(book, OHMS)
    assert found["value"] < 0
    low, mid, high = (end or "9" for end in expected(found))
    assert NOW[:10] < low < mid < high < "2033"
    see(book, "06", insulation_mohm=4.9)
    assert trend(book, OHMS)["limit_words"] == "limit 5 MΩ, passed on 2031-06-10"


def test_only_readings_at_much_the_same_charge_are_compared(book: Book) -> None:
    for month, millivolts in MONTHS:
        see(book, month, millivolts, soc_pct=60 + len(month))
    alone = trend(book)
    see(book, "06", 90, soc_pct=8)  # nearly empty, cells are far apart
    found = trend(book)
    assert (found["n"], found["value"]) == (1, None)
    assert found["words"] == "needs three readings over a month; 5 at another charge left out"
    see(book, "06", 28, 20, soc_pct=70)
    back = trend(book)
    assert back["n"] == alone["n"] + 1 == 6
    assert back["words"] == "line through 6 readings; 1 at another charge left out"
    see(book, "06", 28, 21)  # nobody read the charge: not known to be alike
    assert trend(book)["n"] == 1
    assert trend(book)["words"] == "needs three readings over a month; 7 at another charge left out"


def test_insulation_is_compared_at_much_the_same_temperature(book: Book) -> None:
    for month, ohms, warm in (("01", 60, 8), ("02", 30, 25), ("03", 29, 22), ("04", 28, 18), ("05", 27, 20)):
        see(book, month, insulation_mohm=ohms, temp_max_c=warm)
    assert trend(book, OHMS)["words"] == "line through 4 readings; 1 at another temperature left out"


def test_exchanged_voltages_are_no_part_of_the_line(drifting: Book) -> None:
    see(drifting, "06", -26)
    assert trend(drifting)["n"] == 5


def test_the_plot_draws_the_limit_and_the_caution_that_are_stated(drifting: Book) -> None:
    def lines() -> list[tuple[str, float]]:
        seen = pack_detail(drifting, P1, NOW)["observations"]
        allowed = seen["limits"]
        plot = cells_plot(seen["rows"], allowed["cells_apart_caution_mv"], allowed["cells_apart_limit_mv"])
        assert plot.y_range()[1] >= max((limit.y for limit in plot.limits), default=0)
        return [(limit.label, limit.y) for limit in plot.limits]

    assert lines() == []
    allow(drifting, cells_apart_caution_mv=40, cells_apart_limit_mv=60)
    assert lines() == [("caution", 40), ("limit", 60)]
    assert cells_plot([], 40, 60).limits == ()
