"""What must be said beside every answer, the most serious first."""

from collections.abc import Iterable, Sequence

from logbook.domain.aircraft import Aircraft
from logbook.domain.plan import PlanInput
from logbook.domain.reserve import CASE_WORDS
from logbook.energy.take_off_mass import least_mass
from logbook.planning.fitted import COLD_C, FittedPack
from logbook.planning.legs import Leg
from logbook.planning.reserve import FinalReserve
from logbook.planning.words import pack_name, pack_starts

ADVICE = (
    "This is a planning aid. The flight manual, the aeroplane's own instruments, local rules and the pilot's judgement "
    "come before it."
)


def cautions(
    plan: PlanInput,
    aircraft: Aircraft,
    packs: Sequence[FittedPack],
    *,
    concerns: Sequence[str] = (),
    doubts: Sequence[str] = (),
    widened: Sequence[str] = (),
    final: FinalReserve | None = None,
    case: str = "day",
) -> tuple[str, ...]:
    """Concerns handed in first, then limits, then what contradicts itself, then what is missing, then what widens the forecast, then the advice."""
    found = [
        *concerns,
        *_departure(aircraft, packs),
        *_temperatures(aircraft, packs),
        *_mass(plan, aircraft),
        *doubts,
        *_waits(plan),
        *_reserves(aircraft, final, case),
        *widened,
        ADVICE,
    ]
    return tuple(dict.fromkeys(found))


def _departure(aircraft: Aircraft, packs: Sequence[FittedPack]) -> Iterable[str]:
    if len(packs) < len(aircraft.positions) and all(pack.serial_no for pack in packs):
        yield (
            f"Only {len(packs)} of {len(aircraft.positions)} positions hold a pack; each is taken to carry its usual share."
        )
    least = aircraft.minimum_departure_soc_pct
    for pack in packs:
        if pack.soc_pct is not None and least is not None and pack.soc_pct <= least:
            yield f"{pack_starts(pack.serial_no)} departs with {pack.soc_pct:g} %, not above the minimum departure charge of {least:g} %."
        if pack.soc_as_of and pack.soc_pct is not None:
            yield f"The charge of {pack_name(pack.serial_no)} ({pack.soc_pct:g} %) was not typed: {pack.soc_as_of}. Read the gauge."
    charges = [pack.soc_pct for pack in packs if pack.soc_pct is not None]
    if len(charges) > 1 and max(charges) - min(charges) >= 5:
        yield f"The packs are {max(charges) - min(charges):.0f} points apart; the emptier one decides."


def _temperatures(aircraft: Aircraft, packs: Sequence[FittedPack]) -> Iterable[str]:
    for pack in packs:
        if pack.temp_c is None:
            continue
        name, temp = pack_starts(pack.serial_no), f"{pack.temp_c:g} °C"
        least = aircraft.takeoff_min_temp_c if pack.takeoff_min_temp_c is None else pack.takeoff_min_temp_c
        most = aircraft.takeoff_max_temp_c if pack.takeoff_max_temp_c is None else pack.takeoff_max_temp_c
        if least is not None and pack.temp_c < least:
            yield f"{name} is at {temp}, below the {least:g} °C needed for take-off."
        elif pack.temp_c < COLD_C:
            yield f"{name} is cold-soaked at {temp}: it may not give climb power near empty; keep more in hand."
        if most is not None and pack.temp_c > most:
            yield f"{name} is at {temp}, above the {most:g} °C allowed for take-off."
        elif aircraft.temp_caution_c is not None and pack.temp_c >= aircraft.temp_caution_c:
            yield f"{name} is at {temp}, already in the caution range from {aircraft.temp_caution_c:g} °C."


def _mass(plan: PlanInput, aircraft: Aircraft) -> Iterable[str]:
    least = least_mass(aircraft.empty_mass_kg, aircraft.handbook_mass_kg)
    if plan.mass_kg is not None and least is not None and plan.mass_kg <= least.kg:
        yield (
            f"The take-off mass of {plan.mass_kg:g} kg is not above {least.words}, {least.kg:g} kg; "
            "the aeroplane itself belongs in it."
        )


def _waits(plan: PlanInput) -> Iterable[str]:
    """A wait on the ground between flights without a power: what it takes, and another start, is in no figure."""
    between = [leg for leg in plan.legs[1:] if leg.leg_kind == "ground" and not leg.power_kw]
    if between:
        minutes = sum(leg.minutes or 0.0 for leg in between)
        yield (
            f"{minutes:g} min on the ground on the way are counted without energy: no power was typed for them. Type one, "
            "such as 'ground 5 4kw'; another start and taxi takes about what the first took."
        )


def _reserves(aircraft: Aircraft, final: FinalReserve | None, case: str) -> Iterable[str]:
    if aircraft.reserve_soc_pct is None and final is None:
        yield f"Neither a reserve in percent nor a final reserve ({CASE_WORDS[case]}) is set: nothing is judged."
    elif aircraft.reserve_soc_pct is None:
        yield "No reserve in percent is set for this aeroplane; only the final reserve in minutes is judged."
    elif final is None:
        yield f"No final reserve ({CASE_WORDS[case]}) is set with its minutes and power; only the reserve in percent is judged."


def assumptions(plan: PlanInput, legs: Sequence[Leg]) -> tuple[str, ...]:
    """What the answer takes for granted."""
    said = []
    wind = plan.wind_kt
    if any(leg.distance_nm for leg in legs):
        said.append(
            "No wind given: still air."
            if wind is None
            else f"Wind {(plan.wind_dir or 0) % 360:03.0f}° / {wind:g} kt."
        )
    if any(leg.climb_ft and not leg.distance_nm for leg in legs):
        said.append("Climbs make no distance towards the destination.")
    if any(leg.kind == "descent" and not leg.level_min for leg in legs):
        said.append(
            "A descent costs no more than the record's rates hold; power in the descent comes on top."
        )
    if any(leg.kind == "airwork" for leg in legs):
        said.append("Airwork stays where it begins.")
    remarks = [f"{leg.name}: {remark}" for leg in legs for remark in leg.remarks]
    return tuple(dict.fromkeys([*said, *remarks]))
