"""From a plan as typed to its answer: the one way in to planning."""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from logbook.domain.aircraft import Aircraft
from logbook.domain.plan import PlanInput
from logbook.domain.reserve import reserve_case
from logbook.energy.estimate import Estimate
from logbook.errors import DataRefused
from logbook.planning.answer import CANNOT_TELL, Alternative, HandbookAnswer, PackAnswer, PlanAnswer
from logbook.planning.atmosphere import density_altitude_ft
from logbook.planning.case import Case
from logbook.planning.cautions import assumptions, cautions
from logbook.planning.compare import why_they_differ
from logbook.planning.diversion import diversion_need
from logbook.planning.fitted import FittedPack, at_departure
from logbook.planning.judge import Judged, Limits, minutes_after
from logbook.planning.leg_table import leg_table
from logbook.planning.legs import Leg, Setting, flown_legs, setting_of
from logbook.planning.need import ONE_CIRCUIT
from logbook.planning.outlook import Forecaster, Outlook
from logbook.planning.remedies import circuits_that_fit, remedies
from logbook.planning.reserve import FinalReserve, final_reserve
from logbook.planning.route_points import MORE_WIND, route_points
from logbook.planning.verdict import because, cannot_tell, verdict_of
from logbook.planning.words import pack_name, percent_down, percent_up


class Question(NamedTuple):
    """A plan with everything known around it, before any forecast."""

    plan: PlanInput
    aircraft: Aircraft
    packs: tuple[FittedPack, ...]
    setting: Setting
    legs: tuple[Leg, ...]
    reserve_case: str
    final: FinalReserve | None
    concerns: tuple[str, ...] = ()

    @property
    def limits(self) -> Limits:
        """What must remain after landing."""
        unusable = tuple(
            self.aircraft.unusable_soc_pct or 0.0 if pack.unusable_soc_pct is None else pack.unusable_soc_pct
            for pack in self.packs
        )
        return Limits(self.aircraft.reserve_soc_pct, self.final, unusable)


class Means(NamedTuple):
    """The two forecasters of one plan, and what they lack."""

    observed: Forecaster | None
    handbook: Forecaster | None = None
    rate_words: tuple[str, ...] = ()
    """How single rates of the record differ from the handbook's."""
    missing: tuple[str, ...] = ()
    """Why there is no forecast: no capacity, no rates and no handbook."""


def question_of(
    plan: PlanInput,
    aircraft: Aircraft,
    fitted: Sequence[FittedPack],
    *,
    circuit_min: float | None = None,
    concerns: Sequence[str] = (),
) -> Question:
    """Everything of a plan that needs no forecast.

    Args:
        plan: as typed.
        aircraft: its record.
        fitted: its packs as last recorded.
        circuit_min: minutes of one circuit by the record [min].
        concerns: open defects, quarantined packs, expired items, in words; they come first in the answer.

    Raises:
        DataRefused: no packs fitted, an unknown pack, no wind solution, above the ceiling, no airspeed.
    """
    packs = at_departure(plan, fitted)
    setting = setting_of(plan, aircraft, circuit_min)
    legs = flown_legs(setting)
    kind = plan.flight_kind or flight_kind(legs, plan)
    case = reserve_case(kind, plan.landings_night, plan.place_from, plan.place_to)
    return Question(
        plan, aircraft, packs, setting, legs, case, final_reserve(aircraft, case), tuple(concerns)
    )


def flight_kind(legs: Sequence[Leg], plan: PlanInput) -> str:
    """The kind of a flight that states none, the stricter where in doubt.

    Nothing but circuits is circuits; what comes back to the same named place without a leg by distance is local; all
    else counts as cross-country, so that the stricter final reserve applies until the pilot says otherwise.
    """
    flown = [leg for leg in legs if leg.kind != "ground"]
    elsewhere = plan.place_from is not None and plan.place_to is not None and plan.place_from != plan.place_to
    if elsewhere or any(leg.distance_nm for leg in flown):
        return "cross-country"
    if flown and all(leg.kind == "circuits" for leg in flown):
        return "circuits"
    return "local" if plan.place_from is not None and plan.place_from == plan.place_to else "cross-country"


def answer(question: Question, means: Means) -> PlanAnswer:
    """Whether the plan fits, and everything behind it."""
    nothing = cannot_tell(question.packs, question.limits, means.missing)
    if nothing is not None or means.observed is None:
        unanswered = _unanswered(question, nothing or "Cannot tell: there is no forecast for this aeroplane.")
        if means.observed is None or cannot_tell(question.packs, None, means.missing):
            return unanswered
        return _unjudged(question, means.observed, unanswered)
    case = _case(question, means.observed)
    decisive = case.judged(case.whole)
    landed = _landed(case, means.observed, question)
    outlook, final = landed.outlook, question.final
    windier, energy_kwh = _windier(question, case), means.observed.energy(case.flown)
    return PlanAnswer(
        verdict=verdict_of(decisive),
        because=because(
            decisive, case.limits, "lands" if case.diversion is None else "reaches the alternate"
        ),
        packs=_pack_answers(question, landed),
        minutes_left=_minutes_left(question, landed.outlook),
        minutes_left_at_kw=_power_left_kw(question),
        final_reserve_min=final.minutes if final else None,
        final_reserve_kw=final.power_kw if final else None,
        final_reserve_rule=final.words() if final else "",
        chance_below_reserve=outlook.chance_below_reserve,
        handbook=_handbook(question, means, landed, energy_kwh),
        legs=leg_table(case),
        points=route_points(case, windier.case, windier.why_not),
        cautions=_cautions(question, outlook.widened),
        energy_kwh=energy_kwh,
        block_min=_total_minutes(question.legs),
        go_around=_alternative(
            case.judged(case.whole.plus(ONE_CIRCUIT)), "One go-around and one more circuit"
        ),
        diversion=None if case.diversion is None else _alternative(decisive, "The diversion"),
        more_wind=None
        if windier.case is None
        else _alternative(windier.case.judged(windier.case.whole), f"In {MORE_WIND:g} times the wind"),
        would_fit=() if decisive.fits else remedies(case, _departures(question), question.plan.mass_kg),
        circuits_that_fit=circuits_that_fit(case),
        density_altitude_ft=_density_altitude(question.plan),
        assumptions=assumptions(question.plan, question.legs),
    )


def _unanswered(question: Question, words: str) -> PlanAnswer:
    final = question.final
    return PlanAnswer(
        verdict=CANNOT_TELL,
        because=words,
        packs=tuple(
            PackAnswer(
                pack.serial_no,
                pack.position,
                pack.soc_pct,
                reserve_soc_pct=question.aircraft.reserve_soc_pct,
                temp_departure_c=pack.temp_c,
                soh_pct=pack.soh_pct,
            )
            for pack in question.packs
        ),
        final_reserve_min=final.minutes if final else None,
        final_reserve_kw=final.power_kw if final else None,
        final_reserve_rule=final.words() if final else "",
        cautions=_cautions(question, ()),
        block_min=_total_minutes(question.legs),
        density_altitude_ft=_density_altitude(question.plan),
        assumptions=assumptions(question.plan, question.legs),
    )


def _unjudged(question: Question, forecaster: Forecaster, unanswered: PlanAnswer) -> PlanAnswer:
    """The forecast of a plan that has no reserve to be held against: what is left, but no verdict."""
    case = _case(question, forecaster)
    outlook = forecaster.ahead(case.flown)
    return replace(
        unanswered,
        packs=tuple(
            replace(pack, landing_soc_pct=ahead.soc_pct, usable_kwh=ahead.usable_kwh)
            for pack, ahead in zip(unanswered.packs, outlook.packs, strict=True)
        ),
        minutes_left=_minutes_left(question, outlook),
        minutes_left_at_kw=_power_left_kw(question),
        energy_kwh=forecaster.energy(case.flown),
        cautions=_cautions(question, outlook.widened),
    )


def _case(question: Question, forecaster: Forecaster) -> Case:
    return Case(
        forecaster, question.limits, question.setting, question.legs, diversion_need(question.setting)
    )


def _departures(question: Question) -> tuple[float, ...]:
    return tuple(pack.soc_pct or 0.0 for pack in question.packs)


def _landed(case: Case, forecaster: Forecaster, question: Question) -> Judged:
    """The planned landing, with the chances of ending below the reserve."""
    judged = case.judged(case.flown)
    policy = question.aircraft.reserve_soc_pct
    reserves = [pack.needed_pct if policy is None else policy for pack in judged.packs]
    return judged._replace(outlook=forecaster.ahead(case.flown, reserves_pct=reserves))


def _pack_answers(question: Question, judged: Judged) -> tuple[PackAnswer, ...]:
    return tuple(
        PackAnswer(
            serial_no=pack.serial_no,
            position=pack.position,
            soc_departure_pct=pack.soc_pct,
            landing_soc_pct=outlook.soc_pct,
            chance_below_reserve=outlook.chance_below_reserve,
            reserve_soc_pct=question.aircraft.reserve_soc_pct,
            final_reserve_soc_pct=judgement.final_pct,
            needed_soc_pct=judgement.needed_pct,
            margin_pct=judgement.margin_pct,
            usable_kwh=outlook.usable_kwh,
            temp_departure_c=pack.temp_c,
            soh_pct=pack.soh_pct,
        )
        for pack, outlook, judgement in zip(question.packs, judged.outlook.packs, judged.packs, strict=True)
    )


def _power_left_kw(question: Question) -> float | None:
    """The power at which the minutes left are counted [kW]: that of the final reserve; without one, cruise power."""
    return question.final.power_kw if question.final else question.aircraft.cruise_power_kw or None


def _minutes_left(question: Question, landed: Outlook) -> Estimate | None:
    power_kw = _power_left_kw(question)
    return minutes_after(landed, power_kw, question.limits.unusable_pct) if power_kw else None


def _handbook(
    question: Question, means: Means, landed: Judged, record_kwh: Estimate
) -> HandbookAnswer | None:
    if means.handbook is None:
        return None
    case = _case(question, means.handbook)
    theirs = _landed(case, means.handbook, question)
    handbook_kwh = means.handbook.energy(case.flown)
    return HandbookAnswer(
        verdict=verdict_of(case.judged(case.whole)),
        packs=_pack_answers(question, theirs),
        minutes_left=_minutes_left(question, theirs.outlook),
        energy_kwh=handbook_kwh,
        why=why_they_differ(landed.outlook, theirs.outlook, record_kwh, handbook_kwh, means.rate_words),
    )


class Windier(NamedTuple):
    """The plan in more wind, or why it cannot be flown in it."""

    case: Case | None
    why_not: str = ""


def _windier(question: Question, case: Case) -> Windier:
    """The same plan with its legs flown in 1.4 times the wind."""
    if not any(leg.wind.speed_kt for leg in question.legs) and not question.setting.wind.speed_kt:
        return Windier(None)
    try:
        stronger = question.setting._replace(wind_factor=MORE_WIND)
        return Windier(
            case._replace(setting=stronger, legs=flown_legs(stronger), diversion=diversion_need(stronger))
        )
    except DataRefused as refusal:
        return Windier(None, f"At {MORE_WIND:g} times the wind: {refusal.problem}")


def _alternative(judged: Judged, what: str) -> Alternative:
    pack, judgement = judged.outlook.packs[judged.weaker], judged.packs[judged.weaker]
    fits = "fits" if judged.fits else "does not fit"
    has, needed = percent_down(max(pack.low_pct, 0.0)), percent_up(judgement.needed_pct)
    words = f"{what}: {fits}; {pack_name(pack.serial_no)} would land with {has} or more, {needed} is needed."
    return Alternative(judged.fits, words, pack.serial_no, max(pack.low_pct, 0.0), judgement.needed_pct)


def _cautions(question: Question, widened: Sequence[str]) -> tuple[str, ...]:
    return cautions(
        question.plan,
        question.aircraft,
        question.packs,
        concerns=question.concerns,
        doubts=[leg.doubt for leg in question.legs if leg.doubt],
        widened=widened,
        final=question.final,
        case=question.reserve_case,
    )


def _total_minutes(legs: Sequence[Leg]) -> float | None:
    """Minutes of all legs together; unknown if any is [min]."""
    minutes = [leg.minutes for leg in legs]
    return None if any(value is None for value in minutes) else sum(value or 0.0 for value in minutes)


def _density_altitude(plan: PlanInput) -> float | None:
    if plan.outside_temp_c is None or plan.elevation_ft is None:
        return None
    return density_altitude_ft(plan.elevation_ft, plan.outside_temp_c)
