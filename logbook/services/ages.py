"""How long ago something was, and when something is due, in words."""

from __future__ import annotations

from datetime import date
from typing import Final

from logbook.units import hours_and_minutes, minutes_of

_HOUR: Final = 60
_DAY: Final = 24 * 60


def ago(then: str, now: str) -> str:
    """The age of a record: `now`, `12 min ago`, `3 h ago`, `2 d ago`, `5 weeks ago`, `14 months ago`.

    Args:
        then: a moment (UTC, stored form).
        now: the present moment; earlier than `then` where a clock was set back.
    """
    minutes = minutes_of(now) - minutes_of(then)
    if minutes < 0:
        return f"in {hours_and_minutes(-minutes)} h" if -minutes < _DAY else f"in {round(-minutes / _DAY)} d"
    for most, size, word in (
        (1, 1, ""), (90, 1, "min"), (36 * _HOUR, _HOUR, "h"), (14 * _DAY, _DAY, "d"),
        (70 * _DAY, 7 * _DAY, "weeks"), (730 * _DAY, 30.44 * _DAY, "months"),
    ):  # fmt: skip
        if minutes < most:
            return f"{int(minutes / size)} {word} ago" if word else "now"
    return f"{int(minutes / (365.25 * _DAY))} years ago"


def overdue(expected: str, now: str) -> str:
    """How far a moment has passed, as hours and minutes; empty where it has not."""
    late = minutes_of(now) - minutes_of(expected)
    return f"{hours_and_minutes(late)} h" if late > 0 else ""


def due_in(day: str, today: str) -> str:
    """When a day comes: `today`, `in 9 d`, `4 d past`."""
    days = date.fromisoformat(day).toordinal() - date.fromisoformat(today).toordinal()
    if days == 0:
        return "today"
    return f"in {days} d" if days > 0 else f"{-days} d past"
