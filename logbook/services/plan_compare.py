"""What was flown beside what was planned: circuits, feet, minutes, and single legs where a recorder knows them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from logbook.units import between, plain_number

Row = dict[str, Any]
_PHASES: Final = {
    "climb": "climb",
    "cruise": "level",
    "level": "level",
    "descent": "descent",
    "circuit": "circuits",
    "circuits": "circuits",
}
"""What recorders call the phases of a flight, and the kind of leg that is."""


class Difference(NamedTuple):
    """One amount flown otherwise than planned."""

    what: str
    unit: str
    planned: float
    flown: float

    @property
    def words(self) -> str:
        """In a sentence."""
        unit = f" {self.unit}" if self.unit else ""
        planned, flown = (
            round(value, 1 if self.unit == "kWh" else None) for value in (self.planned, self.flown)
        )
        return f"{self.what}: {plain_number(planned)}{unit} planned, {plain_number(flown)}{unit} flown."


_WORTH: Final = {"Circuits": 1.0, "Climb": 200.0, "Level flight": 2.0, "Block time": 5.0, "Persons aboard": 1.0, "Take-off mass": 10.0,
                 "Outside temperature": 5.0, "Wind": 5.0}  # fmt: skip
"""Smaller differences are not worth a line."""


def differences(plan: Row, answer: Row, flight: Row) -> Iterator[Difference]:
    """What differs enough to matter; amounts unknown on either side are left out.

    Args:
        plan: as it was typed.
        answer: as it was given.
        flight: with its phases.
    """
    planned = _planned(plan, answer)
    flown = {
        "Circuits": flight["circuits"],
        "Climb": flight["climb_ft"],
        "Level flight": flight["level_min"],
        "Block time": between(flight["off_blocks"], flight["on_blocks"]),
        "Persons aboard": flight["aboard"],
        "Take-off mass": flight["mass_kg"],
        "Outside temperature": flight["outside_temp_c"],
        "Wind": flight["wind_kt"],
    }
    units = {
        "Climb": "ft",
        "Level flight": "min",
        "Block time": "min",
        "Take-off mass": "kg",
        "Outside temperature": "°C",
        "Wind": "kt",
    }
    for what, value in planned.items():
        other = flown[what]
        if value is not None and other is not None and abs(value - other) >= _WORTH[what]:
            yield Difference(what, units.get(what, ""), float(value), float(other))
    yield from _legs(answer, flight)


def _planned(plan: Row, answer: Row) -> Row:
    legs = plan.get("legs") or []
    by_altitude = any(leg.get("to_ft") is not None for leg in legs)
    level = [
        leg.get("minutes") for leg in answer.get("legs") or () if leg.get("kind") in ("level", "airwork")
    ]
    return {
        "Circuits": sum(leg.get("circuits") or 0 for leg in legs),
        "Climb": None if by_altitude else sum(leg.get("climb_ft") or 0 for leg in legs),
        "Level flight": None if None in level else sum(level),
        "Block time": answer.get("block_min"),
        "Persons aboard": plan.get("aboard"),
        "Take-off mass": plan.get("mass_kg"),
        "Outside temperature": plan.get("outside_temp_c"),
        "Wind": plan.get("wind_kt"),
    }


def _legs(answer: Row, flight: Row) -> Iterator[Difference]:
    """Energy of each kind of leg, where a recorder wrote down its minutes and mean power."""
    flown: dict[str, float] = {}
    for phase in flight.get("phases") or ():
        kind = _PHASES.get(str(phase["phase"]).casefold())
        if kind and phase["minutes"] is not None and phase["mean_kw"] is not None:
            flown[kind] = flown.get(kind, 0.0) + phase["minutes"] * phase["mean_kw"] / 60
    planned: dict[str, float] = {}
    for leg in answer.get("legs") or ():
        energy = (leg.get("energy_kwh") or {}).get("mid")
        if energy is not None:
            planned[leg["kind"]] = planned.get(leg["kind"], 0.0) + energy
    for kind in flown.keys() & planned.keys():
        if abs(flown[kind] - planned[kind]) >= 0.1 * max(planned[kind], 1.0):
            yield Difference(f"Energy of {kind}", "kWh", planned[kind], flown[kind])
