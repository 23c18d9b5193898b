"""The columns of a student's flights, and a flight in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.measures import USUAL, Measures
from logbook.reports.student_words import flag_words
from logbook.ui.theme import SIGNS
from logbook.ui.widgets.columns import Column
from logbook.units import down

Flight = Mapping[str, Any]
_ORDER: Final = ("serious", "check", "note")


def sign_of(flight: Flight) -> tuple[str, str]:
    """The worst flag without an answer, as a sign."""
    waiting = {flag["severity"] for flag in flight["flags"] if not flag["answered"]}
    worst = next((severity for severity in _ORDER if severity in waiting), "")
    return SIGNS.get(worst, ("", ""))


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:.0f}"


def _signed(value: float | None) -> str:
    if value is None:
        return ""
    return f"{round(value):+d}" if round(value) else "0"


def _margin(flight: Flight) -> str:
    margin = flight["margin_pct"]
    return _signed(margin) + ("!" if margin is not None and margin < 0 else "")


def _forecast(flight: Flight) -> str:
    low, high = flight["program_low_pct"], flight["program_high_pct"]
    return "" if low is None else f"{down(low)}-{high:.0f}"


def _outside(flight: Flight) -> bool:
    low, landed = flight["program_low_pct"], flight["landing_soc_pct"]
    return bool(low is not None and landed is not None and not low <= landed <= flight["program_high_pct"])


def _came(flight: Flight) -> str:
    return _signed(flight["program_error_pct"]) + ("?" if _outside(flight) else "")


def _flags(flight: Flight) -> str:
    waiting = sum(not flag["answered"] for flag in flight["flags"])
    return f"{waiting} open" if waiting else ""


COLUMNS: Final[tuple[Column[Flight], ...]] = (
    Column("date", "Day", lambda flight: flight["date"], 10),
    Column("aircraft", "Plane", lambda flight: flight["aircraft"], 7, most=10, priority=5),
    Column("function", "As", lambda flight: flight["function"] or "", 4, most=8, priority=4),
    Column("minutes", "Min", lambda flight: _figure(flight["minutes"] or None), 3, right=True, priority=6),
    Column("landed", "Left %", lambda flight: _figure(flight["landing_soc_pct"]), 6, right=True),
    Column(
        "margin",
        "Spare",
        _margin,
        5,
        right=True,
        tone=lambda flight: "error" if "!" in _margin(flight) else "",
    ),
    Column("own", "Own %", lambda flight: _figure(flight["own_estimate_pct"]), 5, right=True, priority=3),
    Column("error", "Off", lambda flight: _signed(flight["estimate_error_pct"]), 4, right=True),
    Column("program", "Program %", _forecast, 9, right=True, priority=1),
    Column("came", "Off", _came, 5, right=True, priority=2),
    Column("flags", "Flags", _flags, 7, priority=7),
)
"""Left: charge of the weaker pack; Spare: over the reserve; Off: came less expected, all in points."""


def said_of(flight: Flight, measures: Measures = USUAL) -> str:
    """What the table has no room for: the pack and its reserve, with whom, exercise, flags, remarks, debrief."""
    first = [f"{flight['date']}"]
    if flight["landing_soc_pct"] is not None:
        pack = f" ({flight['weaker_pack']})" if flight["weaker_pack"] else ""
        reserve = flight["reserve_soc_pct"]
        kept = "no reserve is written down" if reserve is None else f"reserve {reserve:g} %"
        first.append(f"landed with {flight['landing_soc_pct']:g} %{pack}, {kept}")
    if flight["instructor"]:
        first.append(f"with {flight['instructor']}")
    if flight["exercise"]:
        first.append(flight["exercise"])
    lines = ["; ".join(first)]
    if flight["debrief"]:
        lines.append(f"debrief: {flight['debrief']}")
    lines += [flag_words(flag, measures) for flag in flight["flags"]]
    if flight["remarks"]:
        lines.append(f"remarks: {flight['remarks']}")
    return "\n".join(lines)
