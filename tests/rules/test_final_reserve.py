"""Which final reserve applies.

Sources: AMC1 NCO.OP.125(b) (10 min by day at one aerodrome in sight, 30 min by day, 45 min by night) and
14 CFR 91.151(a) (30 min by day, 45 by night). The figures are the operator's; the cases follow the sources.
"""

from __future__ import annotations

import pytest

from logbook.rules.case import final_reserve
from tests import club


def applies(**flight):
    whole = {
        "kind": "local",
        "place_from": club.FIELD,
        "place_to": club.FIELD,
        "landings_night": None,
    } | flight
    return final_reserve(whole, club.aircraft())


@pytest.mark.parametrize(
    ("flight", "minutes", "power_kw", "case"),
    [
        ({"kind": "circuits"}, 10, 24, "local"),
        ({"kind": "circuits", "place_to": club.MOSS}, 10, 24, "local"),
        ({"kind": "local"}, 10, 24, "local"),
        ({"kind": "local", "place_to": club.MOSS}, 30, 20, "day"),
        ({"kind": "cross-country"}, 30, 20, "day"),
        ({"kind": "ferry"}, 30, 20, "day"),
        ({"kind": "check"}, 30, 20, "day"),
        ({"kind": None}, 30, 20, "day"),
        ({"kind": "circuits", "landings_night": 1}, 45, 20, "night"),
        ({"kind": "cross-country", "landings_night": 2}, 45, 20, "night"),
        ({"kind": "circuits", "landings_night": 0}, 10, 24, "local"),
    ],
)
def test_night_if_any_landing_was_by_night_local_in_the_circuit_and_near_home_else_day(
    flight, minutes, power_kw, case
):
    reserve = applies(**flight)
    assert (reserve.minutes, reserve.power_kw, reserve.case) == (minutes, power_kw, case)
    assert f"{minutes} min at {power_kw} kW" in reserve.words


def test_the_figures_recorded_with_the_flight_go_first():
    reserve = applies(final_reserve_min=12, final_reserve_kw=22)
    assert (reserve.minutes, reserve.power_kw) == (12, 22)


def test_cruise_power_counts_the_minutes_where_the_case_has_no_power_of_its_own():
    silent = club.aircraft(final_reserve_kw_local=None)
    assert final_reserve({"kind": "circuits"}, silent).power_kw == 20


def test_without_a_figure_there_is_a_case_but_no_minutes():
    reserve = final_reserve({"kind": "circuits"}, {"registration": club.WATT})
    assert reserve.minutes is None
    assert "no figure" in reserve.words
