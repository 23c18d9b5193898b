"""What people type into a field, and what it means: percent, degrees, counts, words (times and days: `typed_time`).

Digits, a separator and Enter are enough (gloves): `7,4` and `7.4` are the same number, units may be typed or left out.
Nothing is guessed: what cannot be meant is said with what to do.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any, Final, NamedTuple

from logbook.energy.take_off_mass import LeastMass
from logbook.measures import TIME, Measures
from logbook.units import parse_number, plain_number

_ALIKE: Final = 0.75
"""From this likeness on (1 is the same) a name may have been meant; common practice, no source."""


class Meaning(NamedTuple):
    """What a typed text means.

    Attributes:
        value: as stored, None where it means nothing yet.
        echo: the value as understood, with its unit.
        doubt: why it is improbable, though it may be true.
        problem: why it cannot be, and what to do.
    """

    value: Any = None
    echo: str = ""
    doubt: str = ""
    problem: str = ""


Reader = Callable[[str], Meaning]

_PARTS: Final = re.compile(r"[\s\-./]+")
_AMOUNT: Final = re.compile(r"([+\-−]?[0-9.,]+)\s*(.*)", re.DOTALL)
_ALSO: Final = {
    "%": (),
    "points": ("%", "point"),
    "°C": ("c", "deg", "degc"),
    "°": ("deg",),
    "min": ("m", "mins", "minutes"),
    "h": ("hour", "hours"),
    "kt": ("kts",),
    "ft/min": ("fpm",),
    "MΩ": ("mohm",),
}
"""Other ways to type a unit."""


def number(unit: str, low: float, high: float, likely: tuple[float, float] | None = None) -> Reader:
    """Reads a number with or without its unit; outside low..high is refused, outside the likely range doubted.

    Another unit is refused, never dropped: `2000 m` in a field of feet would be wrong by a factor of three.
    """
    short = unit.partition(" ")[0]
    own = {_bare(one) for one in ("", unit, short, *_ALSO.get(short, ()))}

    def value_of(text: str) -> float:
        match = _AMOUNT.fullmatch(text.strip())
        try:
            value = parse_number(match[1] if match else text)
        except ValueError:
            raise ValueError("a number, such as 7.4 or 7,4") from None
        if match and _bare(match[2]) not in own:
            raise ValueError(f"a number in {unit}, or without a unit" if unit else "a number without a unit")
        return value

    return _in_range(value_of, lambda value: f"{plain_number(value)} {unit}".rstrip(), (low, high), likely)


def measured(
    measures: Measures, quantity: str, low: float, high: float, likely: tuple[float, float] | None = None
) -> Reader:
    """Reads a figure of a quantity in the chosen unit, or in another that is named; limits are in the stored unit."""

    def value_of(text: str) -> float:
        try:
            return measures.read(text, quantity)
        except ValueError:
            names = " or ".join(dict.fromkeys((measures.unit_after(quantity), *_NAMED[quantity])))
            raise ValueError(f"a number in {names}, such as {_EXAMPLES[measures.unit(quantity)]}") from None

    return _in_range(value_of, lambda value: measures.say(value, quantity), (low, high), likely)


_NAMED: Final = {"kg": ("kg", "lb"), "°C": ("°C", "°F"), "NM": ("NM", "km"), TIME: ("min", "h")}
_EXAMPLES: Final = {
    "kg": "590 or 1300 lb", "lb": "1300 or 590 kg", "°C": "18 or 64f", "°F": "64 or 18c", "NM": "25 or 46 km",
    "km": "46 or 25 nm", "h:mm": "1:35 or 95 min", "min": "95 or 1:35", "h": "1.5 or 1:30",
}  # fmt: skip


def _in_range(
    value_of: Callable[[str], float],
    echo: Callable[[float], str],
    limits: tuple[float, float],
    likely: tuple[float, float] | None,
) -> Reader:
    """Reads a figure, refuses what is outside the limits and doubts what is outside the likely range."""

    def read(text: str) -> Meaning:
        try:
            value = value_of(text)
        except ValueError as error:
            return Meaning(problem=str(error))
        low, high = limits
        if not low <= value <= high:
            return Meaning(problem=_span(echo(low), echo(high)))
        doubt = "improbable." if likely and not likely[0] <= value <= likely[1] else ""
        return Meaning(value, echo(value), doubt=doubt)

    return read


def _bare(unit: str) -> str:
    """A unit as it is compared: without spaces, signs of degrees and capitals."""
    return re.sub(r"[\s°]", "", unit).casefold()


def _span(low: str, high: str) -> str:
    """`0 to 100 %`: the unit once, where it stands behind a space."""
    figure, space, unit = low.partition(" ")
    return f"{figure} to {high}" if space and high.endswith(f" {unit}") else f"{low} to {high}"


def count(high: int, likely: int) -> Reader:
    """Reads a whole number from 0 on."""

    def read(text: str) -> Meaning:
        bare = text.strip()
        if not bare.isdecimal() or len(bare) > 9:
            return Meaning(problem="a whole number, such as 1")
        value = int(bare)
        if value > high:
            return Meaning(problem=f"at most {high}")
        return Meaning(value, str(value), doubt="improbable." if value > likely else "")

    return read


percent: Final = number("%", 0, 100)
health: Final = number("%", 0, 200, (10, 105))


def pack_temperature(measures: Measures) -> Reader:
    """Reads the temperature of a pack."""
    return measured(measures, "°C", -90, 200, (-30, 75))


def outside_temperature(measures: Measures) -> Reader:
    """Reads the temperature of the air."""
    return measured(measures, "°C", -70, 60, (-25, 42))


def mass(measures: Measures, least_kg: float = 0) -> Reader:
    """Reads the mass of an aeroplane."""
    return measured(measures, "kg", least_kg, 20_000, (100, 6_000))


def take_off_mass(reader: Reader, least: LeastMass | None, measures: Measures) -> Reader:
    """Reads a mass as `reader` does, and doubts one that can hardly be the aeroplane with all aboard."""

    def read(text: str) -> Meaning:
        meaning = reader(text)
        if least is None or meaning.value is None or meaning.value > least.kg:
            return meaning
        floor = measures.say(least.kg, "kg")
        return meaning._replace(
            doubt=f"improbable: not above {least.words}, {floor}; the aeroplane itself belongs in it."
        )

    return read


def flight_time(measures: Measures, likely_min: float) -> Reader:
    """Reads a part of the time of one flight."""
    return measured(measures, TIME, 0, 1_440, (0, likely_min))


def words(text: str) -> Meaning:
    """Any text, as it is."""
    return Meaning(text, "")


def one_of(choices: tuple[str, ...]) -> Reader:
    """Reads a choice by its first letters, or by its number in the list."""

    def read(text: str) -> Meaning:
        low = text.strip().lower()
        if low.isdecimal() and len(low) < 4 and 1 <= int(low) <= len(choices):
            found = [choices[int(low) - 1]]
        else:
            found = [choice for choice in choices if choice == low] or [
                c for c in choices if c.startswith(low)
            ]
        if len(found) == 1:
            return Meaning(found[0], found[0])
        listed = "  ".join(f"{place} {choice}" for place, choice in enumerate(choices, 1))
        return Meaning(problem=f"one of {listed}" if not found else f"which: {', '.join(found)}?")

    return read


def known_name(names: tuple[str, ...], kind: str, otherwise: str = "add it in Setup") -> Reader:
    """Reads a name the book knows; capitals do not matter, and the beginning is enough where it is one's only.

    So is the beginning of a part of it, after a space, hyphen, stroke or point: `amp` for `ZZ-AMP`.

    Args:
        names: those the book knows.
        kind: what is named, for the words of a problem.
        otherwise: what can be done where the book knows no such name.
    """

    def read(text: str) -> Meaning:
        low = text.strip().casefold()
        exact = [name for name in names if name.casefold() == low]
        found = exact or [name for name in names if name.casefold().startswith(low)]
        if not found:
            found = [
                name for name in names if any(part.startswith(low) for part in _PARTS.split(name.casefold()))
            ]
        if len(found) == 1:
            return Meaning(found[0], found[0])
        if not found:
            return Meaning(problem=f"no {kind} of that name; {otherwise}")
        return Meaning(problem=f"which: {', '.join(found[:4])}?")

    return read


def alike(names: Iterable[str], text: str, most: int = 4) -> list[str]:
    """Names that may have been meant: those a text begins, whole or in part, then those spelt nearly so; best first."""
    from difflib import SequenceMatcher

    low = text.strip().casefold()

    def nearness(name: str) -> float:
        parts = [name.casefold(), *name.casefold().split()]
        if low and any(part.startswith(low) for part in parts):
            return 2.0
        return max(SequenceMatcher(None, low, part).ratio() for part in parts)

    near = sorted(((nearness(name), name) for name in names), key=lambda one: (-one[0], one[1]))
    return [name for ratio, name in near if ratio >= _ALIKE][:most]
