"""Defects as they stood at a moment: what was open on that day is open on a paper of that day, though closed since.

A defect ends when the maintenance entry that closed it was completed. When it was put off is known only from when that was
written down; one that was closed without an entry ended when that was written down, too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from logbook.store.database import Book
from logbook.store.records import Records, versions

Row = dict[str, Any]
CLOSED: Final = "closed"
_OF_A_STATE: Final = ("state", "deferred_until", "deferred_basis", "deferred_by")


def defects_then(book: Book, things: Iterable[str], until: str) -> list[Row]:
    """Defects of some aeroplanes and packs that had been found by a moment, each with the state it had then.

    One that was closed later says so: `open then, closed 2031-06-01`; `closed_by_entry` is then empty.

    Args:
        book: the open book.
        things: registrations and serial numbers.
        until: the moment (UTC).
    """
    wanted = set(things)
    completed = {
        row["entry_id"]: row["completed"] for _, row in Records(book, "maintenance").select("struck = 0")
    }
    rows = Records(book, "defect").select("struck = 0 AND found <= ?", (until,), "found, n")
    return [
        _then(book, row, completed, until) for _, row in rows if wanted & {row["serial_no"], row["aircraft"]}
    ]


def ended_at(book: Book, row: Row, completed: Mapping[str, str]) -> str:
    """When a closed defect ended (UTC); empty where it is not closed, or was entered so.

    Args:
        book: the open book.
        row: the defect as it is now.
        completed: when each maintenance entry was completed, by its id.
    """
    if row["state"] != CLOSED:
        return ""
    return _ended(row, [one for one in versions(book, row["defect_id"]) if one["was"] is not None], completed)


def _ended(row: Row, states: list[Any], completed: Mapping[str, str]) -> str:
    return completed.get(row["closed_by_entry"] or "") or _written_closed(states)


def _then(book: Book, row: Row, completed: Mapping[str, str], until: str) -> Row:
    states = [one for one in versions(book, row["defect_id"]) if one["was"] is not None]
    if row["state"] == CLOSED:
        ended = _ended(row, states, completed)
        if not ended or ended <= until:
            return row
        before = _written_by(states, until)
        if before["state"] == CLOSED:  # written down ahead of its day
            before = next(one["was"] for one in reversed(states) if one["was"]["state"] != CLOSED)
        then = {name: before[name] for name in _OF_A_STATE}
        return row | then | {"state": f"{before['state']} then, closed {ended[:10]}", "closed_by_entry": None}
    before = _written_by(states, until, row)
    # One that was opened again since had been closed then, and its entry with it.
    return row | {name: before[name] for name in (*_OF_A_STATE, "closed_by_entry")}


def _written_by(states: list[Any], until: str, now: Row | None = None) -> Row:
    """The state that was written down at a moment: what the first change after it replaced; without one, that of now."""
    later = (one["was"] for one in states if _minute(one["at"]) > until)
    last: Row = now if now is not None else {"state": CLOSED}
    return next(later, last)


def _written_closed(states: list[Any]) -> str:
    """When it was written down that it is closed; empty where it was entered so."""
    opened = [one for one in states if one["was"]["state"] != CLOSED]
    return _minute(opened[-1]["at"]) if opened else ""


def _minute(at: str) -> str:
    """An instant in stored form; histories know the second."""
    return f"{at[:16]}Z"
