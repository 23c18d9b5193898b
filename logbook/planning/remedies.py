"""What would make a plan fit, and how much more would still fit: each by one quantity alone, the rest unchanged.

Margins are monotone in each quantity, so each answer is a crossing found in a few steps, rounded to the safe side.
"""

from collections.abc import Sequence
from math import ceil, floor

from logbook.errors import LogbookError
from logbook.planning.answer import Remedy
from logbook.planning.case import Case
from logbook.planning.charging import PaceBand, minutes_to_charge
from logbook.planning.legs import Leg, cruise_airspeed
from logbook.planning.need import Need, need_of
from logbook.planning.root import crossing, most_whole
from logbook.planning.wind import course
from logbook.planning.words import plural

SLOWEST = 0.6
"""No power below this part of the usual cruise power is proposed."""
MOST_CIRCUITS = 200


def remedies(case: Case, departures_pct: Sequence[float], mass_kg: float | None) -> tuple[Remedy, ...]:
    """Everything that would make a plan fit that does not, the easiest first."""
    found = (
        _charge(case, departures_pct),
        _fewer_circuits(case),
        _fewer_minutes(case),
        _slower(case),
        _lighter(case, mass_kg),
    )
    return tuple(remedy for remedy in found if remedy is not None)


def circuits_that_fit(case: Case) -> int | None:
    """How many circuits fit with everything else as planned, or ``None`` if not even none does."""
    whole = case.whole
    return most_whole(lambda count: case.margin(whole.with_circuits(count)), MOST_CIRCUITS)


def _charge(case: Case, departures_pct: Sequence[float]) -> Remedy | None:
    """Charge every pack to at least x %."""
    whole = case.whole

    def margin(least: float) -> float:
        return case.judged(whole, departures_pct=[max(soc, least) for soc in departures_pct]).margin_pct

    found = crossing(margin, min(departures_pct), 100.0, 0.05)
    if found is None:
        return None
    wanted = float(ceil(found - 0.05))
    pace = [PaceBand(*band.columns().values()) for band in case.setting.plan.charging_pace]
    times = [minutes_to_charge(soc, wanted, pace) for soc in departures_pct]
    known = [time for time in times if time is not None]
    minutes = max(known) if len(known) == len(times) else None
    words = f"charge to {wanted:.0f} %" + (
        "" if minutes is None else f", about {minutes:.0f} min at the usual pace"
    )
    return Remedy("charge", wanted, "%", words, minutes)


def _fewer_circuits(case: Case) -> Remedy | None:
    planned = int(case.whole.circuits)
    if not planned:
        return None
    fit = circuits_that_fit(case)
    if fit is None or fit >= planned:
        return None
    fewer = planned - fit
    return Remedy(
        "circuits", fewer, "circuits", f"{plural(fewer, 'circuit')} fewer ({fit} instead of {planned})"
    )


def _fewer_minutes(case: Case) -> Remedy | None:
    whole = case.whole
    level_min = whole.level_min
    if level_min <= 0:
        return None
    found = crossing(lambda minutes: case.margin(whole.with_level_min(minutes)), 0.0, level_min, 0.05)
    if found is None:
        return None
    fewer = float(ceil(level_min - found))
    return Remedy("minutes", fewer, "min", f"{fewer:.0f} minutes of level flight less")


def _lighter(case: Case, mass_kg: float | None) -> Remedy | None:
    empty_kg = case.setting.aircraft.empty_mass_kg
    if mass_kg is None or empty_kg is None or empty_kg >= mass_kg:
        return None
    whole = case.whole
    found = crossing(lambda mass: case.judged(whole, mass_kg=mass).margin_pct, empty_kg, mass_kg, 0.2)
    if found is None:
        return None
    less = float(ceil(mass_kg - found))
    return Remedy("mass", less, "kg", f"{less:.0f} kg lighter (of {mass_kg - empty_kg:.0f} kg aboard)")


def _slower(case: Case) -> Remedy | None:
    """The greatest level power at which the plan fits."""
    cruise_kw = case.setting.aircraft.cruise_power_kw
    levels = [leg for leg in case.legs if leg.kind in {"level", "airwork"} and leg.level_min]
    if not cruise_kw or not levels:
        return None
    planned_kw = max(leg.power_kw or cruise_kw for leg in levels)
    slowest_kw = SLOWEST * cruise_kw
    if planned_kw <= slowest_kw:
        return None

    def margin(power_kw: float) -> float:
        need = _at_power(case, power_kw)
        return -1e6 if need is None else case.margin(need)

    try:
        found = crossing(margin, slowest_kw, planned_kw, 0.02)
    except LogbookError:
        return None
    if found is None:
        return None
    power_kw = floor(10 * found + 1e-6) / 10
    words = f"{power_kw:g} kW in level flight instead of {planned_kw:g} kW"
    if any(leg.distance_nm for leg in levels):
        words += " (airspeed taken from the cube root of the power: check it in the manual)"
    return Remedy("power", power_kw, "kW", words)


def _at_power(case: Case, power_kw: float) -> Need | None:
    """The whole need with no level leg above a power; distances then take longer."""
    legs = []
    for leg in case.legs:
        slower = _leg_at_power(case, leg, power_kw)
        if slower is None:
            return None
        legs.append(slower)
    need = need_of(legs)
    return need if case.diversion is None else need.plus(case.diversion)


def _leg_at_power(case: Case, leg: Leg, power_kw: float) -> Leg | None:
    aircraft = case.setting.aircraft
    now_kw = leg.power_kw or aircraft.cruise_power_kw
    if leg.kind not in {"level", "airwork"} or now_kw is None or now_kw <= power_kw:
        return leg
    if not leg.distance_nm or leg.tas_kt is None or leg.groundspeed_kt is None:
        return leg._replace(power_kw=power_kw)
    at_cruise = cruise_airspeed(aircraft, now_kw)[0]
    slower = cruise_airspeed(aircraft, power_kw)[0]
    tas_kt = leg.tas_kt * (slower / at_cruise if slower and at_cruise else (power_kw / now_kw) ** (1 / 3))
    track = leg.wind.from_deg if leg.track_deg is None else leg.track_deg
    solution = course(track, tas_kt, leg.wind)
    if solution is None:
        return None
    minutes = 60 * leg.distance_nm / solution.groundspeed_kt
    return leg._replace(power_kw=power_kw, tas_kt=tas_kt, minutes=minutes, level_min=minutes)
