"""A pack's state in a word the program does not know enters as it is written, and is said at once: it grounds nothing."""

from __future__ import annotations

from logbook.domain.pack_states import STATES, known_state
from logbook.store.database import Book
from logbook.store.records import Records


def unknown_state(state: str | None) -> str:
    """What is to be said of a state that the program does not know, a sentence; empty for those it knows, and for none."""
    if state is None or known_state(state) in STATES:
        return ""
    return f"The state '{state}' is none of {', '.join(STATES)}: it grounds nothing."


def unknown_states(book: Book) -> list[str]:
    """What is to be said of the packs of a book whose state the program does not know, a sentence each."""
    rows = Records(book, "pack").select("struck = 0 AND state IS NOT NULL", order="serial_no")
    told = [(row["serial_no"], unknown_state(row["state"])) for _, row in rows]
    return [f"Pack {serial}: {words}" for serial, words in told if words]
