"""What one flight gives one person: minutes in a function, by night, take-offs and landings, and for whom they count."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.rules.crew import CrewPart
from logbook.rules.night import Spot, in_passenger_night, night_minutes
from logbook.units import between

AS_COMMANDER: Final = frozenset({"pic", "solo", "picus", "instructor"})
"""Functions whose time is PIC time: an instructor logs PIC for all instructing, solo counts as PIC, PICUS where
countersigned (14 CFR 61.51(e)(3); AMC1 FCL.050(b))."""

_MULTI: Final = re.compile(r"\b(?:me|mep|mel|mes|amel|ames|multi)\b|multi-?engine", re.IGNORECASE)
_SINGLE: Final = re.compile(
    r"\b(?:se|sep|sel|ses|asel|ases|set|tmg|lsa|single)\b|single-?engine", re.IGNORECASE
)


class Experience(NamedTuple):
    """One person's share of one flight or device session.

    Attributes:
        flight_id: the flight.
        date: the local day it was flown.
        aircraft: registration; with its type and class as the book has them.
        function: as recorded, or None.
        minutes: block time [min], the flight time of 14 CFR 1.1 and FCL.010; 0 for what is no flight.
        night_min: of it by night [min], as written down, else by the Sun; None where neither is known.
        device_min: time in a training device [min].
        with_instructor: an instructor was aboard and this person was not the instructor.
        part: take-offs and landings.
        window_takeoffs: take-offs between sunset + 1 h and sunrise − 1 h; `window_stops` landings to a full stop then.
        window_known: False where the place has no coordinates, so that the window is taken from recorded night.
        night_recorded: the night was written down, and the Sun was not asked.
        ifr_min: under instrument flight rules [min], everybody's.
        instrument_min: in actual instrument conditions [min]: of whoever handled, and of the instructor.
        simulated_min: in simulated instrument conditions, in flight or in a device [min]: of whoever handled.
        ground_min: ground training received [min]: of everybody but the instructors.
    """

    flight_id: str
    date: str
    aircraft: str
    aircraft_type: str | None
    aircraft_class: str | None
    function: str | None
    minutes: int
    night_min: float | None
    device_min: int
    with_instructor: bool
    part: CrewPart
    window_takeoffs: int
    window_stops: int
    window_known: bool
    night_recorded: bool = False
    ifr_min: float = 0
    instrument_min: float = 0
    simulated_min: float = 0
    ground_min: float = 0

    @property
    def pic_min(self) -> int:
        """Time as pilot in command [min]: own, solo, under supervision, and as instructor."""
        return self.minutes if self.function in AS_COMMANDER else 0


def engines_of(aircraft_class: str | None) -> str:
    """`single`, `multi`, or empty where the text of the class does not say."""
    text = aircraft_class or ""
    if _MULTI.search(text):
        return "multi"
    return "single" if _SINGLE.search(text) else ""


def experience_of(
    flight: Mapping[str, Any],
    part: CrewPart,
    others: tuple[CrewPart, ...],
    aircraft: tuple[str | None, str | None],
    spots: Mapping[str, Spot],
) -> Experience:
    """What a flight gives one of the people aboard.

    Args:
        flight: its recorded columns.
        part: this person's part.
        others: everybody's part, this person's among them.
        aircraft: type and class of the aeroplane.
        spots: coordinates of places, by name.
    """
    flown = flight["outcome"] == "flown"
    block = between(flight["off_blocks"], flight["on_blocks"]) or 0
    takeoffs, stops, known = _in_window(flight, part, spots) if flown else (0, 0, True)
    return Experience(
        flight_id=flight["flight_id"],
        date=flight["date"],
        aircraft=flight["aircraft"],
        aircraft_type=aircraft[0],
        aircraft_class=aircraft[1],
        function=part.function,
        minutes=block if flown else 0,
        night_min=_night(flight, spots) if flown else 0,
        device_min=block if flight["outcome"] == "device" else 0,
        with_instructor=part.function != "instructor" and any(o.function == "instructor" for o in others),
        part=part if flown else _nothing(part),
        window_takeoffs=takeoffs,
        window_stops=stops,
        window_known=known,
        night_recorded=flown and flight.get("night_min") is not None,
        ifr_min=_conditions(flight, "ifr_min", counts=flown),
        instrument_min=_conditions(
            flight, "instrument_min", counts=flown and (part.handled or part.function == "instructor")
        ),
        simulated_min=_conditions(
            flight,
            "simulated_instrument_min",
            counts=part.handled and flight["outcome"] in ("flown", "device"),
        ),
        ground_min=_conditions(flight, "ground_training_min", counts=part.function != "instructor"),
    )


def _conditions(flight: Mapping[str, Any], name: str, *, counts: bool) -> float:
    """Minutes of one recorded condition [min]; 0 where it was not written down or is not this person's.

    Instrument time is of the pilot who flew by instruments alone, actual conditions also of the instructor who taught
    in them (14 CFR 61.51(g), from memory).
    """
    return float(flight.get(name) or 0) if counts else 0


def _nothing(part: CrewPart) -> CrewPart:
    """A ground run, an attempt or a device gives no take-offs and landings."""
    return part._replace(
        takeoffs_day=0, takeoffs_night=0, landings_day=0, landings_night=0, landings_night_full_stop=0
    )


def _spots_of(flight: Mapping[str, Any], spots: Mapping[str, Spot]) -> tuple[Spot, Spot] | None:
    departure = spots.get(flight["place_from"] or flight["place_to"] or "")
    arrival = spots.get(flight["place_to"] or flight["place_from"] or "")
    return None if departure is None or arrival is None else (departure, arrival)


def _night(flight: Mapping[str, Any], spots: Mapping[str, Spot]) -> float | None:
    """Minutes by night: what was written down goes before what the Sun says."""
    written: float | None = flight.get("night_min")
    if written is not None:
        return written
    where = _spots_of(flight, spots)
    if where is None or flight["off_blocks"] is None or flight["on_blocks"] is None:
        return None
    return night_minutes(flight["off_blocks"], flight["on_blocks"], *where)


def _in_window(flight: Mapping[str, Any], part: CrewPart, spots: Mapping[str, Spot]) -> tuple[int, int, bool]:
    """Take-offs, and landings to a full stop, in the window of 14 CFR 61.57(b); and whether it could be looked up.

    Only what was recorded as by night can lie in it. The first take-off and the last landing have a time of their own;
    those between count when both of these lie in the window.
    """
    takeoffs, stops = part.takeoffs_night, part.landings_night_full_stop
    if not takeoffs and not stops:
        return 0, 0, True
    where = _spots_of(flight, spots)
    start, end = flight["takeoff"] or flight["off_blocks"], flight["landing"] or flight["on_blocks"]
    if where is None or start is None or end is None:
        return takeoffs, stops, False
    first, last = in_passenger_night(where[0], start), in_passenger_night(where[1], end)
    if first and last:
        return takeoffs, stops, True
    return min(takeoffs, int(first)), min(stops, int(last)), True
