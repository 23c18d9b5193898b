"""What state a pack was in when: every state it was ever said to be in, from its record and its versions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from logbook.store.database import Book


class PackState(NamedTuple):
    """A state, since when (UTC, stored form; empty: always), and why."""

    state: str
    since: str
    why: str | None = None


def pack_states(book: Book, packs: Iterable[Mapping[str, Any]]) -> dict[str, list[PackState]]:
    """The states of packs in the order in which they hold, by serial number; one question for all of them.

    Args:
        book: the open book.
        packs: their records as they are now.
    """
    now = {row["record_id"]: row for row in packs}
    said: dict[str, list[PackState]] = {record_id: [] for record_id in now}
    rows = book.connection.execute(
        f"""SELECT record_id, was ->> '$.state', was ->> '$.state_since', was ->> '$.state_reason' FROM version
        WHERE record_id IN ({",".join("?" * len(now))}) AND record = 'pack' AND was IS NOT NULL ORDER BY seq""",
        list(now),
    )
    for record_id, state, since, why in rows:
        said[record_id].append(PackState(state or "", since or "", why))
    return {
        row["serial_no"]: timeline([*said[record_id], present_state(row)]) for record_id, row in now.items()
    }


def present_state(pack: Mapping[str, Any]) -> PackState:
    """The state that the record of a pack has now."""
    return PackState(pack["state"] or "", pack["state_since"] or "", pack["state_reason"])


def timeline(said: Iterable[PackState]) -> list[PackState]:
    """The states that hold one after the other, of what was said in the order in which it was said.

    A state holds until the next begins. What was said later is believed: it takes the place of whatever was said to begin
    then or after; the same state said again corrects when it began.
    """
    found: list[PackState] = []
    for one in said:
        if found and found[-1].state == one.state:
            found.pop()
        while found and found[-1].since >= one.since:
            found.pop()
        found.append(one)
    return found


def state_at(states: Sequence[PackState], at: str) -> PackState:
    """What held at a moment (UTC, stored form); nothing was said before the first."""
    return next((one for one in reversed(states) if one.since <= at), PackState("", ""))
