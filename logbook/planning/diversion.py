"""The way to the alternate: the reserve must still be there after it."""

from logbook.errors import DataRefused
from logbook.planning.legs import Setting, cruise_airspeed
from logbook.planning.need import Level, Need
from logbook.planning.wind import needed_course


def diversion_need(setting: Setting) -> Need | None:
    """What the diversion of a plan asks for, or ``None`` where none is planned.

    Without a track the whole wind is taken as headwind.

    Raises:
        DataRefused: no airspeed for the distance, or no wind solution.
    """
    typed = setting.plan.diversion
    if typed is None:
        return None
    minutes, power_kw = typed.minutes or 0.0, typed.power_kw or None
    if not minutes and typed.distance_nm:
        tas_kt = typed.tas_kt or cruise_airspeed(setting.aircraft, power_kw)[0]
        if not tas_kt:
            raise DataRefused(
                "A diversion by distance needs the true airspeed.",
                next_step="Enter tas_kt, the cruise airspeed of the aircraft, or minutes.",
                field="diversion.tas_kt",
            )
        wind = setting.wind.times(setting.wind_factor)
        track = wind.from_deg if typed.track_deg is None else typed.track_deg
        groundspeed_kt = needed_course(track, tas_kt, wind, "diversion.track_deg").groundspeed_kt
        minutes = 60 * typed.distance_nm / groundspeed_kt
    return Need(climb_ft=typed.climb_ft or 0.0, level=(Level(minutes, power_kw),))
