"""Rules on single values: what nobody is likely to have read, or what the time or the aeroplane has no room for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from logbook.rules.case import FlightCase
from logbook.rules.flag import CHECK, Flag
from logbook.rules.thresholds import Thresholds
from logbook.units import plain_number

_LIKELY = {
    "temp_departure_c": (-50, 120, "°C"),
    "temp_max_c": (-50, 200, "°C"),
    "temp_landing_c": (-50, 200, "°C"),
    "soh_pct": (0, 110, "%"),
}
_LIKELY_FLIGHT = {
    "climb_ft": (0, 60_000, "ft"),
    "highest_ft": (-1_500, 60_000, "ft"),
    "level_min": (0, 1_440, "min"),
    "level_kw": (0, 2_000, "kW"),
    "mass_kg": (50, 1e9, "kg"),  # the upper end: `_mass`
    "outside_temp_c": (-70, 60, "°C"),
    "wind_kt": (0, 100, "kt"),
    "wind_dir": (0, 360, "°"),
    "night_min": (0, 1_440, "min"),
    "ifr_min": (0, 1_440, "min"),
    "instrument_min": (0, 1_440, "min"),
    "simulated_instrument_min": (0, 1_440, "min"),
    "ground_training_min": (0, 600, "min"),
}


def value_improbable(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """A value nobody is likely to have read: below zero, hotter than fire, more than the time or the aeroplane allows."""
    for words, figures in (*_mass(case, bands), *_legs(case, bands)):
        yield Flag("value_improbable", CHECK, words, figures)
    for column, (low, high, unit) in _LIKELY_FLIGHT.items():
        value = case.flight.get(column)
        if value is not None and not low <= value <= high:
            yield Flag(
                "value_improbable", CHECK, f"{column} of {value:g} {unit} is improbable.", {column: value}
            )
    for pack in case.packs:
        for column, (low, high, unit) in _LIKELY.items():
            value = pack.reading.get(column)
            if value is not None and not low <= value <= high:
                yield Flag(
                    "value_improbable",
                    CHECK,
                    f"{column} of {value:g} {unit} is improbable.",
                    {column: value},
                    pack.serial_no or "",
                )


def _mass(case: FlightCase, bands: Thresholds) -> Iterator[tuple[str, dict[str, Any]]]:
    mass, handbook = case.flight.get("mass_kg"), case.aircraft.get("handbook_mass_kg")
    if mass is None:
        return
    most = bands.most_mass_kg if not handbook else min(bands.most_mass_kg, bands.most_mass_times * handbook)
    if mass > most:
        beside = f"; the handbook's figures hold for {handbook:g} kg" if handbook else ""
        yield f"A take-off mass of {mass:g} kg is improbable{beside}.", {"mass_kg": mass}


def _legs(case: FlightCase, bands: Thresholds) -> Iterator[tuple[str, dict[str, Any]]]:
    """More level minutes or circuits than the block time has room for."""
    block, level, circuits = case.block_min, case.flight.get("level_min"), case.flight.get("circuits")
    if block is None or case.flight["outcome"] == "device":
        return
    if level is not None and level > block + bands.legs_over_min:
        words = f"{plain_number(level)} level minutes are improbable in a block time of {block} min."
        yield words, {"level_min": level, "block_min": block}
    if circuits is not None and circuits * bands.least_circuit_min > block + 1:
        words = f"{plain_number(circuits)} circuits are improbable in a block time of {block} min."
        yield words, {"circuits": circuits, "block_min": block}
