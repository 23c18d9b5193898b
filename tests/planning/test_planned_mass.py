"""A plan counts the take-off mass as typed: never cheaper than the nearest mass that is believed, and never in silence."""

import json

import pytest

from logbook.energy.estimator import Estimator, estimate
from logbook.energy.record import AircraftFacts, AircraftHistory, FlightFacts, ReadingFacts
from logbook.planning.answer import PlanAnswer
from logbook.planning.asking import answer_plan
from tests.planning.linear import circuits_plan
from tests.planning.test_asking import FITTED, PACKS, RATES, SIX, craft, unflown

USUAL_KG = 550.0


def flown_at(mass_kg: float | None, flights: int = 30, **changes) -> Estimator:
    """An aeroplane flown again and again at one mass: two circuits and a local stretch, each taking 25 points."""
    facts = AircraftFacts("ZZ-EAA", ("front", "rear"), **{**RATES, **changes})
    one = FlightFacts(
        "F", 0, 7, 32, 36, "local", 2, 1500, level_min=10, mass_kg=mass_kg, handler="A", aboard=2
    )
    days = [
        one._replace(
            flight_id=f"F{day}",
            off_blocks=1440 * day,
            takeoff=1440 * day + 7,
            landing=1440 * day + 32,
            on_blocks=1440 * day + 36,
            readings=tuple(
                ReadingFacts(serial, place, 100.0, 75.0, 90.0)
                for serial, place in (("P1", "front"), ("P2", "rear"))
            ),
        )
        for day in range(flights)
    ]
    return estimate(AircraftHistory(facts, PACKS, tuple(days)))


@pytest.fixture(scope="module")
def estimator() -> Estimator:
    return flown_at(USUAL_KG)


def answered(estimator: Estimator, mass_kg: float | None, **changes) -> PlanAnswer:
    asked = circuits_plan("ZZ-EAA", 5, mass_kg=mass_kg).model_copy(update={"handled_by": "A", "aboard": 2})
    return answer_plan(asked, craft(**changes), FITTED, estimator)


def width(answer: PlanAnswer) -> float:
    return answer.energy_kwh.high - answer.energy_kwh.low


def about_mass(answer: PlanAnswer) -> str:
    return " ".join(caution for caution in answer.cautions if "take-off mass" in caution)


def test_a_heavier_plan_costs_more_and_is_less_sure_however_far_from_the_record(estimator: Estimator) -> None:
    answers = [answered(estimator, mass) for mass in (550, 650, 749, 750, 751, 900, 1400, 2900)]
    energies = [answer.energy_kwh.mid for answer in answers]
    assert energies == sorted(energies)
    assert energies[4] == pytest.approx(energies[3], rel=0.005)  # no step at 200 kg above the usual
    assert energies[6] > 1.7 * energies[0]
    widths = [width(answer) / answer.energy_kwh.mid for answer in answers]
    assert widths == sorted(widths)
    landings = [answer.packs[0].landing_soc_pct.low for answer in answers]
    assert landings == sorted(landings, reverse=True)


def test_a_plan_that_fits_at_the_usual_mass_does_not_fit_at_five_times_that(estimator: Estimator) -> None:
    assert answered(estimator, USUAL_KG).verdict == "fits"
    assert answered(estimator, 2900).verdict == "does_not_fit"


def test_what_is_extrapolated_is_said_with_both_masses_in_the_answer_and_its_json(
    estimator: Estimator,
) -> None:
    words = about_mass(answered(estimator, 751))
    for said in ("751 kg", "above the heaviest", "extrapolated"):
        assert said in words
    assert words in " ".join(json.loads(json.dumps(answered(estimator, 751).to_json()))["cautions"])
    assert "heavier than any flight" not in " ".join(answered(estimator, 751).cautions)  # said once
    assert not about_mass(answered(estimator, USUAL_KG))


def test_a_mass_far_below_the_usual_is_counted_no_lighter_than_is_believed() -> None:
    heavy = flown_at(900.0)
    believed, lighter = answered(heavy, 700), answered(heavy, 600)
    assert lighter.energy_kwh == believed.energy_kwh
    assert "600 kg is far below the usual 900 kg: counted as 700 kg" in about_mass(lighter)
    assert not about_mass(believed)


def test_the_people_alone_are_not_believed_and_the_usual_mass_stands_in(estimator: Estimator) -> None:
    people = answered(estimator, 160)
    assert people.energy_kwh.mid == pytest.approx(answered(estimator, USUAL_KG).energy_kwh.mid)
    assert "not believed: the answer counts with the usual 550 kg" in about_mass(people)
    nameless = answer_plan(circuits_plan("ZZ-EAA", 5, mass_kg=160.0), craft(), FITTED, unflown())
    assert "counts with 600 kg, taken from the handbook" in about_mass(nameless)


def test_before_the_first_flight_the_mass_of_the_handbook_is_where_knowledge_ends() -> None:
    heavy = answer_plan(circuits_plan("ZZ-EAA", 5, mass_kg=900.0), craft(), FITTED, unflown())
    usual = answer_plan(circuits_plan("ZZ-EAA", 5, mass_kg=600.0), craft(), FITTED, unflown())
    assert "300 kg above the heaviest the figures hold for (600 kg)" in about_mass(heavy)
    assert heavy.energy_kwh.mid > 1.2 * usual.energy_kwh.mid
    assert width(heavy) / heavy.energy_kwh.mid > width(usual) / usual.energy_kwh.mid


def test_a_mass_that_nothing_relates_to_energy_is_said_to_have_no_bearing() -> None:
    nothing = {"handbook_mass_kg": None, "empty_mass_kg": None}
    answer = answer_plan(SIX, craft(**nothing), FITTED, unflown(**nothing))
    assert "600 kg has no bearing" in about_mass(answer)


def test_less_mass_still_mends_a_plan_that_is_too_heavy(estimator: Estimator) -> None:
    asked = circuits_plan("ZZ-EAA", 5, mass_kg=1100.0).model_copy(update={"handled_by": "A", "aboard": 2})
    answer = answer_plan(asked, craft(), FITTED, estimator)
    assert answer.verdict == "does_not_fit"
    less = next(remedy.amount for remedy in answer.would_fit if remedy.change == "mass")
    assert answered(estimator, 1100.0 - less).verdict == "fits"
