"""Instants, dates, numbers and units in the one form in which they are stored, and as people type and read them.

Instants are text, `YYYY-MM-DDTHH:MMZ`, always UTC: they sort as they are, read the same in the file, in JSON
and in CSV, and cannot carry a hidden offset. Arithmetic on them goes through whole minutes since 1970.
"""

from __future__ import annotations

import json
import re
from datetime import UTC, date, datetime, timedelta
from math import ceil, floor
from typing import Any, Final, NamedTuple

_INSTANT: Final = re.compile(r"(\d{4}-\d{2}-\d{2})T(\d{2}:\d{2})(?::\d{2}(?:\.\d+)?)?Z")
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_NUMBER: Final = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")


def canonical_instant(text: str) -> str:
    """The instant in stored form; seconds are accepted and dropped.

    Raises:
        ValueError: it is not `YYYY-MM-DDTHH:MMZ`, or there is no such moment.
    """
    match = _INSTANT.fullmatch(text)
    if match is None:
        raise ValueError(f"'{text}' is not an instant: write it as 2031-05-09T08:30Z (UTC)")
    stored = f"{match[1]}T{match[2]}Z"
    try:
        datetime.fromisoformat(stored)
    except ValueError:
        raise ValueError(f"there is no such moment as '{text}'") from None
    return stored


def is_instant(value: object) -> bool:
    """Whether something is an instant in stored form."""
    if not isinstance(value, str):
        return False
    try:
        return canonical_instant(value) == value
    except ValueError:
        return False


def canonical_date(text: str) -> str:
    """The date in stored form, `YYYY-MM-DD`.

    Raises:
        ValueError: it is not written so, or there is no such day.
    """
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        raise ValueError(f"'{text}' is not a date: write it as 2031-05-09")
    try:
        date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"there is no such day as '{text}'") from None
    return text


def minutes_of(instant: str) -> int:
    """Whole minutes from 1970-01-01T00:00Z to a stored instant [min]."""
    day = date.fromisoformat(instant[:10]).toordinal() - 719163
    return day * 1440 + int(instant[11:13]) * 60 + int(instant[14:16])


def instant_of(minutes: int) -> str:
    """The stored form of an instant given in whole minutes since 1970 [min]."""
    return (_EPOCH + timedelta(minutes=minutes)).strftime("%Y-%m-%dT%H:%MZ")


def shown_instant(instant: str) -> str:
    """A stored instant as it stands in sentences: '2031-05-09 08:30 UTC'."""
    return f"{instant[:10]} {instant[11:16]} UTC"


def between(start: str | None, end: str | None) -> int | None:
    """Whole minutes from one stored instant to another [min]; unknown if either is."""
    if start is None or end is None:
        return None
    return minutes_of(end) - minutes_of(start)


def parse_number(text: str) -> float:
    """A number as people type it: '7.4' and '7,4' are the same.

    Raises:
        ValueError: it is not a plain number (no thousands marks, no exponents).
    """
    stripped = text.strip().replace("−", "-")
    if not _NUMBER.fullmatch(stripped):
        raise ValueError(f"'{text}' is not a number: write it as 7.4")
    return float(stripped.replace(",", "."))


class Unit(NamedTuple):
    """A unit people read and type in.

    Attributes:
        stored: the unit the file keeps such values in.
        size: one of it, in the stored unit.
        zero: what is taken from a figure in it before it is turned (32 for degrees Fahrenheit).
        decimals: to which its figures are shown; the stored decimals (`domain.fields`) are finer than that.
    """

    stored: str
    size: float
    zero: float = 0.0
    decimals: int = 3


UNITS: Final = {
    "kg": Unit("kg", 1.0),
    "lb": Unit("kg", 0.453_592_37, decimals=1),
    "°C": Unit("°C", 1.0, decimals=2),
    "°F": Unit("°C", 1 / 1.8, 32.0, decimals=1),
    "NM": Unit("NM", 1.0),
    "km": Unit("NM", 1 / 1.852, decimals=1),
    "min": Unit("min", 1.0, decimals=2),
    "h": Unit("min", 60.0, decimals=2),
}
"""The pound is 0.45359237 kg, the nautical mile 1852 m, both exactly: NIST Special Publication 811 (2008), appendix B.8;
so is (°F - 32) / 1.8."""


def to_stored(value: float, unit: str) -> float:
    """A figure in a unit, in the unit the file keeps."""
    known = UNITS[unit]
    return (value - known.zero) * known.size


def from_stored(value: float, unit: str) -> float:
    """A figure as the file keeps it, in a unit."""
    known = UNITS[unit]
    return value / known.size + known.zero


def plain_number(value: float) -> str:
    """The shortest text that reads back as the same number; whole numbers without a point."""
    if isinstance(value, int) or value == int(value):
        return str(int(value))
    text = repr(value)
    if "e" in text:
        from decimal import Decimal

        return f"{Decimal(text):f}"
    return text


def hours_and_minutes(minutes: float) -> str:
    """A duration as a clock shows it: 95 becomes '1:35'."""
    whole = round(minutes)
    sign = "-" if whole < 0 else ""
    return f"{sign}{abs(whole) // 60}:{abs(whole) % 60:02d}"


def to_cell(value: Any) -> str:
    """The text of a value in a cell of a table: the shortest that reads back as the same value; lists with `;`."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(int(value))
    if isinstance(value, (int, float)):
        return plain_number(value)
    if isinstance(value, (list, tuple)):
        return list_cell([item if isinstance(item, str) else to_cell(item) for item in value])
    return str(value)


def list_cell(items: list[str]) -> str:
    """The text of a list in a cell: `A;B`, or JSON where that would read back as something else."""
    joined = ";".join(items)
    return joined if not items or list_of(joined) == items else json.dumps(items, ensure_ascii=False)


def list_of(text: str) -> list[str]:
    """The items of a list in a cell: `A;B`, or JSON where an item holds the mark itself."""
    if text.startswith("["):
        try:
            items = json.loads(text)
        except (ValueError, RecursionError):
            items = None
        if isinstance(items, list) and all(isinstance(item, str) for item in items):
            return items
    return [item.strip() for item in text.split(";")]


def down(value: float) -> str:
    """What one has, in whole figures, never shown better than it is."""
    return str(floor(value + 1e-9))


def up(value: float) -> str:
    """What one needs, in whole figures, never shown easier than it is."""
    return str(ceil(value - 1e-9))
