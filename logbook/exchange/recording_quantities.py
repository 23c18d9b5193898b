"""The quantities a recorder writes: their units, signs and bounds, as a mapping of a recording states them."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import Any, Final, NamedTuple

from logbook.errors import UsageError
from logbook.exchange.mapping_words import one_of, only, wrong

_PACK: Final = frozenset({"serial_no", "soc", "voltage", "current", "power", "temp_high", "temp_low"})
_CELL: Final = frozenset({"column", "unit", "discharge", "of"})
_UNITS: Final[dict[str, dict[str, tuple[float, float]]]] = {
    "altitude": {"ft": (1.0, 0.0), "m": (1 / 0.3048, 0.0)},
    "speed": {"kt": (1.0, 0.0), "km/h": (1 / 1.852, 0.0), "m/s": (3.6 / 1.852, 0.0)},
    "soc": {"%": (1.0, 0.0), "fraction": (100.0, 0.0)},
    "voltage": {"V": (1.0, 0.0)},
    "current": {"A": (1.0, 0.0)},
    "power": {"kW": (1.0, 0.0), "W": (0.001, 0.0)},
    "temp_high": {"celsius": (1.0, 0.0), "fahrenheit": (5 / 9, -160 / 9)},
    "temp_low": {"celsius": (1.0, 0.0), "fahrenheit": (5 / 9, -160 / 9)},
}
"""Quantity to the units a recorder may use, each with (factor, offset) to ours: ft, kt, %, V, A, kW, °C.

Sources: 1 ft = 0.3048 m (international yard and pound agreement of 1959); nautical mile 1852 m (ICAO Annex 5).
"""
_PLAIN: Final = {"soc": "%", "voltage": "V", "current": "A"}
"""Quantities whose unit need not be stated."""

_BOUNDS: Final = {
    "altitude": (-2_000.0, 60_000.0),
    "speed": (-10.0, 1_000.0),
    "soc": (0.0, 100.0),
    "voltage": (0.0, 2_000.0),
    "current": (-5_000.0, 5_000.0),
    "power": (-2_000.0, 2_000.0),
    "temp_high": (-100.0, 300.0),
    "temp_low": (-100.0, 300.0),
}
"""Least and most that any instrument of a light aeroplane shows, in our units (common practice, no source)."""


class Quantity(NamedTuple):
    """One column of numbers.

    Attributes:
        name: what it measures: a key of the units above.
        column: of the file.
        factor: with `offset`, leads to our unit.
        offset: added after multiplying.
        least: the lowest value that can be [our unit]; `most` the highest.
        unit: as the file has it.
    """

    name: str
    column: str
    factor: float
    offset: float
    least: float
    most: float
    unit: str


class PackColumns(NamedTuple):
    """The columns of one pack.

    Attributes:
        label: its name in the mapping: the position, where no serial number is stated.
        serial_no: the pack, or empty: whichever is fitted in that position.
    """

    label: str
    serial_no: str
    soc: Quantity | None = None
    voltage: Quantity | None = None
    current: Quantity | None = None
    power: Quantity | None = None
    temp_high: Quantity | None = None
    temp_low: Quantity | None = None

    def quantities(self) -> Iterator[Quantity]:
        """Its columns."""
        for found in self[2:]:
            if isinstance(found, Quantity):
                yield found


def pack_of(label: str, told: dict[str, Any]) -> PackColumns:
    """The columns of one pack.

    Raises:
        UsageError: the mapping says something that cannot be.
    """
    only(told, _PACK, f"[packs.{label}]")
    found = {name: quantity_of(told, name) for name in _PACK if name != "serial_no"}
    pack = PackColumns(label, text_of(told, "serial_no"), **found)
    if not any(found.values()):
        raise refused(f"[packs.{label}] names no column")
    if pack.power is not None and (pack.voltage is not None or pack.current is not None):
        raise refused(f"[packs.{label}] states power, and voltage or current as well: one of the two ways")
    if (pack.voltage is None) != (pack.current is None):
        raise refused(f"[packs.{label}] needs voltage and current both, or power")
    return pack


def quantity_of(told: dict[str, Any], name: str) -> Quantity | None:
    """`"Column"` where the unit is fixed, or a table that says more."""
    if name not in told:
        return None
    cell = {"column": told[name]} if isinstance(told[name], str) else told[name]
    if not isinstance(cell, dict):
        raise refused(f"'{name}' is neither the name of a column nor a table")
    only(cell, _CELL, f"'{name}'")
    unit = cell.get("unit", _PLAIN.get(name))
    if unit is None:
        raise refused(f"'{name}' needs a unit: {', '.join(_UNITS[name])}")
    unit = one_of(unit, tuple(_UNITS[name]), "unit")
    factor, offset = _UNITS[name][unit]
    if name in ("current", "power"):
        factor *= (
            -1 if one_of(cell.get("discharge"), ("positive", "negative"), "discharge") == "negative" else 1
        )
    elif "discharge" in cell:
        raise refused(f"'{name}' has no direction of discharge")
    if "of" in cell and name != "speed":
        raise refused(f"'{name}' has no 'of'")
    column = text_of(cell, "column")
    if not column:
        raise refused(f"'{name}' names no column")
    return Quantity(name, column, factor, offset, *_BOUNDS[name], unit)


def over_ground(told: Any) -> bool:
    """Whether the speed is that over the ground; the mapping must say."""
    of = told.get("of") if isinstance(told, dict) else None
    return one_of(of, ("ground", "air"), "of") == "ground"


def text_of(told: dict[str, Any], name: str) -> str:
    """A text; empty where it is not there."""
    value = told.get(name, "")
    if not isinstance(value, str) or len(value) > 200:
        raise refused(f"'{name}' is no text of at most 200 characters")
    return value


def number_of(
    told: dict[str, Any], name: str, least: float, most: float, absent: float | None = None
) -> float:
    """A number within bounds; `absent` where it is not there, which is refused where that is None."""
    value = told.get(name, absent)
    if (
        not isinstance(value, int | float)
        or isinstance(value, bool)
        or not isfinite(value)
        or not least <= value <= most
    ):
        raise refused(f"'{name}' is not a number from {least:g} to {most:g}")
    return float(value)


def refused(what: str) -> UsageError:
    """The refusal of a mapping of a recording."""
    return wrong(what, "docs/recordings.md")
