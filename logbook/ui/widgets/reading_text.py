"""What a field says beside itself, as a pure function of what was typed, what was expected and what it means."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import Final, NamedTuple

NOT_READ_SIGN = "-"


class Source(StrEnum):
    """Where the content of a field comes from."""

    EMPTY = "empty"
    READ = "read"
    CONFIRMED = "confirmed"
    RECORDER = "recorder"
    TRACK = "track"
    NOT_READ = "not-read"


_SAID: Final = {Source.CONFIRMED: "confirmed", Source.RECORDER: "recorder", Source.TRACK: "track"}
"""What stands behind a value that nobody typed."""
NOT_TYPED: Final = frozenset(_SAID)
"""Sources that hold as long as the text stays as it was taken."""


class Understood(NamedTuple):
    """What the units layer made of a typed text."""

    echo: str = ""
    """The value with its unit, as understood: '7.4 kWh'."""
    doubt: str = ""
    """Why it is improbable; it may still be true."""
    problem: str = ""
    """Why it cannot be a value of this field, and what to do."""


Parse = Callable[[str], Understood]


class Note(NamedTuple):
    """The words beside a field, and their tone."""

    words: str
    tone: str = ""


def note_for(source: Source, understood: Understood, unit: str, expected: str, *, doubt_kept: bool) -> Note:
    """What stands beside the field.

    Args:
        source: where the content comes from.
        understood: what it means.
        unit: shown in grey while the field is empty.
        expected: the value that is expected, without unit; empty if there is none.
        doubt_kept: whether an improbable value was confirmed.
    """
    if understood.problem:
        return Note(f"! {understood.problem}", "error")
    if source is Source.NOT_READ:
        return Note("not read", "grey")
    if source is Source.EMPTY:
        words = [unit] if unit else []
        if expected:
            words.append(f"= {expected} ?")
        return Note("  ".join(words), "grey")
    if understood.doubt and not doubt_kept:
        return Note(f"? {understood.echo}: {understood.doubt} Enter or ! keeps it.", "warning")
    if understood.doubt:
        return Note(f"! {understood.echo}, kept", "warning")
    return Note(f"{understood.echo} {_SAID.get(source, '')}".strip())
