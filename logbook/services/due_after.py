"""Hours and cycles until the next time, typed as so many after this work: `+100`. The book turns them into a total."""

from __future__ import annotations

from typing import Any, Final

from logbook.errors import DataRefused
from logbook.services import typed
from logbook.services.typed import Meaning, Reader
from logbook.store.database import Book

Row = dict[str, Any]
AFTER: Final = "+"


def total_or_after(unit: str) -> Reader:
    """Reads a total (`421.8`), or so much after the work (`+100`), which keeps its sign until the work is known."""
    total = typed.number(unit, 0, 1e6)

    def read(text: str) -> Meaning:
        bare = text.strip()
        if not bare.startswith(AFTER):
            return total(text)
        meaning = total(bare.removeprefix(AFTER))
        if meaning.problem or meaning.value is None:
            return meaning
        return Meaning(f"{AFTER}{meaning.value}", f"{meaning.echo} after this work")

    return read


def as_total(book: Book, entry: Row) -> Row:
    """An entry with what was typed as so much after the work turned into totals.

    Args:
        book: the open book.
        entry: with `completed` (UTC) and the aeroplane or pack.

    Raises:
        DataRefused: there is nothing to count from.
    """
    found = dict(entry)
    for name, by in (("next_due_hours", "hours"), ("next_due_cycles", "cycles")):
        value = found.get(name)
        if isinstance(value, str):
            found[name] = round(_done(book, entry, by, name) + float(value.removeprefix(AFTER)), 4)
    return found


def _done(book: Book, entry: Row, by: str, field: str) -> float:
    """Hours or cycles of the aeroplane or pack when the work was completed."""
    from logbook.services.hours_read import hours_now, readings_of_hours
    from logbook.services.maintenance import aircraft_totals
    from logbook.services.pack_status import pack_rows

    at, aircraft, serial = entry["completed"], entry.get("aircraft"), entry.get("serial_no")
    if aircraft and by == "hours":
        if entry.get("aircraft_hours") is not None:
            return float(entry["aircraft_hours"])
        totals = aircraft_totals(book, at)
        if aircraft in totals:
            return hours_now(totals[aircraft], readings_of_hours(book, at).get(aircraft, ())).hours
    rows = pack_rows(book, at, [serial])[1] if serial else []
    for row in rows:
        done = row["time_in_service_hours"] if by == "hours" else row["cycles_accumulated"]
        return float(row["equivalent_cycles_discharge"] if done is None else done)
    raise DataRefused(
        f"The book counts no {by} of it.", next_step="Give the total instead of +.", field=field
    )
