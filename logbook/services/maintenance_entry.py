"""Maintenance entries: recorded whole, with the defects they close and the quarantines they end."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from logbook.domain.record import Record, read_record
from logbook.domain.upkeep import Maintenance
from logbook.errors import DataRefused
from logbook.services.add import now, put
from logbook.services.kinds import KINDS
from logbook.services.pack_standing import (
    Clock,
    expect_after,
    expect_past,
    pack_named,
    released_state,
    state_inside,
)
from logbook.services.refresh import refresh
from logbook.services.typed_time import never
from logbook.store.database import Book
from logbook.store.records import Records, Row, versions


def record_entry(
    book: Book,
    data: Mapping[str, Any],
    *,
    by: str | None = None,
    release: bool = False,
    clock: Clock = now,
) -> tuple[str, list[str]]:
    """Records a maintenance entry, closes the defect it names and, where wanted, ends the quarantine of its pack.

    Args:
        book: the open book.
        data: the entry, with the fields of a maintenance record.
        by: who enters it.
        release: the pack of the entry may fly again: its quarantine ends when the work was completed.
        clock: what time it is.

    Returns: The id of the entry, and what was done in words.

    Raises:
        DataRefused: the entry cannot be, the defect is unknown or of another pack, there is no pack to release, or the
            work was completed before the quarantine began, or is still to come.
    """
    record = read_record(Maintenance, dict(data))
    stamp = {"entered_by": by, "entered_at": clock()}
    with book.writing(by=by, why=record.text[:200]):
        entry_id, _ = put(book, KINDS["maintenance"], record, stamp)
        done = close_defect(book, entry_id, record, clock)
        if release:
            done += release_pack(book, entry_id, record, clock)
        refresh(book)
    return entry_id, done


def close_defect(book: Book, entry_id: str, entry: Record, clock: Clock = never) -> list[str]:
    """Closes the defect an entry names, inside an open transaction. Returns what was done.

    Args:
        book: the open book.
        entry_id: the id of the entry.
        entry: the maintenance entry.
        clock: what time it is.

    Raises:
        DataRefused: there is no such defect, it is of another pack or aeroplane, was found only later, or the work is still
            to come.
    """
    if not isinstance(entry, Maintenance) or entry.closes_defect is None:
        return []
    records = Records(book, "defect")
    found = records.find(entry.closes_defect)
    if found is None:
        raise DataRefused(
            f"There is no defect '{entry.closes_defect}' in the book.",
            next_step="See 'logbook list defects'.",
            field="closes_defect",
        )
    n, defect = found
    for name in ("serial_no", "aircraft"):
        ours, theirs = getattr(entry, name), defect[name]
        if ours is not None and theirs is not None and ours != theirs:
            raise DataRefused(
                f"Defect {entry.closes_defect} is of {theirs}, not of {ours}.",
                next_step="Correct the entry.",
                field=name,
            )
    if defect["state"] == "closed" and defect["closed_by_entry"] == entry_id:
        return []
    if entry.completed < defect["found"]:
        raise DataRefused(
            f"Defect {entry.closes_defect} was found at {defect['found']}, after the work was completed.",
            next_step="Correct the time of completion.",
            field="completed",
        )
    expect_past(entry.completed, clock, "work that is not completed closes no defect", "completed")
    records.update(n, {"state": "closed", "closed_by_entry": entry_id})
    return [f"defect {entry.closes_defect} closed by entry {entry_id}"]


def release_pack(book: Book, entry_id: str, entry: Maintenance, clock: Clock) -> list[str]:
    """Ends the quarantine of the pack of an entry, inside an open transaction. Returns what was done.

    Raises:
        DataRefused: the entry is of no pack, or its work was completed before the quarantine began, or is still to come.
    """
    if entry.serial_no is None:
        raise DataRefused("There is no pack in this entry.", next_step="Name the pack by its serial number.")
    expect_past(entry.completed, clock, "work that is not completed ends no quarantine", "completed")
    pack = pack_named(book, entry.serial_no)
    if pack["state"] != "quarantined":
        return [f"{entry.serial_no} was not quarantined: its state stays '{pack['state'] or 'not set'}'"]
    expect_after(pack, entry.completed, "completed")
    words = f"released by entry {entry_id}: {entry.text}"
    return state_inside(book, entry.serial_no, released_state(book, entry.serial_no), entry.completed, words)


def follow_entry(book: Book, entry_id: str, entry: Record) -> None:
    """Opens again what a corrected or struck entry no longer closes, and closes what it does; inside a transaction."""
    if not isinstance(entry, Maintenance):
        return
    records = Records(book, "defect")
    for n, defect in list(records.select("state = 'closed' AND closed_by_entry = ?", (entry_id,))):
        if entry.struck or entry.closes_defect != defect["defect_id"]:
            records.update(n, {"state": _state_before(book, defect), "closed_by_entry": None})
    if not entry.struck:
        with suppress(DataRefused):  # as when it was added: the entry stands, and is flagged
            close_defect(book, entry_id, entry)


def _state_before(book: Book, defect: Row) -> str:
    """What a closed defect was before: open, or deferred until its day."""
    for one in reversed(versions(book, defect["defect_id"])):
        if one["was"] is not None and one["was"]["state"] != "closed":
            return str(one["was"]["state"])
    return "open"
