"""Rules on the conditions of a flight: night, IFR and instrument time are parts of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from logbook.rules.case import FlightCase
from logbook.rules.flag import CHECK, Flag
from logbook.rules.thresholds import Thresholds
from logbook.units import plain_number

_CONDITIONS: Final = (
    (("night_min",), "night"),
    (("ifr_min",), "IFR"),
    (("instrument_min", "simulated_instrument_min"), "instrument time"),
)


def conditions_exceed_flight(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """More of a condition than there was flight or lesson; actual and simulated instrument time exclude each other."""
    if case.block_min is None:
        return
    found = {}
    for columns, words in _CONDITIONS:
        minutes = sum(case.flight.get(column) or 0 for column in columns)
        if minutes > case.block_min + bands.conditions_over_min:
            found[words] = minutes
    if not found:
        return
    said = ", ".join(f"{plain_number(minutes)} min of {words}" for words, minutes in found.items())
    what = "lesson" if case.flight["outcome"] == "device" else "flight"
    figures = {words.replace(" ", "_").lower() + "_min": minutes for words, minutes in found.items()}
    yield Flag(
        "conditions_exceed_flight",
        CHECK,
        f"Written down are {said}, but the {what} lasted {case.block_min} min.",
        figures | {"block_min": case.block_min},
    )
