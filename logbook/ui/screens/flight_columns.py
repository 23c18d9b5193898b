"""The columns of the list of flights."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from logbook.measures import TIME, USUAL, Measures
from logbook.services.typed_time import clock_of
from logbook.ui.theme import SIGNS
from logbook.ui.widgets.columns import Column

if TYPE_CHECKING:
    from logbook.services.flight_rows import FlightLine


def _number(value: float | None, digits: int = 0) -> str:
    return "" if value is None else f"{value:.{digits}f}"


def _what(line: FlightLine) -> str:
    if line.state == "open":
        return "open"
    return line.outcome if line.outcome != "flown" else line.kind or ""


def _route(line: FlightLine) -> str:
    if not line.place_to or line.place_to == line.place_from:
        return line.place_from or ""
    return f"{line.place_from or '?'}-{line.place_to}"


def _block(line: FlightLine, measures: Measures) -> str:
    return "" if line.block_min is None else measures.figure(line.block_min, TIME)


def _left_at(line: FlightLine, zones: Mapping[str, str] | None) -> str:
    """The time off blocks; in UTC (with its Z) also among local times where the zone of the place is not known."""
    if line.off_blocks is None:
        return ""
    if zones is None:
        return line.off_blocks[11:16]
    zone = zones.get(line.place_from or "")
    return clock_of(line.off_blocks, zone) if zone else f"{line.off_blocks[11:16]}Z"


def _crew(line: FlightLine) -> str:
    return " + ".join(name for name in (line.pilot, line.second_person) if name)


def sign_of(line: FlightLine) -> tuple[str, str]:
    """The worst flag without an answer, as a sign."""
    if line.struck:
        return "x", "grey"
    return SIGNS.get(line.worst or "", ("", "")) if line.open_flags else ("", "")


_ROOMY: Final[dict[str, dict[str, Any]]] = {
    "crew": {"width": 22},
    "what": {"width": 13},
    "route": {"width": 9, "most": 24},
    "off_blocks": {"priority": 7},
    "minutes_left": {"priority": 8},
}
_COLUMNS: Final[tuple[Column[FlightLine], ...]] = (
    Column("date", "Day", lambda line: line.date, 10),
    Column("off_blocks", "UTC", lambda line: _left_at(line, None), 5, priority=5),
    Column("aircraft", "Plane", lambda line: line.aircraft, 7, most=10, priority=2),
    Column("crew", "Crew", _crew, 12, most=34),
    Column("what", "What", _what, 8, most=13, priority=4),
    Column("route", "Where", _route, 6, most=16, priority=6),
    Column("block_min", "Block", lambda line: _block(line, USUAL), 5, right=True),
    Column("energy_kwh", "kWh", lambda line: _number(line.energy_kwh, 1), 5, right=True, priority=3),
    Column("landing_soc_pct", "Left %", lambda line: _number(line.landing_soc_pct), 6, right=True, priority=1),
    Column("minutes_left", "Left min", lambda line: _number(line.minutes_left), 8, right=True, priority=7),
)  # fmt: skip


def columns_of(
    measures: Measures, zones: Mapping[str, str] | None = None, *, wide: bool
) -> list[Column[FlightLine]]:
    """The columns; where there is room, names, kinds and places whole, and the time of leaving goes first.

    Args:
        measures: the units figures are shown in.
        zones: the zone of each place, for local times; None for UTC.
        wide: whether there is room.
    """
    block: dict[str, Any] = {"text": lambda line: _block(line, measures)}
    if measures.unit_word:
        block |= {"title": f"Block {measures.unit_word}", "width": 9}
    left: dict[str, Any] = {"text": lambda line: _left_at(line, zones)}
    if zones is not None:
        left |= {"title": "Local", "width": 6}
    roomy = _ROOMY if wide else {}
    changes = roomy | {"block_min": block, "off_blocks": roomy.get("off_blocks", {}) | left}
    return [replace(column, **changes.get(column.key, {})) for column in _COLUMNS]
