"""Why a pack may not fly: its state, or that it got too hot and nobody has looked at it since. Said the same everywhere."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from logbook.domain.pack_states import STATES, known_state

if TYPE_CHECKING:
    from logbook.store.database import Book

GROUNDING: Final = ("quarantined", "away", "transport", "scrapped")
"""States in which a pack may not fly."""


def unknown_state(state: str | None) -> str:
    """What is to be said of a state that the program does not know, a sentence; empty for those it knows, and for none."""
    if state is None or known_state(state) in STATES:
        return ""
    return f"The state '{state}' is none of {', '.join(STATES)}: it grounds nothing."


def in_state(state: str) -> str:
    """A state as it stands after "it is"."""
    return "in transport" if state == "transport" else state


def waits_after_heat(hot: Mapping[str, str], serial_no: str) -> str:
    """Why such a pack may not fly; empty where it did not get too hot, or somebody has looked at it since.

    Args:
        hot: packs nobody has said anything of, by serial number, with the date (`Attention.overheated`).
        serial_no: the pack.
    """
    return f"too hot on {hot[serial_no]}: inspection before next use" if serial_no in hot else ""


def unknown_states(book: Book) -> list[str]:
    """What is to be said of the packs of a book whose state the program does not know, a sentence each."""
    from logbook.store.records import Records

    rows = Records(book, "pack").select("struck = 0 AND state IS NOT NULL", order="serial_no")
    told = [(row["serial_no"], unknown_state(row["state"])) for _, row in rows]
    return [f"Pack {serial}: {words}" for serial, words in told if words]
