"""Between planning and the estimates: a need becomes a demand, a landing forecast becomes an outlook."""

from collections.abc import Sequence
from math import sqrt

from logbook.domain.aircraft import Aircraft
from logbook.domain.plan import PlanInput
from logbook.energy.capacity import Capacity
from logbook.energy.demand import Demand, PackStart, kind_of
from logbook.energy.estimate import Z90, Estimate
from logbook.energy.estimator import Estimator
from logbook.energy.forecast import LandingForecast
from logbook.energy.largest import HEAVIER
from logbook.energy.rates import Rate
from logbook.energy.record import members_of
from logbook.energy.what_if import (
    capacity_known,
    flights_known,
    last_health,
    mass_words,
    stated_worths,
    untaught,
    usual_circuit_min,
    what_if,
)
from logbook.energy.worth import points_between
from logbook.planning.answer import PlanAnswer
from logbook.planning.any_pack import chance_any
from logbook.planning.compare import WORTH_A_WORD, rate_words
from logbook.planning.fitted import FittedPack
from logbook.planning.need import Need, need_of
from logbook.planning.outlook import Outlook, PackOutlook
from logbook.planning.planner import Means, Question, answer, question_of
from logbook.planning.words import pack_name, pack_starts

APART_PCT = 5.0
"""A state of health this far from the last one recorded is worth a word [points]."""


class Asked:
    """An estimator asked about one plan; see `outlook.Forecaster`."""

    def __init__(self, estimator: Estimator, question: Question, whole: Need) -> None:
        plan, packs = question.plan, question.packs
        self._plan = plan
        self._packs = packs
        self._record = estimator
        self._estimator = what_if(estimator, [_start(pack, 100.0, pack.soh_pct) for pack in packs])
        self._kind: str = plan.flight_kind or ""
        self._how = "the record and the handbook" if flights_known(estimator) else "the handbook alone"
        self._kind = kind_of(self._demand(whole, None))
        self._held = [self._capacity(pack) for pack in packs]
        one_gauge = any(not pack.serial_no for pack in packs)
        self._shares = self._shares_of_load(1 if one_gauge else len(question.aircraft.positions))

    def ahead(
        self,
        need: Need,
        *,
        departures_pct: Sequence[float] | None = None,
        mass_kg: float | None = None,
        reserves_pct: Sequence[float] | None = None,
    ) -> Outlook:
        """The packs after a stretch of flying; see `outlook.Forecaster`."""
        demand = self._demand(need, mass_kg)
        charges = [pack.soc_pct or 0.0 for pack in self._packs] if departures_pct is None else departures_pct
        starts = [_start(pack, charge) for pack, charge in zip(self._packs, charges, strict=True)]
        found = self._estimator.forecast(demand, starts)
        # The forecast keeps charges within 0 and 100; a full pack short by some points must still say how many.
        packs = tuple(
            PackOutlook(
                forecast.serial_no,
                charge,
                Estimate(forecast.low, forecast.mid, forecast.high, self._flights, self._how),
                charge - min(charge, 100.0) + forecast.mean - Z90 * forecast.sd,
                held.usable_kwh,
                share,
                None if reserves_pct is None else forecast.chance_below(reserves_pct[number]),
                stated_worths(self._estimator, members_of(starts[number])[0]),
            )
            for number, (forecast, charge, held, share) in enumerate(
                zip(found, charges, self._held, self._shares, strict=True)
            )
        )
        if reserves_pct is None:
            return Outlook(packs)
        return Outlook(packs, chance_any(found, reserves_pct), self._widened(found))

    def _demand(self, need: Need, mass_kg: float | None) -> Demand:
        plan = self._plan
        return Demand(
            climb_ft=need.climb_ft,
            level_min=sum(part.minutes for part in need.level if part.power_kw is None),
            circuits=need.circuits,
            starts=1.0 if need.ground else 0.0,
            departs=need.departure,
            airwork=tuple((part.minutes, part.power_kw) for part in need.level if part.power_kw is not None),
            extra_kwh=need.extra_kwh,
            mass_kg=plan.mass_kg if mass_kg is None else mass_kg,
            aboard=plan.aboard,
            handler=plan.handled_by,
            outside_temp_c=plan.outside_temp_c,
            wind_kt=plan.wind_kt,
            kind=self._kind,
        )

    @property
    def _flights(self) -> int:
        return flights_known(self._estimator)

    def energy(self, need: Need) -> Estimate:
        """What a stretch of flying takes from all packs together; see `outlook.Forecaster`."""
        legs = self._estimator.leg_energies([self._demand(need, None)], self._kind)
        mid, half = float(legs.kwh[0]), Z90 * sqrt(max(float(legs.covariance[0, 0]), 0.0))
        return Estimate(max(mid - half, 0.0), mid, mid + half, self._flights, self._how)

    def _shares_of_load(self, positions: int) -> tuple[float, ...]:
        """Each pack's share of the load, as the forecast has it: drop × capacity of equally full packs."""
        starts = [_start(pack._replace(temp_c=None), 100.0) for pack in self._packs]
        drained = self._estimator.forecast(Demand(extra_kwh=2.0, starts=0.0, departs=False), starts)
        parts = [
            points_between(stated_worths(self._estimator, members_of(start)[0]), 100.0, forecast.mean)
            * held.usable_kwh.mid
            for start, forecast, held in zip(starts, drained, self._held, strict=True)
        ]
        carried = len(parts) / max(positions, len(parts))
        return tuple(carried * part / sum(parts) for part in parts)

    def _capacity(self, pack: FittedPack) -> Capacity:
        if pack.packs:
            return self._estimator.capacity_together(pack.packs)
        return self._estimator.capacity(pack.serial_no, soh_pct=pack.soh_pct)

    def _widened(self, found: Sequence[LandingForecast]) -> tuple[str, ...]:
        """Why the interval is wide, in sentences."""
        outside = dict.fromkeys(reason for forecast in found for reason in forecast.outside)
        mass = mass_words(self._estimator, self._plan.mass_kg, self._plan.handled_by, self._plan.aboard)
        if mass:
            outside.pop(HEAVIER, None)  # the sentence about the mass says it with its figures
        said = [*mass, *(f"The forecast is wider than usual ({reason})." for reason in outside)]
        for pack, held in zip(self._packs, self._held, strict=True):
            if pack.soh_pct is None and last_health(self._record, pack.serial_no) is None:
                said.append(
                    f"The state of health of {pack_name(pack.serial_no)} is unknown: the forecast is wider."
                )
            said += self._health_apart(pack)
            said += [f"{pack_starts(pack.serial_no)}: {reason}." for reason in held.why]
        return tuple(said)

    def _health_apart(self, pack: FittedPack) -> tuple[str, ...]:
        """A state of health typed for the plan that the record does not bear out."""
        recorded = last_health(self._record, pack.serial_no)
        if recorded is None or pack.soh_pct is None or abs(pack.soh_pct - recorded) <= APART_PCT:
            return ()
        typed = f"{pack_starts(pack.serial_no)}: a state of health of {pack.soh_pct:g} %"
        return (
            f"{typed} is far from the {recorded:g} % last recorded; it counts as one reading among many.",
        )


def missing(
    estimator: Estimator, aircraft: Aircraft, packs: Sequence[FittedPack], whole: Need
) -> tuple[str, ...]:
    """Why there can be no forecast: no capacity at all, or neither rates nor a handbook."""
    reasons = [
        f"nothing is known of the capacity of {pack_name(pack.serial_no)}; {_to_know_capacity(pack, aircraft)}"
        for pack in packs
        if not capacity_known(estimator, members_of(pack))
    ]
    if not flights_known(estimator):
        stated = (
            (whole.climb_ft, aircraft.handbook_climb_kwh_per_1000ft),
            (whole.level_min, aircraft.handbook_level_kwh_per_min or aircraft.cruise_power_kw),
            (whole.circuits, aircraft.handbook_circuit_kwh),
        )
        needed = [rate for amount, rate in stated if amount]
        if needed and all(rate is None for rate in needed):
            reasons.append(
                "there are neither flights nor handbook rates for this aeroplane; enter the handbook's rates: Setup, Aeroplanes"
            )
    return tuple(reasons)


def _to_know_capacity(pack: FittedPack, aircraft: Aircraft) -> str:
    if pack.serial_no or pack.packs:
        return "enter its nominal capacity"
    if not aircraft.positions:
        return "the record has no pack positions for it: enter them in Setup, Aeroplanes"
    return "log a flight with its charges, or enter its packs with their nominal capacity"


def _start(pack: FittedPack, charge: float, soh_pct: float | None = None) -> PackStart:
    return PackStart(pack.serial_no, pack.position or None, charge, soh_pct, pack.temp_c, pack.packs)


def rates_apart(estimator: Estimator, whole: Need) -> tuple[str, ...]:
    """How the rates this plan needs differ from the handbook's, the greatest difference first."""
    amounts = {
        "ground": float(whole.ground),
        "climb": whole.climb_ft / 1000,
        "level": whole.level_min,
        "circuit": whole.circuits,
        "departure": float(whole.departure),
    }
    apart = [rate for rate in estimator.rates().rates if amounts[rate.name] and _apart(rate) >= WORTH_A_WORD]
    apart.sort(key=lambda rate: -abs(rate.observed.mid - (rate.handbook or 0.0)) * amounts[rate.name])
    return tuple(rate_words(rate) for rate in apart)


def _apart(rate: Rate) -> float:
    return abs(rate.observed.mid / rate.handbook - 1) if rate.handbook else 0.0


def answer_plan(
    plan: PlanInput,
    aircraft: Aircraft,
    fitted: Sequence[FittedPack],
    estimator: Estimator,
    *,
    concerns: Sequence[str] = (),
) -> PlanAnswer:
    """The answer to a plan: the one call that screens and commands need.

    Args:
        plan: as typed.
        aircraft: its record.
        fitted: its packs, with charge, health and temperature as last recorded.
        estimator: what the record of this aeroplane says; it learns nothing from being asked.
        concerns: open defects, quarantined packs, expired items, in words; they come first in the answer.

    Raises:
        DataRefused: no packs fitted, an unknown pack, no wind solution, above the ceiling, no airspeed.
    """
    question = question_of(
        plan, aircraft, fitted, circuit_min=usual_circuit_min(estimator), concerns=concerns
    )
    return answer(question, means_of(question, estimator))


def means_of(question: Question, estimator: Estimator) -> Means:
    """Forecasters by the record and by the handbook for one question."""
    whole = need_of(question.legs)
    lacking = missing(estimator, question.aircraft, question.packs, whole)
    if lacking or any(pack.soc_pct is None for pack in question.packs):
        return Means(None, missing=lacking)
    observed, unflown = Asked(estimator, question, whole), untaught(estimator)
    # A handbook's energy says nothing of charge where no nominal capacity is stated.
    stated = all(capacity_known(unflown, members_of(pack)) for pack in question.packs)
    handbook = Asked(unflown, question, whole) if stated else None
    return Means(observed, handbook, rates_apart(estimator, whole))
