"""Which record of the other book is which of this one: by id, else by what it says."""

from __future__ import annotations

from typing import Any, NamedTuple

from logbook.errors import DataRefused
from logbook.services.kinds import Kind
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.merging import charges_beside, flights_beside, last_number, numbers_by_id
from logbook.store.records import Records

Row = dict[str, Any]
_REFS = ("pilot", "second_person", "handled_by", "safety_pilot", "person")


class Match(NamedTuple):
    """A record of this book, as file columns, and why it is taken for the other's."""

    n: int
    ours: Row
    words: str


class Matcher:
    """Finds the counterpart of each record of another book."""

    def __init__(self, book: Book, other: Book) -> None:
        self._book = book
        self._other = other
        self._before = {name: last_number(book, name) for name in TABLES}
        self.people = people_by_licence(book, other)

    def renamed(self, columns: Row) -> Row:
        """The other's columns with people called as this book calls them."""
        if not self.people:
            return columns
        named: Row = dict(columns)
        for name in _REFS:
            if isinstance(named.get(name), str):
                named[name] = self.people.get(named[name], named[name])
        if "crew" in named:
            named["crew"] = [self.renamed(row) for row in named["crew"]]
        return named

    def match(self, kind: Kind, theirs: Row) -> Match | None:
        """The record of this book that is the same thing, or None where there is none."""
        found = self._flight(theirs) if kind.name == "flight" else self._record(kind, theirs)
        return None if found is None or found.n > self._before[kind.table] else found

    def _record(self, kind: Kind, theirs: Row) -> Match | None:
        table = TABLES[kind.table]
        records = Records(self._book, kind.table)
        record_id = str(theirs[table.file_id])
        if kind.name == "charge":
            for n, row in records.find_all(record_id):
                if row["serial_no"] == theirs["serial_no"]:
                    return Match(n, row, "the same id")
            for n, row in charges_beside(self._book, theirs["serial_no"], theirs["started"]):
                if not self._in_other("charge", str(row["charge_id"])) and not theirs["struck"]:
                    return Match(n, row, "the same pack and the same start")
            return None
        if table.key:
            for n, row in records.select(f'"{table.key}" = ?', (theirs[table.key],)):
                return Match(n, row, f"the same {table.key}")
        for n, row in records.select("id = ?", (record_id,)):
            return Match(n, row, "the same id")
        return None

    def _flight(self, theirs: Row) -> Match | None:
        flights = Flights(self._book)
        n = flights.number(theirs["flight_id"])
        if n is not None:
            return Match(n, flights.read([n])[0], "the same id")
        start, end = theirs["off_blocks"], theirs["on_blocks"] or theirs["off_blocks"]
        if start is None or theirs["struck"]:
            return None
        for n, flight_id in flights_beside(self._book, theirs["aircraft"], start, end):
            if not self._in_other("flight", flight_id):
                return Match(n, flights.read([n])[0], "the same aeroplane at the same time")
        return None

    def _in_other(self, table: str, record_id: str) -> bool:
        """Whether a record of this book is in the other one too, and so is no other name for a new one."""
        return bool(numbers_by_id(self._other, table, [record_id]))


def people_by_licence(book: Book, other: Book) -> dict[str, str]:
    """Names in the other book that are called otherwise here, told by the licence number.

    Raises:
        DataRefused: two people of one name hold different licences; their records would run together.
    """
    ours = {row["person"]: row for _, row in Records(book, "person").select()}
    by_licence = {row["licence_no"]: name for name, row in ours.items() if row["licence_no"]}
    found: dict[str, str] = {}
    for _, row in Records(other, "person").select():
        name, licence = row["person"], row["licence_no"]
        same = by_licence.get(licence) if licence else None
        if same is not None and same != name:
            found[name] = same
        elif same is None and licence and name in ours and ours[name]["licence_no"]:
            raise DataRefused(
                f"Both books know a '{name}', with licence numbers '{ours[name]['licence_no']}' and '{licence}'.",
                next_step="If they are one person, correct the licence number in one of the books; if not, correct one name.",
                field="licence_no",
            )
    return found
