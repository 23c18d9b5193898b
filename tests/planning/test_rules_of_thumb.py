"""Rules of thumb of pilots of small electric aeroplanes, through the whole way of a plan.

Common practice, no published source. They live here only, are met to about a point, and describe no default of ours:
two packs of 11 kWh nominal; at SOH 100 a climb of 1000 ft takes 7 % and ten minutes of cruise at 25 kW 19 %; at SOH 40
they take 10 % and 28 %; land with 30 % or more; these 30 % are about a quarter of an hour at 25 kW, less than the half
hour that is wanted by day away from the circuit.
"""

import pytest

from logbook.domain.aircraft import Aircraft
from logbook.energy.estimator import Estimator
from logbook.energy.record import AircraftFacts, PackFacts
from logbook.planning.asking import answer_plan
from logbook.planning.fitted import FittedPack
from tests.planning.linear import plan

RATES = {
    "handbook_ground_kwh": 0.0,
    "handbook_climb_kwh_per_1000ft": 1.54,  # 7 % of 22 kWh
    "handbook_level_kwh_per_min": 25 / 60,
    "handbook_circuit_kwh": 0.0,
    "handbook_departure_kwh": 0.0,
    "cruise_power_kw": 25.0,
}
AIRCRAFT = Aircraft(
    registration="ZZ-EAA",
    positions=["front", "rear"],
    reserve_soc_pct=30.0,
    final_reserve_min_local=10.0,
    final_reserve_kw_local=25.0,
    final_reserve_min_day=30.0,
    final_reserve_kw_day=25.0,
    **RATES,
)
CLIMB = {"kind": "climb", "climb_ft": 1000}
CRUISE = {"kind": "level", "minutes": 10, "power_kw": 25}


def asked(soh, *legs, departure=100.0, **others):
    # What SOH 0 means follows from the rule itself: 7/10 and 19/28 of the capacity are left at SOH 40.
    packs = [PackFacts(serial, 11.0, 0.46, 1.0, 0.0) for serial in ("P1", "P2")]
    estimator = Estimator(AircraftFacts("ZZ-EAA", ("front", "rear"), **RATES), packs)
    fitted = tuple(
        FittedPack(serial, position, departure, soh, 20.0, 0.0)
        for serial, position in (("P1", "front"), ("P2", "rear"))
    )
    return answer_plan(plan(*legs, **others), AIRCRAFT, fitted, estimator)


@pytest.mark.parametrize(
    ("soh", "leg", "points"), [(100, CLIMB, 7), (100, CRUISE, 19), (40, CLIMB, 10), (40, CRUISE, 28)]
)
def test_a_leg_takes_the_points_that_pilots_reckon_with(soh, leg, points):
    answer = asked(soh, leg)
    for pack in answer.packs:
        assert 100 - pack.landing_soc_pct.mid == pytest.approx(points, abs=1.2)


def test_thirty_percent_is_a_quarter_of_an_hour_and_not_the_half_hour_wanted_by_day():
    answer = asked(100, {"kind": "level", "minutes": 0.5, "power_kw": 25}, departure=31.0)
    assert answer.minutes_left.mid == pytest.approx(15, abs=1.5)
    assert answer.final_reserve_min == 30
    assert answer.verdict == "does_not_fit"
    assert "30 min" in answer.because
    for pack in answer.packs:
        assert pack.reserve_soc_pct == 30  # both are shown: the percent rule ...
        assert pack.final_reserve_soc_pct.mid == pytest.approx(57, abs=3)  # ... and what the minutes ask for


def test_in_the_circuit_the_percent_rule_is_the_stricter():
    """10 min at 25 kW are 4.2 of 22 kWh, 19 %: below the 30 % of the rule."""
    answer = asked(100, {"kind": "circuits", "circuits": 3})
    assert answer.final_reserve_min == 10
    assert answer.packs[0].final_reserve_soc_pct.high < 30
    assert answer.packs[0].needed_soc_pct == 30
