"""A charge that somebody else changed while it was on the form: what they changed, and the form upon the session as it is now."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from logbook.services.charge_entry import values_of
from logbook.services.entry_upon import upon
from logbook.services.unfinished import Entry

Row = dict[str, Any]


def meanwhile(entry: Entry, shown: Mapping[str, Any]) -> tuple[Entry, list[str]]:
    """What was typed, upon the session as it is now.

    A field nobody typed into takes what somebody else wrote; a field both changed keeps what was typed here, and says so.

    Args:
        entry: as it was typed, read under `entry.seen`.
        shown: the session as `services.questions.show` gives it now.

    Returns: The entry, to be saved once more; and a sentence for each field somebody else changed.
    """
    was = values_of({"packs": _as_read(shown, entry.seen or 0)}, entry.zone, entry.measures)
    now = values_of(shown, entry.zone, entry.measures)
    entry, said = upon(entry, was, now, shown)
    if all(row["struck"] for row in shown["packs"]):
        said.insert(0, "It was struck out.")
    return entry, said


def _as_read(shown: Mapping[str, Any], seen: int) -> list[Row]:
    """The rows of the packs as they were under an earlier token: of each, the state before its first change since."""
    first: dict[str, Row] = {}
    for one in shown["versions"]:
        if one["seq"] > seen and one["was"] is not None:
            first.setdefault(one["was"]["serial_no"], one["was"])
    return [first.get(row["serial_no"], row) for row in shown["packs"]]
