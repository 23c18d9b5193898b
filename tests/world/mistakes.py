"""Wrong entries, planted on purpose, with the list of what was right."""

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from tests.world.season import World

Row = dict[str, Any]
SHARE = 0.0115
"""Flights that carry one wrong entry."""


def plant(world: "World", rng: np.random.Generator) -> list[Row]:
    """Change about one flight in a hundred, in place; returns flight_id, field, serial_no, recorded, right."""
    by_flight: dict[str, list[Row]] = {}
    for reading in world.readings:
        by_flight.setdefault(reading["flight_id"], []).append(reading)
    planted = []
    slips = [
        _swapped_digits,
        _wrong_landing,
        _packs_exchanged,
        _wrong_level,
        _wrong_feet,
        _wrong_circuits,
        _wrong_departure,
    ]
    for flight in world.flights[15:]:
        if rng.random() >= SHARE:
            continue
        for slip in rng.permutation(np.arange(len(slips))):
            wrong = slips[slip](flight, by_flight[flight["flight_id"]], rng)
            if wrong is not None:
                planted.append({"flight_id": flight["flight_id"], **wrong})
                break
    return planted


def _set(row: Row, name: str, value: float, serial: str = "") -> Row:
    right, row[name] = row[name], value
    return {"field": name, "serial_no": serial, "recorded": value, "right": right}


def _swapped_digits(_flight: Row, readings: list[Row], rng: np.random.Generator) -> Row | None:
    row = readings[int(rng.integers(len(readings)))]
    tens, ones = divmod(row["soc_landing_pct"], 10)
    value = 10 * ones + tens
    if tens > 9 or abs(tens - ones) < 1 or value >= row["soc_departure_pct"]:
        return None
    return _set(row, "soc_landing_pct", value, row["serial_no"])


def _wrong_landing(_flight: Row, readings: list[Row], rng: np.random.Generator) -> Row | None:
    row = readings[int(rng.integers(len(readings)))]
    value = row["soc_landing_pct"] + int(rng.choice([-20, -10, 10, 20]))
    if not 0 <= value < row["soc_departure_pct"]:
        return None
    return _set(row, "soc_landing_pct", value, row["serial_no"])


def _packs_exchanged(_flight: Row, readings: list[Row], _rng: np.random.Generator) -> Row | None:
    if len(readings) < 2 or abs(readings[0]["soc_landing_pct"] - readings[1]["soc_landing_pct"]) < 3:
        return None
    a, b = readings[0]["soc_landing_pct"], readings[1]["soc_landing_pct"]
    readings[1]["soc_landing_pct"] = a
    return _set(readings[0], "soc_landing_pct", b, readings[0]["serial_no"])


def _wrong_level(flight: Row, _readings: list[Row], rng: np.random.Generator) -> Row | None:
    level = flight["level_min"]
    if not level or level < 10:
        return None
    tens, ones = divmod(int(level), 10)
    value = (
        10 * ones + tens
        if abs(tens - ones) >= 1 and rng.random() < 0.5
        else level + int(rng.choice([-10, 10, 20]))
    )
    return _set(flight, "level_min", value) if value > 0 else None


def _wrong_feet(flight: Row, _readings: list[Row], rng: np.random.Generator) -> Row | None:
    if not flight["climb_ft"] or flight["climb_ft"] < 1000:
        return None
    return _set(
        flight,
        "climb_ft",
        int(flight["climb_ft"] * 10)
        if rng.random() < 0.3
        else int(flight["climb_ft"] + rng.choice([2000, 3000])),
    )


def _wrong_circuits(flight: Row, _readings: list[Row], rng: np.random.Generator) -> Row | None:
    if flight["kind"] != "circuits" or not flight["circuits"]:
        return None
    change = int(rng.choice([-3, -2, 2, 3]))
    return _set(flight, "circuits", flight["circuits"] + change) if flight["circuits"] + change > 0 else None


def _wrong_departure(_flight: Row, readings: list[Row], rng: np.random.Generator) -> Row | None:
    row = readings[int(rng.integers(len(readings)))]
    value = row["soc_departure_pct"] - 10
    if value <= row["soc_landing_pct"] or rng.random() < 0.5:
        return None
    return _set(row, "soc_departure_pct", value, row["serial_no"])
