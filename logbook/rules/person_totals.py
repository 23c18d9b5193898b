"""Totals of one person: time by function, by night, by class and type; devices apart; what was brought forward said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from logbook.rules.experience import Experience, engines_of

FUNCTIONS: Final = ("pic", "solo", "picus", "copilot", "dual", "instructor")
UNKNOWN: Final = "(not written down)"


@dataclass
class PersonTotals:
    """Sums over flights, times in minutes. What was brought forward is kept apart and added by `with_brought_forward`.

    Attributes:
        flights: flown flights.
        total_min: flight time (block time) [min].
        pic_min: pilot in command: own, solo, under supervision, and as instructor [min].
        by_function: time by recorded function [min]; `(not written down)` where none was.
        night_min: by night, as written down, else by the Sun as far as places have coordinates [min].
        night_unknown: flights whose night could not be judged.
        night_recorded: flights whose night was written down; the Sun was not asked.
        ifr_min: under instrument flight rules, as far as written down [min]; likewise actual instrument time.
        simulated_min: in simulated instrument conditions, in flight and in devices, as far as written down [min].
        ground_min: ground training received, no part of any flight time [min].
        by_class: time by class of aeroplane [min]; likewise by type.
        single_min: in single-engine aeroplanes by the text of their class [min]; `multi_min` multi-engine.
        device_min: in training devices, never part of the total [min].
        brought_forward: what the person's record brings from before this book.
    """

    flights: int = 0
    total_min: float = 0
    pic_min: float = 0
    night_min: float = 0
    night_unknown: int = 0
    landings_day: int = 0
    landings_night: int = 0
    takeoffs_day: int = 0
    takeoffs_night: int = 0
    single_min: float = 0
    multi_min: float = 0
    device_sessions: int = 0
    device_min: float = 0
    last_flight: str | None = None
    by_function: dict[str, float] = field(default_factory=dict)
    by_class: dict[str, float] = field(default_factory=dict)
    by_type: dict[str, float] = field(default_factory=dict)
    brought_forward: dict[str, float] = field(default_factory=dict)
    night_recorded: int = 0
    ifr_min: float = 0
    instrument_min: float = 0
    simulated_min: float = 0
    ground_min: float = 0

    def add(self, one: Experience) -> None:
        """Counts one flight or session."""
        if one.device_min:
            self.device_sessions += 1
            self.device_min += one.device_min
        self.simulated_min += one.simulated_min
        self.ground_min += one.ground_min
        if not one.minutes:
            return
        self.flights += 1
        self.total_min += one.minutes
        self.pic_min += one.pic_min
        if one.night_min is None:
            self.night_unknown += 1
        else:
            self.night_min += one.night_min
        self.night_recorded += one.night_recorded
        self.ifr_min += one.ifr_min
        self.instrument_min += one.instrument_min
        part = one.part
        self.landings_day += part.landings_day
        self.landings_night += part.landings_night
        self.takeoffs_day += part.takeoffs_day
        self.takeoffs_night += part.takeoffs_night
        engines = engines_of(one.aircraft_class)
        self.single_min += one.minutes if engines == "single" else 0
        self.multi_min += one.minutes if engines == "multi" else 0
        self.last_flight = max(self.last_flight or "", one.date)
        for table, key in (
            (self.by_function, one.function),
            (self.by_class, one.aircraft_class),
            (self.by_type, one.aircraft_type),
        ):
            table[key or UNKNOWN] = table.get(key or UNKNOWN, 0) + one.minutes

    def with_brought_forward(self) -> dict[str, float]:
        """The sums that a record can bring forward, with it: total, pic, dual, instructor, night [min]; landings."""
        here = {
            "total_min": self.total_min,
            "pic_min": self.pic_min,
            "dual_min": self.by_function.get("dual", 0),
            "instructor_min": self.by_function.get("instructor", 0),
            "night_min": self.night_min,
            "landings_day": self.landings_day,
            "landings_night": self.landings_night,
        }
        return {name: value + self.brought_forward.get(name, 0) for name, value in here.items()}


def brought_forward(person: Mapping[str, Any]) -> dict[str, float]:
    """What a person's record brings from before this book, by the names of the sums; only what was written down."""
    prefix = "brought_forward_"
    return {
        name.removeprefix(prefix): value
        for name, value in person.items()
        if name.startswith(prefix) and value is not None
    }


def total_up(experience: Iterable[Experience], person: Mapping[str, Any]) -> PersonTotals:
    """Totals of one person's flights."""
    totals = PersonTotals(brought_forward=brought_forward(person))
    for one in experience:
        totals.add(one)
    return totals
