"""A forecaster whose every figure can be checked by hand: fixed rates, fixed capacities, a spread that grows with the drop."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from statistics import NormalDist

from logbook.domain.aircraft import Aircraft
from logbook.domain.plan import PlanInput
from logbook.energy.estimate import Estimate
from logbook.planning.fitted import FittedPack
from logbook.planning.need import Need
from logbook.planning.outlook import Outlook, PackOutlook
from logbook.planning.planner import Means, answer, question_of


@dataclass
class Linear:
    """Energy is the sum of amount times rate; a pack's drop is 100 × share × energy / capacity."""

    departures: tuple[float, ...] = (100.0, 100.0)
    usable_kwh: tuple[float, ...] = (10.0, 10.0)
    usable_spread: float = 0.0
    spread: float = 0.0
    """Half-width of the interval as a part of the drop."""
    gauge: float = 0.0
    """Half-width of the interval whatever the drop [points]."""
    ground: float = 0.0
    climb: float = 2.0
    level_kw: float = 20.0
    circuit: float = 1.0
    departure: float = 0.0
    mass_kg: float = 600.0
    planned_mass_kg: float = 600.0
    calls: list[Need] = field(default_factory=list)

    def kwh(self, need: Need, mass_kg: float | None) -> float:
        level = sum(part.minutes * (part.power_kw or self.level_kw) / 60 for part in need.level)
        flown = self.climb * need.climb_ft / 1000 + level + self.circuit * need.circuits
        flown += self.departure * need.departure
        mass = self.planned_mass_kg if mass_kg is None else mass_kg
        return flown * mass / self.mass_kg + self.ground * need.ground + need.extra_kwh

    def energy(self, need: Need) -> Estimate:
        kwh = self.kwh(need, None)
        return Estimate(kwh * (1 - self.spread), kwh, kwh * (1 + self.spread), 7)

    def ahead(
        self,
        need: Need,
        *,
        departures_pct: Sequence[float] | None = None,
        mass_kg: float | None = None,
        reserves_pct: Sequence[float] | None = None,
    ) -> Outlook:
        self.calls.append(need)
        kwh = self.kwh(need, mass_kg)
        share = 1 / len(self.usable_kwh)
        packs = []
        for number, held in enumerate(self.usable_kwh):
            start = (self.departures if departures_pct is None else departures_pct)[number]
            drop = 100 * share * kwh / held
            half = self.spread * drop + self.gauge
            mid, low, high = start - drop, start - drop - half, start - drop + half
            chance = None
            if reserves_pct is not None:
                sd = max(half, 1e-9) / NormalDist().inv_cdf(0.95)
                chance = NormalDist(mid, sd).cdf(reserves_pct[number])
            bounded = Estimate(*(min(max(end, 0.0), 100.0) for end in (low, mid, high)), n=7)
            usable = Estimate(held * (1 - self.usable_spread), held, held * (1 + self.usable_spread), 7)
            packs.append(PackOutlook(f"P{number + 1}", start, bounded, low, usable, share, chance))
        chances = [pack.chance_below_reserve for pack in packs if pack.chance_below_reserve is not None]
        return Outlook(tuple(packs), max(chances) if chances else None)


AIRCRAFT = Aircraft(
    registration="ZZ-EAA",
    positions=["front", "rear"],
    reserve_soc_pct=30.0,
    final_reserve_min_local=10.0,
    final_reserve_kw_local=24.0,
    final_reserve_min_day=30.0,
    final_reserve_kw_day=20.0,
    final_reserve_min_night=45.0,
    final_reserve_kw_night=20.0,
    cruise_power_kw=20.0,
    cruise_tas_kt=80.0,
    climb_rate_fpm=500.0,
    ceiling_ft=10_000.0,
    empty_mass_kg=400.0,
)
FITTED = (FittedPack("P1", "front", 100.0, 90.0, 20.0, 0.0), FittedPack("P2", "rear", 100.0, 90.0, 20.0, 0.0))


def aircraft(**changes):
    return AIRCRAFT.model_copy(update=changes)


def plan(*legs, **others):
    return PlanInput.model_validate({"aircraft": "ZZ-EAA", "legs": list(legs), **others})


def fitted(*charges):
    return tuple(pack._replace(soc_pct=soc) for pack, soc in zip(FITTED, charges, strict=True))


def asked(typed, forecaster=None, craft=AIRCRAFT, packs=FITTED, handbook=None, **others):
    """The answer to a plan by the linear forecaster, its departure charges those of the plan."""
    question = question_of(typed, craft, packs, **others)
    forecaster = Linear() if forecaster is None else forecaster
    charges = tuple(pack.soc_pct for pack in question.packs)
    if None not in charges:
        forecaster = replace(forecaster, departures=charges)
        handbook = None if handbook is None else replace(handbook, departures=charges)
    return answer(question, Means(forecaster, handbook))


def circuits_plan(aircraft: str, circuits: int, **others: object) -> PlanInput:
    """The plan "circuits, how many?"; others: any other field of a plan."""
    legs = [{"kind": "circuits", "circuits": circuits}]
    return PlanInput.model_validate({"aircraft": aircraft, "kind": "circuits", "legs": legs, **others})
