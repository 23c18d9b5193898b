"""Landings that two people share: those of the second person are typed, the others are the pilot's.

A flight's landings belong to whoever had the controls (`rules.crew`). Where both landed, a row for each says whose they
were: recency and totals of both rest on it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from logbook.services import typed
from logbook.services.typed import Meaning, Reader

SHARES: Final[Mapping[str, str]] = {
    "second_landings_day": "landings_day",
    "second_landings_night": "landings_night",
    "second_landings_night_full_stop": "landings_night_full_stop",
}
"""Field of the form to the column of the flight of which it is a part."""

_COUNT: Final = typed.count(99, 25)


def share_reader(total: int | None, pilot: str | None, second: str | None) -> Reader:
    """How many of the landings were the second person's; says how many are left for the pilot.

    Args:
        total: landings of that kind on the flight; None where nobody typed it yet.
        pilot: who flew as pilot; None where nobody is named yet.
        second: the second person, likewise.
    """

    def read(text: str) -> Meaning:
        meaning = _COUNT(text)
        if meaning.value is None:
            return meaning
        if not pilot or not second:
            return Meaning(problem="name the pilot and the second person first")
        if total is None:
            return Meaning(problem="type the landings of the flight first: the others are the pilot's")
        if meaning.value > total:
            return Meaning(problem=f"more than the {total} of the flight")
        return meaning._replace(echo=f"{second} {meaning.value}, {pilot} {total - meaning.value}")

    return read


def crew_of(read: Mapping[str, Any], pilot: str | None, second: str | None) -> list[dict[str, Any]]:
    """A row for each of the two people with all their landings; none where nothing was shared out.

    Once a flight has such rows they alone say whose its landings were (`rules.crew`), so every kind is in them.

    Args:
        read: fields without problems and what they mean.
        pilot: who flew as pilot.
        second: the second person.
    """
    if not pilot or not second or not any(name in read for name in SHARES):
        return []
    shared = {column: read.get(name, 0) for name, column in SHARES.items() if column in read}
    return [
        {"person": pilot} | {column: read[column] - part for column, part in shared.items()},
        {"person": second} | shared,
    ]
