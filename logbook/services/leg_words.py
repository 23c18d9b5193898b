"""One leg of a plan in words: as it was understood, as it would be typed, and whether it is improbable."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.measures import USUAL, Measures
from logbook.units import plain_number

SAID: Final = {
    "climb_ft": "{} ft up",
    "to_ft": "to {} ft",
    "minutes": "{} min",
    "distance_nm": "{} NM",
    "track_deg": "on {}°",
    "circuits": "{} circuits",
    "power_kw": "{} kW",
    "tas_kt": "{} kt true",
    "cas_kt": "{} kt calibrated",
}
_ORDER: Final = tuple(SAID)

_LIKELY: Final = {
    "climb_ft": (50, 12_000),
    "to_ft": (-200, 14_000),
    "minutes": (0.5, 240),
    "distance_nm": (0.5, 200),
    "circuits": (0, 25),
    "power_kw": (2, 300),
    "tas_kt": (30, 250),
    "cas_kt": (30, 250),
}


def doubt(leg: Mapping[str, Any]) -> str:
    """Whether some amount is improbable: `2,000` is two feet here, since a comma is a decimal point."""
    for name, (low, high) in _LIKELY.items():
        if leg.get(name) is not None and not low <= leg[name] <= high:
            return "improbable."
    return ""


def echo(leg: Mapping[str, Any], measures: Measures = USUAL) -> str:
    """A leg as it was understood."""
    parts = [_said(name, leg[name], measures) for name in _ORDER if leg.get(name) is not None]
    if "wind_kt" in leg:
        parts.append(f"wind {leg['wind_dir']:03.0f}/{leg['wind_kt']:.0f}")
    if "to" in leg:
        parts.append(f"to {leg['to']}")
    return f"{leg['kind']}: {', '.join(parts)}" if parts else str(leg["kind"])


def _said(name: str, value: float, measures: Measures) -> str:
    if name == "distance_nm":
        return measures.say(value, "NM")
    figure = f"{value:03.0f}" if name == "track_deg" else plain_number(value)
    words = SAID[name].format(figure)
    return "1 circuit" if name == "circuits" and value == 1 else words


def leg_line(leg: Mapping[str, Any], measures: Measures = USUAL) -> str:
    """A leg of a plan as it would be typed; `read_leg` reads it back."""
    made = {
        "climb_ft": "{}ft",
        "to_ft": "to {}ft",
        "minutes": "{}min",
        "distance_nm": f"{{}}{measures.unit('NM').lower()}",
        "circuits": "{}",
        "power_kw": "{}kw",
        "tas_kt": "{}kt",
        "cas_kt": "cas {}kt",
    }
    parts = [str(leg["kind"])]
    amounts = ("circuits", "climb_ft", "to_ft", "minutes", "distance_nm")
    parts += [
        made[name].format(measures.typed(leg[name], "NM" if name == "distance_nm" else ""))
        for name in amounts
        if leg.get(name) is not None
    ]
    if leg.get("track_deg") is not None:
        parts.append(f"track {plain_number(leg['track_deg'])}")
    parts += [
        made[name].format(plain_number(leg[name]))
        for name in ("power_kw", "tas_kt", "cas_kt")
        if leg.get(name)
    ]
    if leg.get("wind_kt") is not None:
        parts.append(f"w{leg.get('wind_dir') or 0:.0f}/{leg['wind_kt']:.0f}")
    return " ".join(parts)
