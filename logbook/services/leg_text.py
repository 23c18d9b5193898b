"""One leg of a plan as one line of text: `climb 2000`, `level 25nm 090`, `circuits 3`.

The first word is the kind, its beginning is enough; then come amounts in any order, each with its unit. The usual
amount of a kind needs none: feet of a climb, minutes of level flight, a number of circuits.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.measures import USUAL, Measures
from logbook.services.leg_words import SAID, doubt, echo
from logbook.services.typed import Meaning
from logbook.units import parse_number, to_stored

KINDS: Final = ("ground", "climb", "level", "circuits", "airwork", "descent")
HINT: Final = (
    "climb 2000 · level 12 (minutes) · level 25nm 090 · level to PLACE · circuits 3 · airwork 15 · descent · ground 5; "
    "also 18kw, 85kt, w270/15, to 3500ft"
)
_BARE: Final = {
    "ground": "minutes",
    "climb": "climb_ft",
    "level": "minutes",
    "circuits": "circuits",
    "airwork": "minutes",
    "descent": "minutes",
}
"""What a number without a unit means."""

_UNITS: Final = {
    "min": "minutes",
    "m": "minutes",
    "'": "minutes",
    "nm": "distance_nm",
    "km": "distance_nm",
    "kw": "power_kw",
    "ft": "climb_ft",
    "kt": "tas_kt",
    "kts": "tas_kt",
    "cas": "cas_kt",
    "°": "track_deg",
    "deg": "track_deg",
}
_AMOUNT: Final = re.compile(
    rf"([+-]?[0-9]+(?:[.,][0-9]*)?)(?:\s*({'|'.join(sorted(_UNITS, key=len, reverse=True))}))?(?![a-z0-9])"
)
_WIND: Final = re.compile(r"(?:w|wind)?\s*([0-9]{1,3})\s*/\s*([0-9]{1,3}(?:[.,][0-9])?)(?:\s*kts?)?")


class Spot(NamedTuple):
    """A place with coordinates."""

    name: str
    latitude_deg: float
    longitude_deg: float


def read_wind(text: str) -> Meaning:
    """A wind: `270/15` is from 270° true with 15 kt; `calm` or `0` is none."""
    bare = text.strip().casefold()
    if bare in ("calm", "0", "0/0"):
        return Meaning((0.0, 0.0), "calm")
    match = _WIND.fullmatch(bare) or re.fullmatch(r"([0-9]{3})([0-9]{2,3})(?:kts?)?", bare)
    if match is None:
        return Meaning(problem="from/speed, such as 270/15, or calm")
    direction, speed = int(match[1]), parse_number(match[2])
    if direction > 360 or speed > 150:
        return Meaning(problem="direction 0 to 360°, speed up to 150 kt")
    doubt = "improbable." if speed > 45 else ""
    return Meaning((float(direction % 360), speed), f"from {direction % 360:03d}° {speed:g} kt", doubt=doubt)


def read_leg(
    text: str,
    here: Spot | None = None,
    places: Mapping[str, Spot] | None = None,
    measures: Measures = USUAL,
) -> Meaning:
    """A leg as the plan has it; `to` in the value is the place it leads to.

    Args:
        text: as typed.
        here: where the leg begins, as far as that is known; needed for `to PLACE`.
        places: places with coordinates by name.
        measures: the units in which it is said back.
    """
    words = text.strip().split(None, 1)
    if not words:
        return Meaning()
    kinds = [kind for kind in KINDS if kind.startswith(words[0].casefold())]
    if len(kinds) != 1:
        which = f"which: {' or '.join(kinds)}?" if kinds else f"begin with {', '.join(KINDS)}"
        return Meaning(problem=which)
    try:
        leg = _amounts(kinds[0], words[1] if len(words) > 1 else "", here, places or {})
    except _NotUnderstood as error:
        return Meaning(problem=str(error))
    problem = _lacking(leg)
    return Meaning(problem=problem) if problem else Meaning(leg, echo(leg, measures), doubt=doubt(leg))


def read_way(
    text: str,
    here: Spot | None = None,
    places: Mapping[str, Spot] | None = None,
    measures: Measures = USUAL,
) -> Meaning:
    """Where one goes, without a kind: a place, or a distance and track such as `25nm 090`."""
    meaning = read_leg(f"level {text}", here, places, measures)
    if not meaning.problem and not meaning.value.get("minutes"):
        return meaning._replace(echo=meaning.echo.removeprefix("level: "))
    named = read_leg(f"level to {text}", here, places, measures)
    found = named if not named.problem or not re.match(r"\s*[0-9]", text) else meaning
    return found._replace(echo=found.echo.removeprefix("level: "))


class _NotUnderstood(Exception):
    """What is wrong with the line, in words."""


def _amounts(kind: str, rest: str, here: Spot | None, places: Mapping[str, Spot]) -> dict[str, Any]:
    leg: dict[str, Any] = {"kind": kind}
    left = rest.strip()
    while left:
        after = _place(leg, left, here, places)
        left = _one(leg, left) if after is None else after
    return leg


def _place(leg: dict[str, Any], left: str, here: Spot | None, places: Mapping[str, Spot]) -> str | None:
    """Takes `to PLACE`, to the end of the line; None where that is not what stands there."""
    match = re.fullmatch(r"to\s+([^0-9].*)", left, re.IGNORECASE)
    if match is None:
        return None
    from logbook.planning.route import great_circle

    wanted = match[1].strip()
    named = [name for name in places if name.casefold() == wanted.casefold()]
    found = named or [name for name in places if name.casefold().startswith(wanted.casefold())]
    if len(found) != 1:
        raise _NotUnderstood(
            f"which: {', '.join(found)}?" if found else f"no place '{wanted}' with coordinates in Setup"
        )
    if here is None:
        raise _NotUnderstood(
            "from where? Fill in From with a place that has coordinates, or type distance and track"
        )
    spot = places[found[0]]
    distance, track = great_circle(
        (here.latitude_deg, here.longitude_deg), (spot.latitude_deg, spot.longitude_deg)
    )
    if distance < 0.1:
        raise _NotUnderstood(f"that is where this leg begins: {spot.name}")
    leg |= {"distance_nm": round(distance, 1), "track_deg": round(track) % 360, "to": spot.name}
    return ""


def _one(leg: dict[str, Any], left: str) -> str:
    """Takes one amount or wind; returns what is left."""
    low = left.casefold()
    wind = re.match(rf"{_WIND.pattern}(?=\s|$)", low)
    if wind is not None:
        meaning = read_wind(wind[0])
        if meaning.problem:
            raise _NotUnderstood(f"wind: {meaning.problem}")
        _put(leg, "wind_dir", meaning.value[0])
        _put(leg, "wind_kt", meaning.value[1])
        return left[wind.end() :].strip()
    prefix = re.match(r"(to|track|cas|tas|t)\s*(?=[0-9])", low)
    at = prefix.end() if prefix else 0
    match = _AMOUNT.match(low, at)
    if match is None:
        raise _NotUnderstood(
            f"'{left.split(maxsplit=1)[0]}' is not understood; an amount with its unit, such as 25nm or 12min"
        )
    name = _name(leg, prefix[1] if prefix else "", match[1], match[2] or "")
    value = _value(name, match[1])
    _put(leg, name, round(to_stored(value, "km"), 3) if match[2] == "km" else value)
    return left[match.end() :].strip()


def _name(leg: dict[str, Any], prefix: str, figure: str, unit: str) -> str:
    if prefix:
        expected = {
            "to": ("to_ft", ("", "ft")),
            "cas": ("cas_kt", ("", "kt", "kts")),
            "tas": ("tas_kt", ("", "kt", "kts")),
        }
        name, units = expected.get(prefix, ("track_deg", ("", "°", "deg", "t")))
        if unit not in units:
            raise _NotUnderstood(f"'{prefix} {figure} {unit}' is not understood")
        return name
    if not unit:
        bare = _BARE[leg["kind"]]
        # A bare number after a distance is a track: "twenty-five miles, zero nine zero".
        return "track_deg" if "distance_nm" in leg else bare
    if leg["kind"] == "descent" and unit == "ft":
        return "to_ft"
    return _UNITS[unit]


def _value(name: str, figure: str) -> float:
    value = parse_number(figure)
    if value < 0 and name != "to_ft":
        raise _NotUnderstood("an amount to be flown cannot be negative")
    most = (
        360
        if name == "track_deg"
        else 99
        if name == "circuits"
        else 60_000
        if name.endswith("_ft")
        else 2_000
    )
    if value > most:
        raise _NotUnderstood(f"at most {most}")
    if name == "circuits" and value != int(value):
        raise _NotUnderstood("a whole number of circuits")
    return int(value) if name == "circuits" else value


def _put(leg: dict[str, Any], name: str, value: Any) -> None:
    if name in leg:
        raise _NotUnderstood("it says the same thing twice")
    leg[name] = value


def _lacking(leg: dict[str, Any]) -> str:
    """What a leg of this kind still needs, or cannot have; empty if it is whole."""
    kind = leg["kind"]
    needs = {
        "climb": (("climb_ft", "to_ft"), "how far up? climb 2000, or climb to 3500ft"),
        "level": (("minutes", "distance_nm"), "how long? level 12 (minutes), or level 25nm 090"),
        "circuits": (("circuits",), "how many? circuits 3"),
        "airwork": (("minutes", "climb_ft"), "how long? airwork 15 (minutes)"),
        "ground": (("minutes",), "how long? ground 5 (minutes)"),
    }
    names, words = needs.get(kind, ((), ""))
    if names and not any(name in leg for name in names):
        return words
    foreign = {
        "ground": ("climb_ft", "to_ft", "distance_nm", "circuits"),
        "climb": ("circuits",),
        "level": ("climb_ft", "to_ft", "circuits"),
        "circuits": ("climb_ft", "to_ft", "distance_nm"),
        "airwork": ("to_ft", "distance_nm", "circuits"),
        "descent": ("climb_ft", "circuits"),
    }[kind]
    stranger = next((name for name in foreign if name in leg), None)
    if stranger is not None:
        return f"a {kind} leg has no {SAID[stranger].format('').strip()}; make it a leg of its own"
    return ""
