"""The flights that have a flag: any without an answer, or one of a rule, answered or not.

Both tables hold the day and off blocks of their flight, so that the first page is found by an index without the other flights;
flights that were struck out have no flags.
"""

from __future__ import annotations

from typing import Any, Final

ANY: Final = "any"
"""In the place of a rule: any flag without an answer."""

_WORST: Final = ("serious", "check", "note")


def flagged(flag: str) -> tuple[str, list[Any]]:
    """The condition on a flight `f` that it has a flag, and its parameters."""
    if flag == ANY:
        return "f.n IN (SELECT flight FROM flight_flag WHERE answered = 0)", []
    return "f.n IN (SELECT flight FROM flight_flag WHERE rule = ?)", [flag]


def first_flagged(
    flag: str, way: str, limit: int, since: str | None, until: str | None
) -> tuple[str, list[Any]]:
    """The same for the first flights by date: only so many are looked at.

    Args:
        flag: `any`, or a rule.
        way: `DESC` for the newest, `ASC` for the oldest.
        limit: how many are wanted.
        since: first local date that counts.
        until: last local date that counts.
    """
    days, values = "", []
    for sign, day in ((">=", since), ("<=", until)):
        if day is not None:
            days += f" AND date {sign} ?"
            values.append(day)
    order = f"ORDER BY date {way}, off_blocks {way}, flight {way} LIMIT {int(limit)}"
    if flag != ANY:  # a flight may have the flag for each of its packs
        grouped = f"GROUP BY date, off_blocks, flight {order}"
        return f"f.n IN (SELECT flight FROM flight_flag WHERE rule = ?{days} {grouped})", [flag, *values]
    found = [f"SELECT flight FROM flight_index WHERE worst = '{worst}'{days} {order}" for worst in _WORST]
    union = " UNION ALL ".join(f"SELECT flight FROM ({one})" for one in found)
    return f"f.n IN ({union})", values * len(found)
