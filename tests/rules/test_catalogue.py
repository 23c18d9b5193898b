"""Every rule with a record on each side of its threshold.

Bands without a published source are marked so in the catalogue ("common practice, no source"); the tests hold
the program to the bands it states, not to a norm.
"""

from __future__ import annotations

import pytest

from logbook.energy.estimate import Estimate
from logbook.rules.case import Neighbour, RecordedCase, final_reserve, in_force
from logbook.rules.catalogue import RULES
from logbook.rules.flag import ORDER, SIGNS
from tests import club
from tests.rules.cases import LIMITS, event, flight_case, found, pack_case

CONTRACT = (
    "landing_below_reserve",
    "final_reserve_short",
    "departure_below_minimum",
    "temperature_caution",
    "temperature_limit",
    "packs_apart",
    "soc_rose",
    "times_improbable",
    "pack_not_fitted",
    "ledger_gap",
    "soh_rose",
    "overlap",
)
"""The ids other programs are written against."""


def one(**reading):
    return flight_case(pack_case(club.P1, **reading), pack_case(club.P2))


def around(**case):
    return flight_case(pack_case(club.P1, case=case), pack_case(club.P2))


def earlier(**values):
    return around(before=(event(**values),))


def neighbour(off, on, start=None, end=None):
    return Neighbour("F0", off, on, start, end)


def recorded(takeoff="2031-05-09T08:36Z", **values):
    """The first pack was read at 90 and 60 %, 20, 35 and 33 °C; take-off at 08:36."""
    case = RecordedCase("R1", {"takeoff": takeoff}, ((club.P1, values),))
    return flight_case(recordings=(case,))


SIDES = {
    "landing_below_reserve": (one(soc_landing_pct=24.99), one(soc_landing_pct=25)),
    "final_reserve_short": (
        flight_case(minutes_left=Estimate(8, 9.99, 12)),
        flight_case(minutes_left=Estimate(8, 10, 12)),
    ),
    "departure_below_minimum": (
        flight_case(pack_case(soc_departure_pct=40, soc_landing_pct=39), fitted=(club.P1,)),
        flight_case(pack_case(soc_departure_pct=40.01, soc_landing_pct=39), fitted=(club.P1,)),
    ),
    "temperature_limit": (one(temp_max_c=56), one(temp_max_c=55.9)),
    "temperature_caution": (one(temp_max_c=48), one(temp_max_c=47.9)),
    "takeoff_temperature": (one(temp_departure_c=4.9), one(temp_departure_c=5)),
    "packs_apart": (one(soc_departure_pct=95.01), one(soc_departure_pct=95)),
    "soc_rose": (one(soc_landing_pct=91.01), one(soc_landing_pct=91)),
    "times_improbable": (
        flight_case(block_min=601),
        flight_case(flight={"outcome": "ground-run"}, block_min=600),
    ),
    "overlap": (
        flight_case(previous=neighbour("2031-05-09T08:00Z", "2031-05-09T08:31Z")),
        flight_case(previous=neighbour("2031-05-09T08:00Z", "2031-05-09T08:30Z")),
    ),
    "meter_gap": (
        flight_case(flight={"meter_start": 100.2}, previous=neighbour(None, None, 99, 100.0)),
        flight_case(flight={"meter_start": 100.1}, previous=neighbour(None, None, 99, 100.0)),
    ),
    "record_incomplete": (flight_case(flight={"place_to": None}), flight_case()),
    "two_pics": (
        flight_case(flight={"second_person": club.BEN, "second_function": "pic"}),
        flight_case(flight={"second_person": club.BEN, "second_function": "instructor"}),
    ),
    "person_twice": (
        flight_case(flight={"second_person": club.ADA, "second_function": "dual"}),
        flight_case(flight={"second_person": club.BEN, "second_function": "dual"}),
    ),
    "pack_not_fitted": (around(position=None), around(position="front")),
    "pack_quarantined": (around(grounded="it is quarantined"), around(grounded="")),
    "readings_missing": (one(soc_landing_pct=None), one(soc_landing_pct=60)),
    "ledger_gap": (
        earlier(what="charge", soc_after_pct=86.9),
        earlier(what="charge", soc_after_pct=87),
    ),
    "charge_start_differs": (
        around(after=event("charge", soc_before_pct=57.9)),
        around(after=event("charge", soc_before_pct=58)),
    ),
    "packs_swapped": (
        flight_case(
            pack_case(club.P1, soc_landing_pct=52, case={"after": event("charge", soc_before_pct=60)}),
            pack_case(club.P2, soc_landing_pct=60, case={"after": event("charge", soc_before_pct=52)}),
        ),
        flight_case(
            pack_case(club.P1, soc_landing_pct=52, case={"after": event("charge", soc_before_pct=57)}),
            pack_case(club.P2, soc_landing_pct=60, case={"after": event("charge", soc_before_pct=57)}),
        ),
    ),
    "soh_rose": (earlier(soh_pct=94.9), earlier(soh_pct=95)),
    "conditions_exceed_flight": (
        flight_case(flight={"night_min": 43.1}),
        flight_case(flight={"night_min": 43, "ifr_min": 40, "ground_training_min": 90}),
    ),
    "recording_differs": (recorded(soc_landing_pct=63.1), recorded(soc_landing_pct=63)),
    "value_improbable": (one(temp_departure_c=-50.1), one(temp_departure_c=-50)),
}


def test_every_rule_of_the_catalogue_is_tried_on_both_sides():
    assert SIDES.keys() == RULES.keys()


def test_every_rule_of_the_contract_exists():
    assert set(CONTRACT) <= RULES.keys()


def test_a_flight_with_nothing_wrong_raises_nothing():
    assert found(flight_case()) == {}


@pytest.mark.parametrize("rule", SIDES)
def test_a_rule_speaks_beyond_its_threshold_and_is_silent_at_it(rule):
    beyond, within = SIDES[rule]
    assert rule in found(beyond)
    assert rule not in found(within)


@pytest.mark.parametrize("rule", RULES)
def test_a_flag_says_its_figures_and_has_a_severity_with_a_sign(rule):
    flag = found(SIDES[rule][0])[rule]
    assert flag.severity in ORDER
    assert SIGNS[flag.severity]
    assert flag.words.endswith(".")
    assert flag.figures


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_says_what_to_do_and_where_it_comes_from(rule):
    assert RULES[rule].what_to_do
    assert RULES[rule].source


def test_the_serious_come_first():
    flags = found(
        flight_case(
            pack_case(club.P1, temp_max_c=60, soc_landing_pct=91.5),
            flight={"place_to": None},
            fitted=(club.P1,),
        )
    )
    order = [ORDER.index(flag.severity) for flag in flags.values()]
    assert len(order) >= 3
    assert order == sorted(order)


def test_a_rule_speaks_once_for_each_pack():
    flags = [flag for flag in flagged_twice() if flag.rule == "temperature_limit"]
    assert [flag.serial_no for flag in flags] == [club.P1, club.P2]


def flagged_twice():
    from logbook.rules.catalogue import flags_of

    return flags_of(flight_case(pack_case(club.P1, temp_max_c=57), pack_case(club.P2, temp_max_c=58)))


@pytest.mark.parametrize(
    "limit", ["temp_limit_c", "temp_caution_c", "takeoff_min_temp_c", "takeoff_max_temp_c"]
)
def test_a_missing_pack_limit_raises_no_flag(limit):
    silent = LIMITS._replace(**{limit: None, "temp_caution_c": None})
    case = flight_case(pack_case(temp_max_c=56.5, temp_departure_c=-10 if "min" in limit else 43))
    case = case._replace(packs=tuple(pack._replace(limits=silent) for pack in case.packs), fitted=())
    words = [flag.words for rule, flag in found(case).items() if rule.startswith(("temperature", "takeoff"))]
    assert all(limit.split("_")[0] not in word for word in words)
    if limit != "temp_limit_c":
        assert "temperature_limit" in found(case)
    else:
        assert "temperature_limit" not in found(case)


def test_a_missing_policy_raises_no_flag():
    nothing = dict.fromkeys(club.aircraft(), None) | {"registration": club.WATT}
    case = flight_case(
        pack_case(soc_departure_pct=12, soc_landing_pct=1), aircraft=nothing, fitted=(club.P1,), reserve=None
    )
    assert found(case) == {}


def test_the_limit_in_force_on_the_flight_goes_before_the_aeroplanes_of_today():
    assert "landing_below_reserve" in found(flight_case(flight={"reserve_soc_pct": 61}))
    assert "landing_below_reserve" not in found(
        flight_case(pack_case(soc_landing_pct=20), flight={"reserve_soc_pct": 20}, fitted=(club.P1,))
    )


@pytest.mark.parametrize(
    "by_night",
    [
        {"landings_night": 1},
        {"landings_night_full_stop": 1},
        {"crew": [{"person": club.ADA, "landings_night": 1}]},
        {"crew": [{"person": club.BEN, "landings_night_full_stop": 2}]},
    ],
    ids=["flight", "full stop", "crew", "crew, full stop"],
)
def test_a_landing_by_night_asks_for_the_reserve_by_night_wherever_it_was_written_down(by_night):
    flight = club.flight() | {"kind": "circuits"}
    assert final_reserve(flight, club.aircraft()).case == "local"
    assert final_reserve(flight | by_night, club.aircraft()).case == "night"


def test_the_temperature_limit_written_down_with_the_flight_goes_before_the_packs():
    limits = in_force(LIMITS, {"temp_limit_c": 40, "temp_caution_c": None})
    assert limits == LIMITS._replace(temp_limit_c=40)
    assert in_force(LIMITS, {"temp_limit_c": None}) == LIMITS
    assert in_force(LIMITS, {"temp_caution_c": 35}).temp_caution_c == 35


def test_the_weaker_pack_speaks_for_the_aeroplane():
    flag = found(flight_case(pack_case(club.P1, soc_landing_pct=24), pack_case(club.P2, soc_landing_pct=20)))[
        "landing_below_reserve"
    ]
    assert flag.serial_no == club.P2
    assert flag.figures["short_pct"] == 5


def test_charge_at_touchdown_and_at_take_off_decide_where_they_were_read():
    assert "landing_below_reserve" not in found(one(soc_touchdown_pct=25.5, soc_landing_pct=24))
    assert "departure_below_minimum" in found(one(soc_takeoff_pct=39.5, soc_landing_pct=38))


@pytest.mark.parametrize("outcome", ["ground-run", "aborted", "rejected"])
def test_who_did_not_fly_did_not_land_below_the_reserve_nor_depart_below_the_least_charge(outcome):
    case = flight_case(
        pack_case(soc_departure_pct=30, soc_landing_pct=10, temp_departure_c=-20),
        flight={"outcome": outcome},
        minutes_left=Estimate(3, 4, 5),
        fitted=(club.P1,),
    )
    assert not {
        "landing_below_reserve",
        "final_reserve_short",
        "departure_below_minimum",
        "takeoff_temperature",
    } & set(found(case))


def test_a_reading_from_memory_is_no_gap_in_the_line_of_charge():
    assert "ledger_gap" not in found(earlier(what="charge", soc_after_pct=50, source="remembered"))


def test_self_discharge_over_weeks_is_no_gap_but_a_rise_is():
    weeks = "2031-04-09T08:30Z"
    assert "ledger_gap" not in found(earlier(at=weeks, soc_after_pct=98.9))
    assert "ledger_gap" in found(earlier(at=weeks, soc_after_pct=99.1))
    assert "ledger_gap" in found(earlier(at=weeks, soc_after_pct=86))


def test_health_may_rise_after_a_baseline_break():
    case = flight_case(
        pack_case(case={"before": (event(soh_pct=80),), "break_since": True}), pack_case(club.P2)
    )
    assert "soh_rose" not in found(case)


def test_more_time_in_the_air_than_the_energy_aboard_can_carry_is_improbable():
    # 20 kW of cruise, at least 35 % of it: 7 kW. Aboard at most 2 x 13 kWh x 90 % = 23.4 kWh, gone after 200.6 min.
    assert "times_improbable" in found(flight_case(air_min=201, block_min=210))
    assert "times_improbable" not in found(flight_case(air_min=200, block_min=210))


def test_flights_that_only_touch_do_not_overlap_and_one_inside_another_does():
    assert "overlap" not in found(flight_case(following=neighbour("2031-05-09T09:10Z", "2031-05-09T09:30Z")))
    assert "overlap" in found(flight_case(following=neighbour("2031-05-09T08:40Z", "2031-05-09T08:50Z")))


def test_an_open_flight_is_not_told_what_it_lacks():
    case = flight_case(
        pack_case(soc_landing_pct=None), flight={"state": "open", "place_to": None}, fitted=(club.P1,)
    )
    assert found(case) == {}


RECORDED_SIDES = (
    (recorded(temp_max_c=38.1), recorded(temp_max_c=38)),
    (recorded(takeoff="2031-05-09T08:40Z"), recorded(takeoff="2031-05-09T08:33Z")),
    (recorded(soc_departure_pct=86.9), recorded(soc_takeoff_pct=12)),
)


@pytest.mark.parametrize(("differs", "agrees"), RECORDED_SIDES)
def test_temperatures_and_times_that_were_recorded_have_bands_too(differs, agrees):
    assert "recording_differs" in found(differs)
    assert "recording_differs" not in found(agrees)


def test_a_recorded_difference_names_both_values_and_the_pack():
    flag = found(recorded(soc_landing_pct=55, temp_landing_c=40))["recording_differs"]
    assert flag.serial_no == club.P1
    assert flag.words == (
        f"Pack {club.P1}: charge after stop written down as 60 %, recorded 55 %; "
        "temperature after stop written down as 33 °C, recorded 40 °C."
    )
    assert flag.figures["soc_landing_pct"] == {"typed": 60, "recorded": 55}
