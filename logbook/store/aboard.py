"""The flights somebody had a part in: at the controls or beside, handling them, looking out as safety pilot, or in the crew.

Each part has an index of its own, in order of date, so that the first page of a person's flights is found without the others.
"""

from __future__ import annotations

from typing import Any, Final

PARTS: Final = ("pilot", "second_person", "handled_by", "safety_pilot")
"""The columns of a flight that name a person; the crew has a table."""


def aboard(person: int) -> tuple[str, list[Any]]:
    """The condition on a flight `f` that a person had a part in it, and its parameters."""
    flights = " UNION ALL ".join(f"SELECT n FROM flight WHERE {part} = ?" for part in PARTS)
    return f"f.n IN ({flights} UNION ALL SELECT flight FROM crew WHERE person = ?)", [person] * 5


def first_aboard(
    person: int, way: str, limit: int, since: str | None, until: str | None, *, struck: bool
) -> tuple[str, list[Any]]:
    """The same for the first flights by date: of each part only so many are looked at.

    Args:
        person: the number of the person.
        way: `DESC` for the newest, `ASC` for the oldest.
        limit: how many are wanted.
        since: first local date that counts.
        until: last local date that counts.
        struck: flights that were struck out, instead of those that count.
    """
    days, values = "", []
    for sign, day in ((">=", since), ("<=", until)):
        if day is not None:
            days += f" AND x.date {sign} ?"
            values.append(day)
    order = f"ORDER BY x.date {way}, x.off_blocks {way}, x.n {way} LIMIT {int(limit)}"
    counting = f"x.struck = {int(struck)}{days} {order}"
    found = [f"SELECT x.n FROM flight x WHERE x.{part} = ? AND {counting}" for part in PARTS]
    found.append(
        f"SELECT x.n FROM crew c CROSS JOIN flight x ON x.n = c.flight WHERE c.person = ? AND {counting}"
    )
    union = " UNION ALL ".join(f"SELECT n FROM ({one})" for one in found)
    return f"f.n IN ({union})", [person, *values] * len(found)
