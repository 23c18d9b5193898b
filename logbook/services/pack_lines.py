"""The list of packs on the screen: what the table of the fleet says, with the newest reading of each pack beside it."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from logbook.energy.life import NOT_WITHIN
from logbook.measures import USUAL, Measures
from logbook.services.ages import ago
from logbook.services.liked_units import measures_of
from logbook.services.pack_table import PackTable
from logbook.store.book_facts import BookFacts, LastReading
from logbook.store.database import Book

Row = dict[str, Any]
_LIMITS: Final = (("hours", "hours"), ("cycles", "cycles"), ("date", "date"), ("soh", "SOH"))
_KEPT: Final = "pack table"
_FIRST: Final = "First to come: "
_REACHED: Final = "Limit reached: "


class PackLine(NamedTuple):
    """One pack in the list.

    Attributes:
        row: as `pack_rows` gives it.
        reading: charge, health and temperature as read last.
        age: how old the charge is, in words.
        measures: the units figures are shown in.
    """

    row: Row
    reading: LastReading
    age: str
    measures: Measures = USUAL

    @property
    def serial_no(self) -> str:
        """Its serial number."""
        return str(self.row["serial_no"])

    @property
    def state(self) -> str:
        """Its state as a word; in capitals where it may not fly."""
        state = str(self.row["state"])
        if not self.row["grounded"]:
            return state
        return "INSPECT" if "inspection" in self.row["grounded"] else state.upper()

    @property
    def place(self) -> str:
        """Aeroplane and position; empty where it is in none."""
        return f"{self.row['aircraft']} {self.row['position']}" if self.row["aircraft"] else ""

    @property
    def charge(self) -> str:
        """Charge as read last and how old that is."""
        return "never read" if self.reading.soc_pct is None else f"{self.reading.soc_pct:g} % {self.age}"

    @property
    def usable(self) -> str:
        """Usable capacity by the SOH scale [kWh], mid (low to high)."""
        low, mid, high = (self.row[f"usable_kwh_{end}"] for end in ("low", "mid", "high"))
        return "" if mid is None else f"{mid:.1f} ({low:.1f} to {high:.1f})"

    @property
    def limit_reached(self) -> bool:
        """Whether nothing is left of one of its limits."""
        return str(self.row["first_limit"]).startswith(_REACHED)

    @property
    def first_limit_short(self) -> str:
        """The limit that comes first and the years between which it is expected: `cycles 2036-2052`; `REACHED: hours`."""
        words = str(self.row["first_limit"])
        if self.limit_reached:
            return f"REACHED: {words.removeprefix(_REACHED).partition('.')[0]}"
        if not words.startswith(_FIRST):
            return "none stated" if words.startswith("No limit is set") else "no date yet"
        kind = words.removeprefix(_FIRST).partition(", ")[0]
        name = {shown: key for key, shown in _LIMITS}[kind]
        low, high = ((self.row[f"{name}_expected_{end}"] or "")[:4] for end in ("low", "high"))
        if not low:
            return f"{kind} {NOT_WITHIN}"
        if low == high:
            return f"{kind} {self.row[f'{name}_expected_mid'][:7]}"
        return f"{kind} {low}-{high}" if high else f"{kind} {low} or on"

    @property
    def first_limit(self) -> str:
        """The limit that comes first: years for the list, the whole sentence stands beside it."""
        words = str(self.row["first_limit"])
        if not words.startswith(_FIRST):
            return words
        kind, _, rest = words.removeprefix(_FIRST).partition(", ")
        name = {shown: key for key, shown in _LIMITS}[kind]
        mid, low, high = ((self.row[f"{name}_expected_{end}"] or "")[:4] for end in ("mid", "low", "high"))
        if not mid:
            return f"{kind} {NOT_WITHIN}"
        if low == high:
            return f"{kind} {rest.partition(',')[0].partition(';')[0].rstrip('.')}"
        return f"{kind} about {mid} ({low}-{high})" if high else f"{kind} about {mid} ({low} or later)"


def pack_table(learned: dict[str, Any]) -> PackTable:
    """The rows of the fleet that screens share, from what they have learned."""
    table: PackTable = learned.setdefault(_KEPT, PackTable())
    return table


def pack_lines(book: Book, now: str, learned: dict[str, Any]) -> list[PackLine]:
    """Every pack by serial number.

    Args:
        book: the open book.
        now: the present moment (UTC, stored form).
        learned: keeps the table for as long as the book and the day stay the same.
    """
    table = pack_table(learned)
    facts = BookFacts(book)
    found, measures = [], measures_of(book)
    rows = table(book, now[:10])[1]
    readings = facts.last_readings([row["serial_no"] for row in rows])
    for row in rows:
        reading = readings[row["serial_no"]]
        found.append(PackLine(row, reading, ago(reading.soc_at, now) if reading.soc_at else "", measures))
    return found
