"""Where an axis is marked: round numbers, or days, months and years. English words whatever the machine's language."""

from __future__ import annotations

import math
from datetime import date
from itertools import pairwise
from typing import Final, NamedTuple

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
_DAY_STEPS: Final = (1, 2, 5, 7, 10, 14)
_MONTH_STEPS: Final = (1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200)


class Tick(NamedTuple):
    """One mark on an axis."""

    at: float
    words: str


_SAME = 1e-12
"""Two ends of an axis nearer than this, relative to their size, are one value: no figure here has more digits."""


def number_ticks(low: float, high: float, most: int) -> list[Tick]:
    """Round numbers from low to high, at most so many; all with the same decimals.

    Args:
        low: where the axis begins.
        high: where it ends; not before `low`.
        most: how many marks there is room for, at least one.
    """
    if not high - low > _SAME * max(1.0, abs(low), abs(high)):
        return [Tick(low, _plain(low, 0 if low == round(low) else 2))]
    raw = (high - low) / max(most, 1)
    magnitude = 10.0 ** math.floor(math.log10(raw))
    for factor in (*_STEPS, 20.0, 25.0, 50.0, 100.0):
        step = factor * magnitude
        first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
        if last - first + 1 <= most:
            break
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    if abs(step * 10**decimals - round(step * 10**decimals)) > 1e-6:
        decimals += 1  # a step of 2.5 needs one more
    return [Tick(index * step, _plain(index * step, decimals)) for index in range(first, last + 1)]


def _plain(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text


def date_ticks(low: float, high: float, most: int) -> list[Tick]:
    """Days, months or years from one day number to another, at most so many.

    Args:
        low: first day number (`date.toordinal`, with a fraction for the time of day).
        high: last day number; not before `low`.
        most: how many marks there is room for, at least one.
    """
    first, last = math.ceil(low), math.floor(high)
    span = high - low
    for days in _DAY_STEPS:
        if span / days < most and span < 62:
            return [Tick(day, _day_words(day)) for day in range(first, last + 1) if (day - first) % days == 0]
    for months in _MONTH_STEPS:
        ticks = _month_ticks(low, high, months)
        if len(ticks) <= most and (ticks or months == _MONTH_STEPS[-1]):
            return ticks
    return ticks[:most]


def _month_ticks(low: float, high: float, months: int) -> list[Tick]:
    begin = date.fromordinal(max(1, math.floor(low)))
    index = (begin.year * 12 + begin.month - 1) // months * months
    ticks = []
    while index // 12 <= date.max.year:
        if index >= 12:
            day = date(index // 12, index % 12 + 1, 1).toordinal()
            if day > high:
                break
            if day >= low:
                ticks.append(Tick(day, _month_words(index, months)))
        index += months
    return ticks


def _month_words(index: int, months: int) -> str:
    year, month = divmod(index, 12)
    return f"{year}" if months >= 12 else f"{MONTHS[month]} {year}"


def _day_words(day: int) -> str:
    at = date.fromordinal(day)
    return f"{at.day} {MONTHS[at.month - 1]}"


def date_words(number: float) -> str:
    """A day number as words: 2 May 2031, with the time of day where it has one."""
    whole = math.floor(number)
    at = date.fromordinal(whole)
    minutes = round((number - whole) * 1440)
    clock = f" {minutes // 60:02d}:{minutes % 60:02d}" if 0 < minutes < 1440 else ""
    return f"{at.day} {MONTHS[at.month - 1]} {at.year}{clock}"


def spread(wanted: list[int], height: int, low: int, high: int) -> list[int]:
    """Places for labels that would cover each other: moved apart as little as a simple pass allows.

    Args:
        wanted: the row or coordinate of each label, in rising order.
        height: what one label needs.
        low: the least place.
        high: the greatest place.
    """
    placed = list(wanted)
    for index, (before, at) in enumerate(pairwise(wanted), 1):
        placed[index] = max(at, placed[index - 1] + height) if before <= at else at
    limit = high
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = max(low, min(placed[index], limit))
        limit = placed[index] - height
    return placed
