"""An open flight that somebody else changed while it was on the form to be closed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from logbook.services.entry_upon import upon
from logbook.services.flight_entry import values_of
from logbook.services.unfinished import Entry

Row = dict[str, Any]


def flight_meanwhile(entry: Entry, shown: Mapping[str, Any]) -> tuple[Entry, list[str]]:
    """What was typed, upon the flight as it is now; as `entry_upon.upon` says.

    Args:
        entry: as it was typed, read under `entry.seen`.
        shown: the flight as `services.questions.show_flight` gives it now.
    """
    before = _as_read(shown, entry.seen or 0)
    now = values_of(dict(shown), entry.zone, entry.measures)
    was = values_of(before, entry.zone, entry.measures)
    if any(one["was"] is None and one["seq"] > (entry.seen or 0) for one in shown["versions"]):
        # A reading was added; which one is not in its version. One that nothing was typed of here is taken for it.
        known = {name.rpartition(".")[0] for name in entry.values}
        was = {name: value for name, value in was.items() if name.rpartition(".")[0] in known}
    entry, said = upon(entry, was, now, shown)
    if before["state"] == "open" and shown["state"] == "closed":
        said.insert(0, "The flight was closed.")
    if shown["struck"]:
        said.insert(0, "It was struck out.")
    return entry, said


def _as_read(shown: Mapping[str, Any], seen: int) -> Row:
    """The flight and its readings under an earlier token: of each, the state before its first change since."""
    flight: Row = dict(shown)
    readings = {reading["serial_no"]: reading for reading in shown["readings"]}
    met = set()
    for one in shown["versions"]:
        if one["seq"] <= seen or one["was"] is None:
            continue
        which = (one["record"], one["was"].get("serial_no"))
        if which in met or one["record"] not in ("flight", "reading"):
            continue
        met.add(which)
        if one["record"] == "flight":
            flight |= one["was"]
        else:
            readings[which[1]] = readings.get(which[1], {}) | one["was"]
    return flight | {"readings": list(readings.values())}
