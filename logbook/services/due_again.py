"""What an entry says about the next time, in words: when it is due again, and what nothing recalls any more."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from logbook.services.due import newest_entries
from logbook.store.database import Book

_NAMES = (("next_due_date", "on {}"), ("next_due_hours", "at {:g} h"), ("next_due_cycles", "at {:g} cycles"))


def due_again(entry: Mapping[str, Any]) -> Iterator[str]:
    """When the work of an entry is due again; nothing where it names no next time."""
    said = [words.format(entry[name]) for name, words in _NAMES if entry.get(name) is not None]
    if said:
        yield f"due again {', '.join(said)}"


def no_longer_due(book: Book, entry: Mapping[str, Any]) -> list[str]:
    """What falls due no more once an entry is recorded: the newest of one work on one thing decides.

    Args:
        book: the open book, without the entry.
        entry: the fields of the maintenance record.

    Returns: One sentence for each way (date, hours, cycles) in which it was due and the entry names no next time.
    """
    work = entry.get("work")
    if not work:
        return []
    found = []
    for row in newest_entries(book):
        same = row["work"] == work and all(
            row[name] == entry.get(name) for name in ("aircraft", "serial_no", "component_id")
        )
        if not same or row["completed"] > entry["completed"]:
            continue
        was = [
            words.format(row[name])
            for name, words in _NAMES
            if row[name] is not None and entry.get(name) is None
        ]
        if was:
            of = row["aircraft"] or row["serial_no"]
            found.append(
                f"{work} of {of} was due {' and '.join(was)}; that no longer stands, and this entry names no next time for it."
            )
    return found
