"""What a person may do on a day by the items they hold: expired ones, and a solo authorisation with its limits.

Said before any figure, in words, and never more than a warning: the instructor who wrote the authorisation decides.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from logbook.store.database import Book
from logbook.store.records import Records

Row = dict[str, Any]

SOLO: Final = "solo authorisation"


class Outing(NamedTuple):
    """What is to be flown, as far as it is known; None is unknown and is not held against anybody.

    Attributes:
        day: the local day.
        alone: nobody else aboard.
        aircraft: registration; `place` where it begins.
        wind_kt: wind speed [kt].
        departure_pct: charge before start of the weaker pack [%]; `landing_pct` after landing, pessimistic.
        minutes: how long it takes, block time [min].
    """

    day: str
    alone: bool = False
    aircraft: str | None = None
    place: str | None = None
    wind_kt: float | None = None
    departure_pct: float | None = None
    landing_pct: float | None = None
    minutes: float | None = None


def person_concerns(book: Book, person: str, outing: Outing) -> list[str]:
    """What of a person's items speaks against an outing, one sentence each; empty where nothing does.

    Raises:
        DataRefused: the book knows no such person.
    """
    number = book.keys.number("person", person, "person")
    items = [row for _, row in Records(book, "person_item").select("struck = 0 AND person = ?", (number,))]
    found = [
        f"{person}: {item['item']} expired on {item['valid_until']}."
        for item in items
        if item["item"] != SOLO and item["valid_until"] is not None and item["valid_until"] < outing.day
    ]
    solo = [item for item in items if item["item"] == SOLO]
    if outing.alone and solo:
        found += _solo(person, solo, outing)
    return found


def _solo(person: str, solo: list[Row], outing: Outing) -> list[str]:
    """Nothing where one authorisation covers the outing; else what speaks against the newest that is valid."""
    valid = [item for item in solo if _holds(item, outing.day)]
    if not valid:
        last = max((item["valid_until"] or "" for item in solo), default="")
        until = f"; the last ended on {last}" if last else ""
        return [f"{person} has no solo authorisation for {outing.day}{until}."]
    beyond = [_beyond(item, outing) for item in valid]
    if not all(beyond):
        return []
    fewest = min(beyond, key=len)
    return [f"{person}: solo authorisation exceeded: {words}." for words in fewest]


def _holds(item: Row, day: str) -> bool:
    return (item["valid_from"] or "") <= day <= (item["valid_until"] or "9")


def _beyond(item: Row, outing: Outing) -> list[str]:
    """Where an outing goes beyond one authorisation."""
    found = []
    for column, is_now in (("aircraft", outing.aircraft), ("place", outing.place)):
        if item[column] is not None and is_now is not None and item[column] != is_now:
            found.append(f"for {item[column]}, not {is_now}")
    for column, value, unit, words in (
        ("limit_wind_kt", outing.wind_kt, "kt", "wind"),
        ("limit_minutes", outing.minutes, "min", "time"),
    ):
        limit = item[column]
        if limit is not None and value is not None and value > limit:
            found.append(f"{words} of {value:.0f} {unit}, at most {limit:g} {unit}")
    for column, value, words in (
        ("limit_departure_soc_pct", outing.departure_pct, "departure charge"),
        ("limit_landing_soc_pct", outing.landing_pct, "landing charge, pessimistic,"),
    ):
        limit = item[column]
        if limit is not None and value is not None and value < limit:
            found.append(f"{words} of {value:.0f} %, at least {limit:g} %")
    return found
