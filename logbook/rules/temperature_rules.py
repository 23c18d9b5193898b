"""Rules on pack temperatures. Reaching a limit counts as passing it."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.rules.case import FlightCase
from logbook.rules.flag import CHECK, SERIOUS, Flag
from logbook.rules.thresholds import Thresholds


def temperatures(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """Highest temperature of a pack at or above its caution or its limit."""
    for pack in case.packs:
        read = [pack.reading.get(name) for name in ("temp_departure_c", "temp_max_c", "temp_landing_c")]
        known = [value for value in read if value is not None]
        if not known:
            continue
        highest, limits = max(known), pack.limits
        name = pack.serial_no or "the aeroplane"
        if limits.temp_limit_c is not None and highest >= limits.temp_limit_c:
            yield Flag(
                "temperature_limit",
                SERIOUS,
                f"Pack {name} reached {highest:g} °C; its limit is {limits.temp_limit_c:g} °C.",
                {"highest_c": highest, "limit_c": limits.temp_limit_c},
                pack.serial_no or "",
            )
        elif limits.temp_caution_c is not None and highest >= limits.temp_caution_c:
            yield Flag(
                "temperature_caution",
                CHECK,
                f"Pack {name} reached {highest:g} °C; caution begins at {limits.temp_caution_c:g} °C.",
                {"highest_c": highest, "caution_c": limits.temp_caution_c},
                pack.serial_no or "",
            )


def takeoff_temperature(case: FlightCase, _: Thresholds) -> Iterator[Flag]:
    """Temperature before start below the least or above the most for take-off."""
    if case.flight["outcome"] != "flown":
        return
    for pack in case.packs:
        value, limits = pack.reading.get("temp_departure_c"), pack.limits
        if value is None:
            continue
        if limits.takeoff_min_temp_c is not None and value < limits.takeoff_min_temp_c:
            edge, words = limits.takeoff_min_temp_c, "below the least"
        elif limits.takeoff_max_temp_c is not None and value > limits.takeoff_max_temp_c:
            edge, words = limits.takeoff_max_temp_c, "above the most"
        else:
            continue
        yield Flag(
            "takeoff_temperature",
            SERIOUS,
            f"Pack {pack.serial_no or ''} was at {value:g} °C before start, {words} for take-off ({edge:g} °C).",
            {"temp_departure_c": value, "limit_c": edge},
            pack.serial_no or "",
        )
