"""From legs as typed to legs as flown: minutes, feet, power, where each one ends.

Assumptions, all said again with the answer where they matter: a climb takes its feet over the usual rate of climb and
makes no distance unless one is given; a level leg by distance is flown at the true airspeed of its power, with the
wind triangle; airwork and circuits stay where they are; a descent costs nothing beyond what the record's rates hold,
unless a power is given.
"""

from typing import Final, NamedTuple

from logbook.domain.aircraft import Aircraft
from logbook.domain.plan import LegInput, PlanInput
from logbook.errors import DataRefused
from logbook.planning.atmosphere import temperature_aloft_c, true_airspeed_kt
from logbook.planning.route import HOME, Position
from logbook.planning.wind import Wind, needed_course

USUAL_DESCENT_FPM: Final = 500.0
"""For the time of a descent that states none (common practice, no source); it costs no energy in the plan."""

APART: Final = 0.25
"""Minutes typed for a leg may differ by so much from what its distance takes before a word is due (common practice, no
source)."""


class Leg(NamedTuple):
    """One leg as it will be flown. ``None`` is unknown."""

    order: int
    """Where the leg stands in the plan as typed; −1 for the start, taxi and shutdown that is always counted (a ground
    leg typed first is taken into it)."""
    kind: str
    name: str
    minutes: float | None = None
    climb_ft: float = 0.0
    level_min: float = 0.0
    """Minutes that cost level power: all of a level leg, airwork, and a descent under power [min]."""
    power_kw: float | None = None
    """Power of these minutes; ``None`` is the usual cruise power."""
    circuits: float = 0.0
    extra_kwh: float = 0.0
    """A wait or taxi on the ground at a stated power, beyond the usual [kWh]."""
    distance_nm: float = 0.0
    track_deg: float | None = None
    tas_kt: float | None = None
    groundspeed_kt: float | None = None
    wind: Wind = Wind()
    height_ft: float = 0.0
    """Above the place of departure at the end of the leg; above the sea where its elevation is known [ft]."""
    at: Position | None = None
    """Where the leg ends; ``None`` once a track is missing."""
    remarks: tuple[str, ...] = ()
    doubt: str = ""
    """What was typed of the leg contradicts itself, a sentence for the cautions; empty where it does not."""

    @property
    def flies_away(self) -> bool:
        """Whether the leg leaves the circuit, so that the departure is counted."""
        return self.kind not in {"ground", "circuits"}


class Setting(NamedTuple):
    """What the legs of one plan have in common."""

    aircraft: Aircraft
    plan: PlanInput
    wind: Wind
    circuit_min: float | None = None
    """Minutes of one circuit [min]."""
    wind_factor: float = 1.0


def setting_of(plan: PlanInput, aircraft: Aircraft, circuit_min: float | None = None) -> Setting:
    """The setting of a plan; the minutes of a circuit as typed come before those of the record [min]."""
    wind = Wind(plan.wind_dir or 0.0, plan.wind_kt or 0.0)
    return Setting(aircraft, plan, wind, plan.circuit_min or circuit_min)


def flown_legs(setting: Setting) -> tuple[Leg, ...]:
    """The legs of a plan as flown, the start and taxi first.

    Raises:
        DataRefused: no wind solution, above the ceiling, no airspeed for a distance, or a height without an elevation.
    """
    base_ft = setting.plan.elevation_ft or 0.0
    legs = [Leg(-1, "ground", "start and taxi", 0.0, height_ft=base_ft, at=HOME)]
    for index, typed in enumerate(setting.plan.legs):
        leg = _flown(index, typed, legs[-1], setting)
        if index == 0 and leg.kind == "ground":
            legs = [leg._replace(order=-1, name=typed.name or legs[0].name)]
        else:
            legs.append(leg)
    return tuple(legs)


def _flown(index: int, typed: LegInput, before: Leg, setting: Setting) -> Leg:
    name = typed.name or _usual_name(typed)
    leg = Leg(index, typed.leg_kind, name, typed.minutes or None, height_ft=before.height_ft, at=before.at)
    match typed.leg_kind:
        case "ground":
            wait_min = typed.minutes or 0.0
            return leg._replace(minutes=wait_min, extra_kwh=wait_min * (typed.power_kw or 0.0) / 60)
        case "climb":
            return _under_way(_climb(leg, typed, setting), typed)
        case "level":
            return _level(leg, typed, setting)
        case "circuits":
            return _circuits(leg, typed, setting)
        case "airwork":
            return _airwork(leg, typed, setting)
        case _:
            return _under_way(_descent(leg, typed, setting), typed)


def _usual_name(typed: LegInput) -> str:
    if typed.leg_kind == "circuits":
        return f"{typed.circuits} circuit{'' if typed.circuits == 1 else 's'}"
    return typed.leg_kind


def _climb(leg: Leg, typed: LegInput, setting: Setting) -> Leg:
    feet = typed.climb_ft or 0.0
    if typed.to_ft is not None and not feet:
        if setting.plan.elevation_ft is None:
            raise DataRefused(
                "A climb to an altitude needs the elevation of the place of departure.",
                next_step="Enter elevation_ft, or the feet to climb instead.",
                field=f"legs.{leg.order}.to_ft",
            )
        feet = typed.to_ft - leg.height_ft
        if feet < 0:
            raise DataRefused(
                f"A climb to {typed.to_ft:g} ft begins higher, at {leg.height_ft:g} ft.",
                next_step="Make it a descent, or correct the altitude.",
                field=f"legs.{leg.order}.to_ft",
            )
    remarks = (
        ("Power in the climb is that of the record; the one typed is not used.",) if typed.power_kw else ()
    )
    minutes = leg.minutes or _time_to_climb(feet, setting.aircraft)
    higher = leg._replace(climb_ft=feet, minutes=minutes, height_ft=leg.height_ft + feet, remarks=remarks)
    _check_ceiling(higher, higher.height_ft, setting)
    return higher


def _time_to_climb(feet: float, aircraft: Aircraft) -> float | None:
    if not feet:
        return 0.0
    return feet / aircraft.climb_rate_fpm if aircraft.climb_rate_fpm else None


def _check_ceiling(leg: Leg, height_ft: float, setting: Setting) -> None:
    ceiling_ft = setting.aircraft.ceiling_ft
    if ceiling_ft is not None and height_ft > ceiling_ft + 0.5:
        raise DataRefused(
            f"Leg {leg.order + 1} ({leg.kind}) leads to {height_ft:g} ft, above the ceiling of {ceiling_ft:g} ft.",
            next_step="Plan to fly lower, or correct the ceiling of the aircraft.",
            field=f"legs.{leg.order}",
        )


def _level(leg: Leg, typed: LegInput, setting: Setting) -> Leg:
    wind = _wind_of(typed, setting)
    tas_kt, remarks = _airspeed(leg, typed, setting)
    groundspeed_kt = tas_kt
    track = typed.track_deg if typed.distance_nm or typed.track_deg else None
    if tas_kt and track is not None:
        groundspeed_kt = needed_course(track, tas_kt, wind, f"legs.{leg.order}.track_deg").groundspeed_kt
    elif tas_kt and typed.distance_nm and wind.speed_kt:
        track, groundspeed_kt = None, _into_the_wind(leg, tas_kt, wind)
        remarks += ("No track given: the whole wind is taken as headwind.",)
    minutes, distance_nm = leg.minutes, typed.distance_nm or 0.0
    doubt = _apart(leg, typed, groundspeed_kt)
    if minutes is None:
        minutes = 60 * distance_nm / _known(groundspeed_kt, leg)
    elif not distance_nm and groundspeed_kt and track is not None:
        distance_nm = groundspeed_kt * minutes / 60
    at = (
        leg.at.moved(track, distance_nm) if leg.at is not None and track is not None and distance_nm else None
    )
    return leg._replace(
        minutes=minutes,
        level_min=minutes,
        power_kw=typed.power_kw or None,
        distance_nm=distance_nm,
        track_deg=track,
        tas_kt=tas_kt,
        groundspeed_kt=groundspeed_kt,
        wind=wind,
        at=at,
        remarks=remarks,
        doubt=doubt,
    )


def _apart(leg: Leg, typed: LegInput, groundspeed_kt: float | None) -> str:
    """Where minutes and distance were both typed: that the ground speed makes something else of the distance."""
    if not leg.minutes or not typed.distance_nm or not groundspeed_kt:
        return ""
    needed_min = 60 * typed.distance_nm / groundspeed_kt
    if abs(leg.minutes - needed_min) <= APART * needed_min:
        return ""
    return (
        f"Leg {leg.order + 1} ({leg.name}): {typed.distance_nm:g} NM take about {needed_min:.0f} min at a ground speed of "
        f"{groundspeed_kt:.0f} kt, but {leg.minutes:g} min were typed. The minutes count; check both."
    )


def _wind_of(typed: LegInput, setting: Setting) -> Wind:
    wind = setting.wind if typed.wind_kt is None else Wind(typed.wind_dir or 0.0, typed.wind_kt)
    return wind.times(setting.wind_factor)


def _into_the_wind(leg: Leg, tas_kt: float, wind: Wind) -> float:
    return needed_course(wind.from_deg, tas_kt, wind, f"legs.{leg.order}.track_deg").groundspeed_kt


def _known(groundspeed_kt: float | None, leg: Leg) -> float:
    if groundspeed_kt is None:
        raise DataRefused(
            "A leg by distance needs the true airspeed, and neither the leg nor the aircraft record has one.",
            next_step="Enter tas_kt on the leg, the cruise airspeed of the aircraft, or minutes instead of a distance.",
            field=f"legs.{leg.order}.tas_kt",
        )
    return groundspeed_kt


def _airspeed(leg: Leg, typed: LegInput, setting: Setting) -> tuple[float | None, tuple[str, ...]]:
    """True airspeed on a level leg [kt], and what had to be assumed."""
    if typed.tas_kt:
        return typed.tas_kt, ()
    if typed.cas_kt:
        ground_c, base_ft = setting.plan.outside_temp_c, setting.plan.elevation_ft or 0.0
        aloft_c = None if ground_c is None else temperature_aloft_c(ground_c, leg.height_ft - base_ft)
        return true_airspeed_kt(typed.cas_kt, leg.height_ft, aloft_c), ()
    return cruise_airspeed(setting.aircraft, typed.power_kw or None)


def cruise_airspeed(aircraft: Aircraft, power_kw: float | None) -> tuple[float | None, tuple[str, ...]]:
    """True airspeed at a level power [kt], and what had to be assumed.

    At a power other than that of the cruise the airspeed is taken to follow the cube root of the power, which holds
    where most of the drag is parasitic; slow flight is slower than that, so the assumption is said.
    """
    tas_kt, cruise_kw = aircraft.cruise_tas_kt, aircraft.cruise_power_kw
    if not tas_kt or power_kw is None or not cruise_kw or abs(power_kw - cruise_kw) < 0.005 * cruise_kw:
        return tas_kt or None, ()
    scaled = tas_kt * (power_kw / cruise_kw) ** (1 / 3)
    return scaled, (
        f"True airspeed at {power_kw:g} kW is not stated; {scaled:.0f} kt is taken from the cube root of the power.",
    )


def _circuits(leg: Leg, typed: LegInput, setting: Setting) -> Leg:
    count = float(typed.circuits or 0)
    minutes = leg.minutes or (None if setting.circuit_min is None else count * setting.circuit_min)
    remarks = (
        ("Power in the circuit is that of the record; the one typed is not used.",) if typed.power_kw else ()
    )
    down_ft = setting.plan.elevation_ft or 0.0
    return leg._replace(circuits=count, minutes=minutes, height_ft=down_ft, remarks=remarks)


def _airwork(leg: Leg, typed: LegInput, setting: Setting) -> Leg:
    feet, level_min = typed.climb_ft or 0.0, leg.minutes or 0.0
    climbing = _time_to_climb(feet, setting.aircraft)
    minutes = None if climbing is None else climbing + level_min
    remarks = ("Airwork is counted at a steady power; steep turns and stalls with power cost more.",)
    return leg._replace(
        climb_ft=feet, level_min=level_min, minutes=minutes, power_kw=typed.power_kw or None, remarks=remarks
    )


def _descent(leg: Leg, typed: LegInput, setting: Setting) -> Leg:
    base_ft = setting.plan.elevation_ft or 0.0
    to_ft = base_ft if typed.to_ft is None else typed.to_ft
    if to_ft > leg.height_ft + 0.5:
        raise DataRefused(
            f"A descent to {to_ft:g} ft begins lower, at {leg.height_ft:g} ft.",
            next_step="Make it a climb, or correct the altitude.",
            field=f"legs.{leg.order}.to_ft",
        )
    minutes, remarks = leg.minutes, leg.remarks
    if minutes is None:
        minutes = (leg.height_ft - to_ft) / (setting.plan.descent_fpm or USUAL_DESCENT_FPM)
        if minutes and not setting.plan.descent_fpm:
            remarks += (f"Its time is taken at {USUAL_DESCENT_FPM:g} ft/min.",)
    powered = bool(typed.power_kw and minutes)
    return leg._replace(
        minutes=minutes,
        remarks=remarks,
        height_ft=to_ft,
        level_min=(minutes or 0.0) if powered else 0.0,
        power_kw=typed.power_kw if powered else None,
    )


def _under_way(leg: Leg, typed: LegInput) -> Leg:
    """A climb or a descent that makes good a distance, where one is given."""
    if not typed.distance_nm:
        return leg
    moved = (
        leg.at.moved(typed.track_deg, typed.distance_nm) if leg.at and typed.track_deg is not None else None
    )
    return leg._replace(distance_nm=typed.distance_nm, track_deg=typed.track_deg, at=moved)
