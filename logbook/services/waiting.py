"""Packs that passed a limit and wait for somebody who looks at them: too hot in flight, or seen beyond a limit.

Each is "inspection before next use" until somebody answers the flag in words, or a maintenance entry on the pack follows.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final, NamedTuple

from logbook.services.grounding import INSPECT
from logbook.store.attention import Attention
from logbook.store.database import Book
from logbook.store.seen_limits import SeenBeyond, beyond_limits

if TYPE_CHECKING:
    from logbook.services.answers_given import Answers

_SAID: Final = {
    "cells_apart_limit": "cells {cells_apart_mv:g} mV apart",
    "cell_voltage_low": "a cell at {cell_v:g} V",
    "cell_voltage_high": "a cell at {cell_v:g} V",
    "insulation_low": "insulation {insulation_mohm:g} MΩ",
}


class Waits(NamedTuple):
    """What a pack waits for an inspection after.

    Attributes:
        date: when it was.
        what: what was passed, in a few words.
        did: the same as something the pack did.
    """

    date: str
    what: str
    did: str

    @property
    def words(self) -> str:
        """Why the pack may not fly."""
        return f"{self.what} on {self.date}{INSPECT}"


def waiting_packs(book: Book, until: str, but: str = "") -> dict[str, Waits]:
    """The packs that wait, by serial number, each with what happened last.

    Args:
        book: the open book.
        until: flights, observations and entries up to here (UTC); what is dated later has not been done yet.
        but: the id of a flight that does not count: the one that is being entered.
    """
    hot = Attention(book).overheated(until, but)
    found = {serial: Waits(day, "too hot", "reached its temperature limit") for serial, day in hot.items()}
    for serial, seen in _seen(book, until).items():
        if serial not in found or seen.date >= found[serial].date:
            found[serial] = seen
    return found


def waits(packs: Mapping[str, Waits], serial_no: str) -> str:
    """Why such a pack may not fly; empty where it passed no limit, or somebody has looked at it since."""
    return packs[serial_no].words if serial_no in packs else ""


def _seen(book: Book, until: str) -> dict[str, Waits]:
    """Of each pack the newest observation beyond a limit that nobody answered, with no entry since."""
    rows = beyond_limits(book, until)
    if not rows:
        return {}
    from logbook.services.answers_given import Answers

    answers = Answers(book, "observation_id")
    found: dict[str, Waits] = {}
    for row in rows:
        if row.serial_no not in found:
            what = _unanswered(row, answers)
            if what:
                found[row.serial_no] = Waits(row.at[:10], what, f"showed {what}")
    return found


def _unanswered(row: SeenBeyond, answers: Answers) -> str:
    from logbook.rules.observation_rules import GROUNDING, SeenFigures, SeenLimits, seen_beyond

    read = SeenFigures(row.cell_min_v, row.cell_max_v, row.insulation_mohm)
    said = answers.of(row.observation_id)
    return ", ".join(
        _SAID[flag.rule].format(**flag.figures)
        for flag in seen_beyond(row.serial_no, read, SeenLimits(*row.limits))
        if flag.rule in GROUNDING and (flag.rule, flag.serial_no, flag.fingerprint) not in said
    )
