"""What state a pack was in when: every state it was ever said to be in, from its record and its versions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from logbook.store.database import Book


class PackState(NamedTuple):
    """A state, since when (UTC, stored form; empty: always), and why."""

    state: str
    since: str
    why: str | None = None


def pack_states(book: Book, record_id: str, now: PackState) -> list[PackState]:
    """The states of a pack in the order in which they hold.

    Args:
        book: the open book.
        record_id: of the pack.
        now: the state its record has.
    """
    rows = book.connection.execute(
        """SELECT was ->> '$.state', was ->> '$.state_since', was ->> '$.state_reason' FROM version
        WHERE record_id = ? AND record = 'pack' AND was IS NOT NULL ORDER BY seq""",
        (record_id,),
    )
    return timeline([*(PackState(state or "", since or "", why) for state, since, why in rows), now])


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
