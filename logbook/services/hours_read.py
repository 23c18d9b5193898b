"""Total time of aeroplanes as somebody read it, beside what the book counts: the newest reading is the one to count on from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final, NamedTuple

from logbook.store.database import Book
from logbook.store.records import Records
from logbook.units import minutes_of

APART_H: Final = 1.0
"""A reading so far from what the book counts is said [h] (common practice, no source)."""

NO_TIME: Final[Mapping[str, Any]] = {"hours": 0.0, "each": ()}
"""What is counted of an aeroplane the book knows no more."""


class HoursNow(NamedTuple):
    """Total time of an aeroplane now [h], and in words what it was counted from."""

    hours: float
    words: str


def readings_of_hours(book: Book, until: str = "9") -> dict[str, list[tuple[str, float]]]:
    """Total times as read at entries and fittings, by registration: when (UTC) and hours, in order of time.

    Args:
        book: the open book.
        until: later readings (UTC) do not count.
    """
    found: dict[str, list[tuple[str, float]]] = {}
    for table, at in (("maintenance", "completed"), ("installation", "fitted")):
        condition = f"struck = 0 AND aircraft IS NOT NULL AND aircraft_hours IS NOT NULL AND {at} <= ?"
        for _, row in Records(book, table).select(condition, (until,)):
            found.setdefault(row["aircraft"], []).append((row[at], row["aircraft_hours"]))
    return {aircraft: sorted(read) for aircraft, read in found.items()}


def hours_now(total: Mapping[str, Any], read: Iterable[tuple[str, float]]) -> HoursNow:
    """Total time now: the newest reading and what was flown since; without a reading, what the book counts.

    Args:
        total: an aeroplane as `aircraft_totals` counts it.
        read: its readings, in order of time.
    """
    newest = next(iter(sorted(read, reverse=True)), None)
    if newest is None:
        return HoursNow(total["hours"], "")
    at, hours = newest
    since = minutes_of(at)
    flown = sum(one for when, one in total["each"] if when >= since)
    words = f"{hours:g} h read on {at[:10]}, {flown:.1f} h flown since"
    return HoursNow(round(hours + flown, 4), words)


def counted_at(total: Mapping[str, Any], at: str) -> float:
    """What the book counts up to a moment (UTC) [h]; brought-forward time included."""
    until = minutes_of(at)
    later: float = sum(one for when, one in total["each"] if when >= until)
    return round(float(total["hours"]) - later, 4)
