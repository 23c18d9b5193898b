"""Night by the rule that asks for it: each has its own, from where the Sun stands over the place.

- Logging flight time (14 CFR 1.1; ICAO and Part-FCL "night"): Sun's centre 6° or more below the horizon.
- Passengers by night (14 CFR 61.57(b)): one hour after sunset to one hour before sunrise; sunset is the Sun's upper
  limb at the horizon with mean refraction, its centre 0.833° below.

Moments in between count as night for the one and not for the other. Where the Sun neither rises nor sets the answer is
the same sentence: above the limit all day, or below it all day. Heights of the Sun are `astral`'s.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

from logbook.units import instant_of, minutes_of

if TYPE_CHECKING:
    from astral import Observer

CIVIL_TWILIGHT_DEG: Final = -6.0
SUNSET_DEG: Final = -0.833
_HOUR: Final = 60
_STEP_MIN: Final = 20


class Spot(NamedTuple):
    """A place on the Earth: latitude, north positive, and longitude, east positive [°]."""

    latitude_deg: float
    longitude_deg: float


class SunDay(NamedTuple):
    """The Sun over a place from one of its midnights to the next; UTC, whole minutes; None where it does not happen.

    Attributes:
        dawn: begin of morning civil twilight; `dusk` its end in the evening.
        sunrise: the upper limb appears; `sunset` it disappears.
        words: what to say where something is missing: polar day, polar night, twilight all night.
    """

    dawn: str | None
    sunrise: str | None
    sunset: str | None
    dusk: str | None
    words: str


@lru_cache(maxsize=4096)
def _observer(latitude: float, longitude: float) -> Observer:
    from astral import Observer

    return Observer(latitude, longitude, 0)


def sun_height_deg(spot: Spot, minutes: float) -> float:
    """Height of the Sun's centre above the horizon, without refraction [°], at a time in minutes since 1970."""
    from datetime import UTC, datetime

    from astral.sun import elevation

    latitude = min(max(spot.latitude_deg, -89.8), 89.8)  # at the poles themselves azimuth has no meaning
    longitude = (spot.longitude_deg + 180) % 360 - 180
    moment = datetime.fromtimestamp(minutes * 60, UTC)
    return float(elevation(_observer(latitude, longitude), moment, with_refraction=False))


def sun_day(spot: Spot, day: str) -> SunDay:
    """Dawn, sunrise, sunset and dusk of one local day."""
    noon = minutes_of(f"{day}T12:00Z") - round(spot.longitude_deg * 4)
    first, last = noon - 720, noon + 720

    def height(minutes: float) -> float:
        return sun_height_deg(spot, minutes)

    found = {
        name: _crossing(height, limit, *span)
        for name, limit, span in (
            ("dawn", CIVIL_TWILIGHT_DEG, (first, noon)),
            ("sunrise", SUNSET_DEG, (first, noon)),
            ("sunset", SUNSET_DEG, (last, noon)),
            ("dusk", CIVIL_TWILIGHT_DEG, (last, noon)),
        )
    }
    words = ""
    if found["sunset"] is None or found["sunrise"] is None:
        words = (
            "The Sun does not set that day."
            if height(noon) > SUNSET_DEG
            else "The Sun does not rise that day."
        )
    elif found["dusk"] is None or found["dawn"] is None:
        words = "Civil twilight lasts all night; no flight time is night by that rule."
    times = {name: None if at is None else instant_of(round(at)) for name, at in found.items()}
    return SunDay(times["dawn"], times["sunrise"], times["sunset"], times["dusk"], words)


def _crossing(height: Callable[[float], float], limit: float, low: float, high: float) -> float | None:
    """When the Sun passes a height between midnight (low) and noon (high); None where it does not."""
    if (height(low) > limit) == (height(high) > limit):
        return None
    while abs(high - low) > 0.05:
        middle = (low + high) / 2
        if height(middle) > limit:
            high = middle
        else:
            low = middle
    return (low + high) / 2


def night_minutes(start: str, end: str, departure: Spot, arrival: Spot | None = None) -> int:
    """Minutes of a flight flown in the night of the logging rule.

    The aeroplane is taken to move evenly along the straight line on the map between its two places.

    Args:
        start: off blocks (UTC).
        end: on blocks (UTC).
        departure: where it left.
        arrival: where it went; absent: the same place.
    """
    first, last = minutes_of(start), minutes_of(end)
    if last <= first:
        return 0

    quick = _all_or_nothing(first, last, departure, arrival or departure)
    if quick is not None:
        return quick

    def dark(minutes: float) -> bool:
        spot = _between(departure, arrival or departure, (minutes - first) / (last - first))
        return sun_height_deg(spot, minutes) <= CIVIL_TWILIGHT_DEG

    marks = [*range(first, last, _STEP_MIN), last]
    states = [dark(mark) for mark in marks]
    total = 0.0
    for (begin, was), (finish, is_) in zip(
        zip(marks, states, strict=True), list(zip(marks, states, strict=True))[1:], strict=False
    ):
        if was == is_:
            total += (finish - begin) if was else 0
            continue
        turn = _turn(dark, begin, finish, was)
        total += (turn - begin) if was else (finish - turn)
    return round(total)


_FASTEST: Final = 0.2511
"""The Sun's height never changes faster than the sky turns: 360.99° in 24 h [°/min]."""


def _all_or_nothing(first: int, last: int, departure: Spot, arrival: Spot) -> int | None:
    """Minutes of night where one look at the middle of the flight is enough: all or none; else None."""
    middle, half = (first + last) / 2, (last - first) / 2
    spot = _between(departure, arrival, 0.5)
    way = abs(arrival.latitude_deg - departure.latitude_deg) + 2 * abs(
        spot.longitude_deg - departure.longitude_deg
    )
    above = sun_height_deg(spot, middle) - CIVIL_TWILIGHT_DEG
    reach = _FASTEST * half + way
    if abs(above) <= reach:
        return None
    return 0 if above > 0 else last - first


def _turn(dark: Callable[[float], bool], low: float, high: float, was: bool) -> float:
    while high - low > 0.1:
        middle = (low + high) / 2
        low, high = (middle, high) if dark(middle) == was else (low, middle)
    return (low + high) / 2


def _between(departure: Spot, arrival: Spot, share: float) -> Spot:
    east = (arrival.longitude_deg - departure.longitude_deg + 180) % 360 - 180
    return Spot(
        departure.latitude_deg + (arrival.latitude_deg - departure.latitude_deg) * share,
        departure.longitude_deg + east * share,
    )


def in_passenger_night(spot: Spot, at: str) -> bool:
    """Whether a moment lies between one hour after sunset and one hour before sunrise (14 CFR 61.57(b)).

    That is so when the Sun is down from an hour before it to an hour after it; where it does not rise at all, always.
    """
    minute = minutes_of(at)
    return all(
        sun_height_deg(spot, minute + offset) <= SUNSET_DEG for offset in range(-_HOUR, _HOUR + 1, _STEP_MIN)
    )
