"""The line of charge of one pack, reading by reading, with the places where it breaks and why that is likely."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from logbook.energy.ledger import find_gaps
from logbook.energy.ledger_events import NOT_READ, Event, Gap
from logbook.services.pack_record import Fleet, PackRecord, read_fleet
from logbook.services.pack_status import moment
from logbook.store.database import Book
from logbook.store.pack_sweep import PackSweep
from logbook.units import instant_of

Row = dict[str, Any]
COLUMNS: Final = (
    "at",
    "what",
    "record_id",
    "soc_pct",
    "change_pct",
    "source",
    "gap_pct",
    "gap_allowed_pct",
    "gap_cause",
    "gap_words",
)
"""The columns of the ledger; a gap stands in the row of the reading after it."""


def ledger_of(book: Book, serial_no: str, as_of: str | None = None) -> list[Row]:
    """Every reading of one pack in order of time, with the change since the reading before, and the gaps.

    Raises:
        DataRefused: the book knows no such pack.
        UsageError: `as_of` is no date.
    """
    _, until = moment(book, as_of, [serial_no])
    # Readings written in each other's place are found by comparing packs that flew together.
    fleet = read_fleet(book, PackSweep(book, [serial_no], until).companions(), until)
    return rows_of(fleet.packs[serial_no].events, gaps_of(fleet, serial_no))


def gaps_of(fleet: Fleet, serial_no: str) -> list[Gap]:
    """Where the line of one pack breaks, given the packs it flew with."""
    lines = {serial: record.events for serial, record in fleet.packs.items()}
    return [gap for gap in find_gaps(lines) if gap.serial_no == serial_no]


def rows_of(events: Sequence[Event], gaps: Sequence[Gap]) -> list[Row]:
    """The ledger as rows of `COLUMNS`."""
    broken = {(gap.after.at, gap.after.what, gap.after.record_id): gap for gap in gaps}
    found: list[Row] = []
    last: float | None = None
    for event in events:
        gap = broken.get((event.at, event.what, event.record_id))
        known = event.soc_pct is not None and event.source != NOT_READ
        change = event.soc_pct - last if known and last is not None and event.soc_pct is not None else None
        found.append(
            {
                "at": instant_of(event.at),
                "what": event.what,
                "record_id": event.record_id,
                "soc_pct": event.soc_pct,
                "change_pct": None if change is None else round(change, 2),
                "source": event.source if known else NOT_READ,
                "gap_pct": None if gap is None else round(gap.amount_pct, 2),
                "gap_allowed_pct": None if gap is None else round(gap.band_pct, 2),
                "gap_cause": "" if gap is None else gap.cause,
                "gap_words": "" if gap is None else gap.words,
            }
        )
        last = event.soc_pct if known else last
    return found


def gap_row(gap: Gap) -> Row:
    """One gap as a row: what was read before and after, how far it breaks, and the likely cause."""
    return {
        "at": instant_of(gap.after.at),
        "before_pct": gap.before.soc_pct,
        "before_what": gap.before.what,
        "before_record": gap.before.record_id,
        "after_pct": gap.after.soc_pct,
        "after_what": gap.after.what,
        "after_record": gap.after.record_id,
        "gap_pct": round(gap.amount_pct, 2),
        "allowed_pct": round(gap.band_pct, 2),
        "cause": gap.cause,
        "words": gap.words,
    }


def unread(record: PackRecord) -> int:
    """How many readings of a pack nobody made."""
    return sum(event.soc_pct is None or event.source == NOT_READ for event in record.events)
