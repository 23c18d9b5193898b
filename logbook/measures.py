"""Figures in the units somebody likes: shown, typed and read back; the file keeps kg, °C, NM and minutes always.

A figure is named by its quantity: the unit it is stored in (`kg`, `°C`, `NM`), or `time` for the length of a flight, which
is stored in minutes. Minutes of energy and reserve (minutes left, final reserve, minutes of a leg) are no such quantity:
handbooks and the law give them in minutes, so they stay in minutes. CSV, JSON and packages never pass through here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from logbook.units import UNITS, from_stored, hours_and_minutes, parse_number, plain_number, to_stored

TIME: Final = "time"
"""The quantity of block, air, night and other flight times [min]."""
CHOICES: Final[Mapping[str, tuple[str, ...]]] = {
    "mass": ("kg", "lb"),
    "temperature": ("°C", "°F"),
    "distance": ("NM", "km"),
    "duration": ("h:mm", "min", "h"),
}
"""What may be chosen, the usual first; `h` is decimal hours."""
_STORED: Final = {"kg": "mass", "°C": "temperature", "NM": "distance", TIME: "duration"}
_DECIMALS: Final = {"kg": 3, "°C": 2, "NM": 3, TIME: 2}
"""Decimals in which the file keeps each (`domain.fields`)."""
_ENDINGS: Final = {"_kg": "kg", "_c": "°C", "_nm": "NM"}
_FLIGHT_TIMES: Final = frozenset(
    {"block_min", "air_min", "night_min", "ifr_min", "instrument_min", "simulated_instrument_min", "ground_training_min"}
)  # fmt: skip
_SPELT: Final = {
    "kg": "kg", "kgs": "kg", "lb": "lb", "lbs": "lb",
    "c": "°C", "°c": "°C", "degc": "°C", "°": "", "deg": "", "f": "°F", "°f": "°F", "degf": "°F",
    "nm": "NM", "km": "km",
    "min": "min", "m": "min", "'": "min", "h": "h", "hours": "h",
}  # fmt: skip
"""Units as people type them; empty: whichever was chosen."""
_TYPED: Final = re.compile(r"([+\-−]?[0-9.,]+)\s*([^0-9.,]*)")
_CLOCK: Final = re.compile(r"([0-9]{1,6}):([0-5][0-9])(?:\s*h(?:ours)?)?", re.IGNORECASE)
_FIGURE: Final = r"[-−]?[0-9]+(?:\.[0-9]+)?"
_SAID: Final = re.compile(rf"(about )?(?<![\w.,-])({_FIGURE})( to {_FIGURE})?\s(kg|°C|NM)(?!\w)")


def quantity_of(column: str) -> str:
    """The quantity a column holds, by its name; empty where its unit is not a matter of taste."""
    if column in _FLIGHT_TIMES or (column.startswith("brought_forward_") and column.endswith("_min")):
        return TIME
    return next((kind for ending, kind in _ENDINGS.items() if column.endswith(ending)), "")


def stem_of(column: str) -> str:
    """The name of a column without the unit at its end: `take_off_mass_kg` is `take_off_mass`."""
    ending = next((end for end in (*_ENDINGS, "_min") if column.endswith(end)), "")
    return column.removesuffix(ending)


class Measures(NamedTuple):
    """The units somebody likes: one of `CHOICES` each."""

    mass: str = "kg"
    temperature: str = "°C"
    distance: str = "NM"
    duration: str = "h:mm"

    @classmethod
    def of(cls, kept: object) -> Measures:
        """The units a setting names; what it does not name, or what is none, is as usual."""
        named = kept if isinstance(kept, dict) else {}
        return cls(**{name: named[name] for name, units in CHOICES.items() if named.get(name) in units})

    def unit(self, quantity: str) -> str:
        """The chosen unit of a quantity; any other unit stays what it is."""
        name = _STORED.get(quantity)
        return quantity if name is None else str(getattr(self, name))

    def _scale(self, quantity: str) -> str:
        """The chosen unit as a scale: hours and minutes are minutes, written otherwise."""
        unit = self.unit(quantity)
        return "min" if unit == "h:mm" else unit

    # -- shown --------------------------------------------------------------------------------------------------------

    def turned(self, value: float, quantity: str) -> float:
        """A stored figure in the chosen unit."""
        return from_stored(value, self._scale(quantity)) if quantity in _STORED else value

    def figure(self, value: float, quantity: str, digits: int | None = None) -> str:
        """A stored figure as shown, without its unit; to as many digits as somebody could have typed, or to these."""
        if self.unit(quantity) == "h:mm":
            return hours_and_minutes(value)
        if quantity not in _STORED:
            return plain_number(value) if digits is None else f"{value:.{digits}f}"
        shown = self.turned(value, quantity)
        if quantity == TIME:
            return f"{shown:.2f}" if self.duration == "h" else plain_number(round(shown, 2))
        if digits is not None:
            return f"{shown:.{digits}f}"
        return plain_number(round(shown, UNITS[self._scale(quantity)].decimals) + 0.0)

    def say(self, value: float, quantity: str, digits: int | None = None) -> str:
        """A stored figure with its unit."""
        return f"{self.figure(value, quantity, digits)} {self.unit_after(quantity)}".rstrip()

    def unit_after(self, quantity: str) -> str:
        """What stands behind a figure: `1:35 h`, `95 min`, `1.58 h`."""
        unit = self.unit(quantity)
        return "h" if unit == "h:mm" else unit

    @property
    def unit_word(self) -> str:
        """What must stand in the heading of a column of flight times; a clock's figures speak for themselves."""
        return "" if self.duration == "h:mm" else self.duration

    def step(self, value: float, quantity: str) -> str:
        """A difference of two stored figures with its unit: ten degrees Celsius are eighteen Fahrenheit."""
        if quantity not in _STORED:
            return f"{plain_number(value)} {quantity}"
        unit = UNITS[self._scale(quantity)]
        return f"{plain_number(round(value / unit.size, unit.decimals))} {self.unit(quantity)}"

    def sentence(self, words: str) -> str:
        """A sentence of our own in the chosen units; figures that are only about right stay without decimals."""
        if self[:3] == Measures()[:3]:
            return words

        def said(match: re.Match[str]) -> str:
            about, low, to, unit = match.groups()
            digits = 0 if about or to else None
            parts = [self.figure(parse_number(low), unit, digits)]
            if to:
                parts.append(self.figure(parse_number(to.removeprefix(" to ")), unit, digits))
            return f"{about or ''}{' to '.join(parts)} {self.unit(unit)}"

        return _SAID.sub(said, words)

    # -- typed --------------------------------------------------------------------------------------------------------

    def typed(self, value: float, quantity: str) -> str:
        """A stored figure as somebody would type it: the shortest text that is read back as the very same figure."""
        if quantity not in _STORED:
            return plain_number(value)
        if self.unit(quantity) == "h:mm" and value == int(value) and value >= 0:
            return hours_and_minutes(value)
        decimals, shown = _DECIMALS[quantity], self.turned(value, quantity)
        scale = self._scale(quantity)
        for digits in range(9):
            text = plain_number(round(shown, digits) + 0.0)
            if round(to_stored(float(text), scale), decimals) == round(value, decimals):
                return f"{text} min" if self.unit(quantity) == "h:mm" else text
        return plain_number(shown)

    def read(self, text: str, quantity: str) -> float:
        """The stored figure of a typed text; the chosen unit where none is named, `1:35` is hours and minutes.

        Raises:
            ValueError: it is no figure, or its unit is not one of that quantity.
        """
        bare = text.strip()
        clock = _CLOCK.fullmatch(bare) if quantity == TIME else None
        if clock is not None:
            return int(clock[1]) * 60.0 + int(clock[2])
        match = _TYPED.fullmatch(bare)
        if match is None:
            raise ValueError("not a figure")
        named = _SPELT.get(match[2].replace(" ", "").casefold(), match[2]) if match[2] else ""
        unit = named or self._scale(quantity)
        if unit not in UNITS or UNITS[unit].stored != UNITS[self._scale(quantity)].stored:
            raise ValueError(f"'{match[2]}' is no unit of this")
        return round(to_stored(parse_number(match[1]), unit), _DECIMALS[quantity]) + 0.0


USUAL: Final = Measures()
"""The units nobody has chosen otherwise: those the file keeps, and flight times as a clock shows them."""


def effect_words(measures: Measures, words: str) -> str:
    """What an effect is given for: `for 10 °C warmer` is a difference, `below 20 °C` a temperature."""
    step = re.sub(rf"for ({_FIGURE}) °C", lambda match: f"for {measures.step(float(match[1]), '°C')}", words)
    return re.sub(
        rf"below ({_FIGURE}) °C", lambda match: f"below {measures.say(float(match[1]), '°C')}", step
    )


def time_words(measures: Measures) -> str:
    """In what flight times are shown: `hours and minutes`."""
    return {"h:mm": "hours and minutes", "min": "minutes", "h": "hours"}[measures.duration]


def changed(measures: Measures, changes: Mapping[str, str]) -> Measures:
    """The units after a change.

    Raises:
        ValueError: there is no such choice; says which there are.
    """
    for name, unit in changes.items():
        if unit not in CHOICES.get(name, ()):
            listed = ", ".join(CHOICES.get(name, ())) or f"{', '.join(CHOICES)} can be chosen"
            raise ValueError(f"{name} '{unit}': one of {listed}")
    return measures._replace(**changes)


def told(measures: Measures, answer: Any) -> Any:
    """An answer as nested dicts and lists with its sentences in the chosen units; names and figures stay."""
    if isinstance(answer, dict):
        return {key: value if key in _NAMES else told(measures, value) for key, value in answer.items()}
    if isinstance(answer, (list, tuple)):
        return [told(measures, value) for value in answer]
    return measures.sentence(answer) if isinstance(answer, str) else answer


_NAMES: Final = frozenset(
    {"serial_no", "name", "aircraft", "title", "place_from", "place_to", "handled_by", "plan_id"}
)
