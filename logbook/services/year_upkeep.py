"""What packs went through in a year, and the defects found and closed in it."""

from __future__ import annotations

from typing import Any

from logbook.services.defects_then import ended_at
from logbook.services.estimates import capacity_history, estimators_of
from logbook.services.pack_status import pack_rows
from logbook.store.database import Book
from logbook.store.records import Records

Row = dict[str, Any]


def defects_in(book: Book, since: str, until: str) -> tuple[list[str], list[str]]:
    """The aeroplanes of the defects found, and of those closed, between two instants (UTC).

    A defect of a pack belongs to the aeroplane it was found on, where one is named. When it ended: `defects_then`.
    """
    completed = {
        row["entry_id"]: row["completed"] for _, row in Records(book, "maintenance").select("struck = 0")
    }
    opened, closed = [], []
    for _, row in Records(book, "defect").select("struck = 0"):
        of = row["aircraft"] or "not fitted"
        if since <= row["found"] <= until:
            opened.append(of)
        done = ended_at(book, row, completed)
        if done and since <= done <= until:
            closed.append(of)
    return opened, closed


def pack_year(book: Book, before: str, last: str) -> list[Row]:
    """A row for each pack: what it went through from one day to another, as the difference of its record as of the two.

    Args:
        book: the open book.
        before: the day before the first one that counts.
        last: the last day.
    """
    began = {row["serial_no"]: row for row in pack_rows(book, before)[1]}
    ended = pack_rows(book, last)[1]
    capacities = _capacities(book, [row["serial_no"] for row in ended], (before, last))
    return [_pack(began.get(row["serial_no"], {}), row, capacities[row["serial_no"]]) for row in ended]


def _pack(began: Row, ended: Row, capacities: tuple[Row | None, Row | None]) -> Row:
    def gained(name: str, digits: int) -> float | None:
        now = ended[name]
        return None if now is None else round(now - (began.get(name) or 0), digits)

    return {
        "serial_no": ended["serial_no"],
        "aircraft": ended["aircraft"],
        "hours": gained("time_in_service_hours", 4),
        "cycles": gained("equivalent_cycles_discharge", 2),
        "exceedances": gained("exceedances", 0),
        "charge_exceedances": gained("charge_exceedances", 0),
        "capacity_begin": capacities[0],
        "capacity_end": capacities[1],
    }


def _capacities(
    book: Book, serials: list[str], days: tuple[str, str]
) -> dict[str, tuple[Row | None, Row | None]]:
    """Usable capacity as flown of each pack at the end of two days; the record of an aeroplane is gone over once."""
    found = {}
    for estimator, theirs in estimators_of(book, serials):
        for serial in theirs:
            history = capacity_history(estimator, serial)
            found[serial] = _capacity(history, days[0]), _capacity(history, days[1])
    return found


def _capacity(history: list[Row], day: str) -> Row | None:
    """Usable capacity as flown at the end of a day: low, mid, high [kWh]; None before its first flight."""
    known = [point for point in history if point["at"][:10] <= day]
    return known[-1]["usable_kwh"] if known else None
