"""Reserves and minutes left of packs whose percents are not all worth the same, worked by hand."""

import pytest

from logbook.energy.estimate import Estimate
from logbook.energy.worth import worths_of
from logbook.planning.asking import Asked, answer_plan
from logbook.planning.case import Case
from logbook.planning.judge import Limits, judge, minutes_after
from logbook.planning.need import need_of
from logbook.planning.outlook import Outlook, PackOutlook
from logbook.planning.planner import question_of
from logbook.planning.reserve import final_reserve
from tests.planning.linear import aircraft
from tests.planning.test_asking import FITTED, PACKS, SIX, craft, unflown

# Upper six 12 11 10 10 9 8: mean 10; near empty one percent is worth 0.8, 0.8, 0.7, 0.7 points.
BY_HAND = (12, 11, 10, 10, 9, 8, 8, 8, 7, 7)
WORTHS = worths_of(BY_HAND)


def landing(soc: float, worths=WORTHS) -> Outlook:
    """One pack of 10 kWh that carries everything and lands with a charge nobody doubts."""
    sure = Estimate(10.0, 10.0, 10.0)
    return Outlook((PackOutlook("P1", 100.0, Estimate(soc, soc, soc), soc, sure, 1.0, worths=worths),))


def test_the_charge_a_final_reserve_asks_for_holds_its_energy_above_the_unusable_charge() -> None:
    """9.25 min at 12 kW are 1.85 kWh, 18.5 points of 10 kWh: from 5 % up 3.5 + 7 + 8, which is 30 %, not 23.5 %."""
    final = final_reserve(aircraft(final_reserve_min_day=9.25, final_reserve_kw_day=12), "day")
    with_curve = judge(landing(31), Limits(None, final, (5.0,)))
    assert with_curve.packs[0].needed_pct == pytest.approx(30)
    assert with_curve.margin_pct == pytest.approx(1)
    assert judge(landing(31, None), Limits(None, final, (5.0,))).packs[0].needed_pct == pytest.approx(23.5)


def test_minutes_left_after_a_plan_are_those_of_the_energy_left() -> None:
    assert minutes_after(landing(30), 12, (5.0,)).mid == pytest.approx(9.25)
    assert minutes_after(landing(30, None), 12, (5.0,)).mid == pytest.approx(12.5)
    assert minutes_after(landing(3), 12, (5.0,)).mid == 0


def test_a_plan_that_would_not_fit_says_from_which_charge_it_would() -> None:
    """The least charge it names is one from which the same plan keeps its reserve, and one percent less does not."""
    known = unflown(tuple(pack._replace(curve=BY_HAND) for pack in PACKS))
    low = tuple(pack._replace(soc_pct=60.0) for pack in FITTED)
    found = answer_plan(SIX, craft(), low, known)
    charge = next(remedy for remedy in found.would_fit if remedy.change == "charge")
    enough, short = (
        answer_plan(SIX, craft(), [pack._replace(soc_pct=soc) for pack in FITTED], known).verdict
        for soc in (charge.amount, charge.amount - 1)
    )
    assert (enough, short) == ("fits", "does_not_fit")


@pytest.mark.parametrize("curve", [BY_HAND, (15, 14, 13, 12, 11, 10, 9, 8, 7, 6)])
def test_the_least_charge_to_start_with_is_enough_and_no_more(curve) -> None:
    """Turn-back charges are such: from them what is left to fly keeps the reserve, with nothing over."""
    question = question_of(SIX, craft(), FITTED)
    need = need_of(question.legs)
    asked = Asked(unflown(tuple(pack._replace(curve=curve) for pack in PACKS)), question, need)
    case = Case(asked, question.limits, question, question.legs)  # the setting is not asked for
    start = case.least_start(need)
    assert all(30 < charge < 100 for charge in start)
    margins = [pack.margin_pct for pack in case.judged(need, departures_pct=start).packs]
    assert margins == pytest.approx([0, 0], abs=0.02)
