"""The fixed functions of a mapping: from a cell of a foreign file to a value, or a sentence that says why not."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

IN_FORMS: Final = ("h:mm", "decimal hours", "minutes")
"""How durations are written."""

FROM_UNITS: Final = {
    "lb": (0.45359237, 0.0),
    "fahrenheit": (5 / 9, -160 / 9),
    "m": (1 / 0.3048, 0.0),
    "km": (1 / 1.852, 0.0),
    "km/h": (1 / 1.852, 0.0),
    "m/s": (3.6 / 1.852, 0.0),
    "mph": (1.609344 / 1.852, 0.0),
    "fraction": (100.0, 0.0),
    "wh": (0.001, 0.0),
    "w": (0.001, 0.0),
    "hours": (60.0, 0.0),
}
"""Unit of the file to (factor, offset) that lead to ours: kg, °C, ft, NM, kt, %, kWh, kW, min.

Sources: international yard and pound agreement of 1959 (lb, mile, foot); nautical mile 1852 m (ICAO Annex 5).
"""

_TIME: Final = re.compile(r"(\d{1,2}):(\d{2})(?::\d{2})?|(\d{1,2})(\d{2})")
_HOURS: Final = re.compile(r"(\d{1,4}):(\d{2})(?::\d{2})?")
_DATE: Final = re.compile(r"(\d{1,4})[./\- ]\s?(\d{1,2})[./\- ]\s?(\d{1,4})\.?")
_PLAIN: Final = re.compile(r"[+-]?\d+(?:\.\d+)?")


def number(text: str, decimal: str, thousands: str) -> float:
    """A number with the stated decimal sign; any other sign in it is refused rather than guessed at.

    Raises:
        ValueError: it is not such a number.
    """
    plain = text.strip().replace("\u2212", "-").replace("\u00a0", " ")
    whole, sign, rest = plain.partition(decimal)
    if thousands and thousands in whole:
        if not re.fullmatch(rf"[+-]?\d{{1,3}}(?:{re.escape(thousands)}\d{{3}})+", whole):
            raise ValueError(
                f"'{text[:40]}' has '{thousands}' where no thousands end; the decimal sign is '{decimal}'"
            )
        whole = whole.replace(thousands, "")
    plain = f"{whole}.{rest}" if sign else whole
    if decimal != "." and "." in text.replace(thousands or "\0", ""):
        raise ValueError(f"'{text[:40]}' holds a point, but the decimal sign is '{decimal}'")
    if len(plain) > 30 or not _PLAIN.fullmatch(plain):
        raise ValueError(f"'{text[:40]}' is not a number with the decimal sign '{decimal}'")
    return float(plain)


def converted(value: float, unit: str) -> float:
    """A value in our unit."""
    if not unit:
        return value
    factor, offset = FROM_UNITS[unit]
    return round(value * factor + offset, 6)


def day(text: str, order: str, century: int) -> date:
    """A date whose parts come in the stated order.

    Args:
        text: day, month and year as numbers, between points, strokes or dashes.
        order: `dmy`, `mdy` or `ymd`.
        century: added to a year of two digits; 0 refuses such years.

    Raises:
        ValueError: it is not such a date, or there is no such day.
    """
    match = _DATE.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"'{text[:40]}' is not a date of day, month and year in numbers")
    parts = dict(zip(order, match.groups(), strict=True))
    if len(parts["d"]) > 2 or len(parts["y"]) not in (2, 4):
        raise ValueError(f"'{text[:40]}' does not come in the stated order of day, month and year")
    year = int(parts["y"])
    if len(parts["y"]) == 2:
        if not century:
            raise ValueError(f"the year of '{text[:40]}' has two digits and the mapping states no century")
        year += century
    try:
        return date(year, int(parts["m"]), int(parts["d"]))
    except ValueError:
        raise ValueError(f"there is no such day as '{text[:40]}'") from None


def clock(text: str) -> tuple[int, int]:
    """Hour and minute of `8:05`, `08:05:30` (seconds dropped) or `0805`.

    Raises:
        ValueError: it is no time of day.
    """
    match = _TIME.fullmatch(text.strip())
    hour, minute = (int(match[1] or match[3]), int(match[2] or match[4])) if match else (24, 0)
    if hour > 23 or minute > 59:
        raise ValueError(f"'{text[:40]}' is not a time of day")
    return hour, minute


def instant(on: date, hour: int, minute: int, zone: ZoneInfo, twice: str) -> datetime:
    """The moment (UTC) at which the clocks of a zone showed a time.

    Args:
        on: the local day.
        hour: as the clock showed it.
        minute: likewise.
        zone: the time zone.
        twice: for a time that occurred twice as the clocks went back: earlier, later or refuse.

    Raises:
        ValueError: the clocks never showed it, or showed it twice and neither is chosen.
    """
    shown = datetime(on.year, on.month, on.day, hour, minute, tzinfo=zone)
    words = f"{shown:%Y-%m-%d %H:%M} in {zone.key}"
    moments = [shown.replace(fold=fold).astimezone(UTC) for fold in (0, 1)]
    if all(moment.astimezone(zone).replace(tzinfo=None) != shown.replace(tzinfo=None) for moment in moments):
        raise ValueError(f"the clocks never showed {words}: they went forward over it")
    if moments[0] != moments[1]:
        if twice == "refuse":
            raise ValueError(f"the clocks showed {words} twice as they went back; state [dates] twice")
        return moments[0] if twice == "earlier" else moments[1]
    return moments[0]


def stored(moment: datetime) -> str:
    """A moment in stored form."""
    return f"{moment:%Y-%m-%dT%H:%MZ}"


def minutes(text: str, form: str, decimal: str, thousands: str) -> float:
    """A duration in minutes [min].

    Args:
        text: the cell.
        form: one of `IN_FORMS`.
        decimal: the decimal sign of the file.
        thousands: the mark between thousands, or empty.

    Raises:
        ValueError: it is not a duration in that form.
    """
    if form == "h:mm":
        match = _HOURS.fullmatch(text.strip())
        if match is None or int(match[2]) > 59:
            raise ValueError(f"'{text[:40]}' is not a duration in hours and minutes")
        return int(match[1]) * 60 + int(match[2])
    value = number(text, decimal, thousands)
    if value < 0:
        raise ValueError(f"a duration of '{text[:40]}' cannot be")
    return round(value * 60) if form == "decimal hours" else value


def later(start: str, add: float) -> str:
    """The stored instant so many minutes after another [min]."""
    moment = datetime.fromisoformat(start) + timedelta(minutes=round(add))
    return stored(moment)
