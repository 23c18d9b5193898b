"""Which final reserve applies to a flight: the case, its minutes, and the power at which they are counted.

The operator enters minutes and power of each case in the aircraft record. Where the power is left out, the cruise
power of the aeroplane stands in, and every text that shows the minutes names the power.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

CASE_WORDS: Final = {"local": "local flight by day", "day": "by day, not local", "night": "by night"}


def reserve_case(
    flight_kind: str | None, landings_night: int | None, place_from: str | None, place_to: str | None
) -> str:
    """Night if any landing is by night; local if circuits, or local with the same place; else day.

    A local flight without any place counts as one that comes back; with one place alone nobody knows, and the stricter
    case applies.
    """
    if landings_night:
        return "night"
    if flight_kind == "circuits" or (flight_kind == "local" and place_from == place_to):
        return "local"
    return "day"


def reserve_figures(aircraft: Mapping[str, Any], case: str) -> tuple[float | None, float | None]:
    """Minutes [min] and power [kW] of a case from the columns of an aeroplane; None where nothing is entered."""
    minutes = aircraft.get(f"final_reserve_min_{case}")
    power = aircraft.get(f"final_reserve_kw_{case}") or aircraft.get("cruise_power_kw")
    return minutes, power


def reserve_words(case: str, minutes: float | None, power_kw: float | None) -> str:
    """The reserve as people say it, with its power."""
    stated = "no figure entered" if minutes is None else f"{minutes:g} min"
    power = "" if power_kw is None or minutes is None else f" at {power_kw:g} kW"
    return f"{CASE_WORDS[case]}: {stated}{power}"
