"""Cases for the rules: a flight with nothing wrong, and one thing changed at a time."""

from __future__ import annotations

from typing import Any

from logbook.energy.estimate import Estimate
from logbook.rules.case import Event, FinalReserve, FlightCase, Limits, PackCase
from logbook.rules.catalogue import flags_of
from logbook.rules.flag import Flag
from tests import club

LIMITS = Limits(
    nominal_kwh=12,
    soh_zero_fraction=0.7,
    soh_full_fraction=1,
    takeoff_min_temp_c=5,
    takeoff_max_temp_c=42,
    temp_caution_c=48,
    temp_limit_c=56,
)
USABLE = Estimate(11, 12, 13, 0, "stated")


def pack_case(
    serial_no: str | None = club.P1, *, case: dict[str, Any] | None = None, **reading: Any
) -> PackCase:
    """One pack: readings changed by name, the case around them by `case`."""
    whole = PackCase(
        serial_no,
        club.reading(serial_no, soc_takeoff_pct=None, soc_touchdown_pct=None, source="read") | reading,
        LIMITS,
        USABLE,
        Estimate(3.3, 3.6, 3.9),
        "front" if serial_no == club.P1 else "rear",
    )
    return whole._replace(**(case or {}))


def flight_case(
    *packs: PackCase,
    flight: dict[str, Any] | None = None,
    aircraft: dict[str, Any] | None = None,
    **around: Any,
) -> FlightCase:
    """A flight whose two packs and times raise nothing, with what is given changed."""
    columns = {
        "flight_id": "F1",
        "state": "closed",
        "outcome": "flown",
        "crew": [],
        "landings_night": None,
    } | club.flight("F1")
    whole = FlightCase(
        flight=columns | (flight or {}),
        aircraft=club.aircraft() | (aircraft or {}),
        packs=packs or (pack_case(club.P1), pack_case(club.P2)),
        block_min=40,
        air_min=30,
        minutes_left=Estimate(30, 36, 42),
        reserve=FinalReserve(10, 24, "local"),
        fitted=(club.P1, club.P2),
    )
    return whole._replace(**around)


def event(what: str = "flight", at: str = "2031-05-09T06:00Z", **values: Any) -> Event:
    """Something that happened to the pack before or after."""
    whole = Event(what, "E0", at, None, None, None, None, "read")
    return whole._replace(**values)


def found(case: FlightCase) -> dict[str, Flag]:
    """Flags by rule."""
    return {flag.rule: flag for flag in flags_of(case)}
