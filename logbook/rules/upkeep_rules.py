"""Rules on what maintenance writes down: counters that go back, hours that go back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from logbook.rules.flag import CHECK, Flag, Rule

_COUNTERS: Final = (("counter_hours", "hour counter", "h"), ("counter_cycles", "cycle counter", "cycles"))

RULES: Final = {
    rule.rule: rule
    for rule in (
        Rule(
            "counter_back",
            "a pack's own counter went back",
            "Compare with the display; after a new controller, record a baseline break.",
            "a counter of use only counts up",
        ),
        Rule(
            "hours_back",
            "total time of an aeroplane went back",
            "Correct whichever of the two was mistyped.",
            "total time only grows",
        ),
        Rule(
            "hours_apart",
            "total time read is not what the book counts",
            "Correct what was mistyped; in a book that began later than the aeroplane, state the hours brought forward.",
            "common practice, no source",
        ),
    )
}
"""Every rule on what maintenance writes down, in words for people."""


class CounterRead(NamedTuple):
    """One reading of a pack's own counters: when (UTC), and whether a baseline break was written down with it."""

    record_id: str
    at: str
    counter_hours: float | None
    counter_cycles: float | None
    broke: bool = False


class HoursRead(NamedTuple):
    """Total time of an aeroplane as an entry gives it [h], and when (UTC)."""

    record_id: str
    at: str
    hours: float


def counters_back(serial_no: str, read: Sequence[CounterRead]) -> Iterator[tuple[str, Flag]]:
    """A pack's own counter shows less than before; a baseline break (a new controller) allows it.

    Args:
        serial_no: the pack.
        read: its readings in order of time.

    Yields: The id of the later reading, and the flag.
    """
    for name, words, unit in _COUNTERS:
        last: tuple[str, float] | None = None
        for one in read:
            value: float | None = getattr(one, name)
            if one.broke:
                last = None
            if value is None:
                continue
            if last is not None and value < last[1]:
                sentence = f"The {words} of pack {serial_no} went back from {last[1]:g} ({last[0][:10]}) to {value:g} {unit} ({one.at[:10]})."
                figures = {"was": last[1], "is": value}
                yield one.record_id, Flag("counter_back", CHECK, sentence, figures, serial_no)
            last = one.at, value


def hours_apart(
    aircraft: str, read: Sequence[HoursRead], counted: Sequence[float], most: float
) -> Iterator[tuple[str, Flag]]:
    """Total time of an aeroplane as read is not what the book counts: up to the first reading, then from one to the next.

    So a book that began later than the aeroplane is told so once, and after that only of what is new. A reading that went
    back is a matter of `hours_back`, and none to count on from.

    Args:
        aircraft: registration.
        read: its readings in order of time.
        counted: what the book counts up to each [h].
        most: a difference up to this is nothing to speak of [h].

    Yields: The id of the entry, and the flag.
    """
    last: tuple[HoursRead, float] | None = None
    for one, up_to in zip(read, counted, strict=True):
        if last is not None and one.hours < last[0].hours:
            continue
        expected = up_to if last is None else last[0].hours + up_to - last[1]
        apart = one.hours - expected
        if abs(apart) > most:
            if last is None:
                beside = f"up to then the book counts {up_to:.1f} h"
            else:
                beside = (
                    f"since {last[0].hours:g} h of {last[0].at[:10]} the book counts {up_to - last[1]:.1f} h"
                )
            words = (
                f"Total time of {aircraft} was read as {one.hours:g} h; {beside}, "
                f"{abs(apart):.1f} h {'less' if apart > 0 else 'more'}. What falls due by hours counts on from what was read."
            )
            yield one.record_id, Flag("hours_apart", CHECK, words, {"read": one.hours, "counted": expected})
        last = one, up_to


def hours_back(aircraft: str, read: Sequence[HoursRead]) -> Iterator[tuple[str, Flag]]:
    """Total time of an aeroplane is less than an earlier entry gave.

    Args:
        aircraft: registration.
        read: entries that give it, in order of time.

    Yields: The id of the later entry, and the flag.
    """
    for before, after in pairwise(read):
        if after.hours < before.hours:
            words = f"Total time of {aircraft} went back from {before.hours:g} h ({before.at[:10]}) to {after.hours:g} h ({after.at[:10]})."
            figures = {"was": before.hours, "is": after.hours}
            yield after.record_id, Flag("hours_back", CHECK, words, figures)
