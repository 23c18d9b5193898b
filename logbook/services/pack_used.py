"""How fast a pack is being used: what each flight of its last year took, and the pace that comes of it."""

from __future__ import annotations

import sys
from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple

from logbook.energy.cycles import CHARGES, COUNTER, FLIGHTS, HALF_SUM, definition_of
from logbook.energy.ledger_events import CHARGE_START, DEPARTURE, LANDING, Event
from logbook.energy.pace import MINUTES_A_DAY, YEAR_DAYS, UsagePace, Uses, usage_pace
from logbook.units import instant_of

_COUNTED_APART: Final = (HALF_SUM, CHARGES, FLIGHTS)
"""What a maker may call a cycle and each flight takes its own share of, other than by discharge."""


class Used(NamedTuple):
    """What each flight took, a column for each figure: the first flight there was, and those of the year up to the last.

    Attributes:
        at: off blocks [POSIX minutes].
        hours: time in service [h].
        discharge: in cycles by discharge.
        maker: in its maker's cycles where these can be counted, else the same column as by discharge.
    """

    at: array[int]
    hours: array[float]
    discharge: array[float]
    maker: array[float]


def columns_of(used: Used) -> tuple[bytes, bytes, bytes, bytes | None]:
    """The columns as bytes, for the book: eight to a number, the least first on every machine."""
    same = used.maker is used.discharge
    return _bytes(used.at), _bytes(used.hours), _bytes(used.discharge), None if same else _bytes(used.maker)


def used_from(columns: tuple[bytes, bytes, bytes, bytes | None]) -> Used:
    """The same again from what was written down."""
    at, hours, discharge, maker = array("q"), array("d"), array("d"), array("d")
    _fill(at, columns[0])
    _fill(hours, columns[1])
    _fill(discharge, columns[2])
    if columns[3] is None:
        return Used(at, hours, discharge, discharge)
    _fill(maker, columns[3])
    return Used(at, hours, discharge, maker)


def _bytes(column: array[Any]) -> bytes:
    if sys.byteorder == "big":
        column = column[:]
        column.byteswap()
    return column.tobytes()


def _fill(column: array[Any], given: bytes) -> None:
    column.frombytes(given)
    if sys.byteorder == "big":
        column.byteswap()


class UsedSums(NamedTuple):
    """What the flights of a pack took so far, from which it can go on.

    Attributes:
        at, hours, discharge, maker: as in `Used`; the last is empty where the maker's cycles are not counted apart.
        since_landing: what has come together since the last landing, by discharge and in the maker's cycles.
        last: the last known charge [%].
    """

    at: Sequence[int] = ()
    hours: Sequence[float] = ()
    discharge: Sequence[float] = ()
    maker: Sequence[float] = ()
    since_landing: tuple[float, float] = (0.0, 0.0)
    last: float | None = None


def add_used(
    sums: UsedSums, events: Sequence[Event], hours: Mapping[int, float], definition: str | None
) -> UsedSums:
    """Goes on with a later part of the record: what each flight took, with everything since the flight before it.

    A gap or a charge belongs to the next flight.

    Args:
        sums: of what was before.
        events: the line of the pack.
        hours: of each flight, by off blocks [POSIX minutes; h].
        definition: what the maker calls a cycle.
    """
    counting = definition_of(definition)
    discharge, own, rest, last = _by_flight(events, counting, sums)
    apart = counting in _COUNTED_APART
    moments = sorted({*discharge, *hours})
    found = UsedSums(
        [*sums.at, *moments],
        [*sums.hours, *(hours.get(at, 0.0) for at in moments)],
        [*sums.discharge, *(discharge.get(at, 0.0) for at in moments)],
        [*sums.maker, *(own.get(at, 0.0) for at in moments)] if apart else (),
        rest,
        last,
    )
    return _last_year(found)


def _by_flight(
    events: Sequence[Event], counting: str, sums: UsedSums
) -> tuple[dict[int, float], dict[int, float], tuple[float, float], float | None]:
    discharge, own = dict[int, float](), dict[int, float]()
    (fallen, counted), last, off_blocks = sums.since_landing, sums.last, 0
    for event in events:
        if event.soc_pct is not None:
            if last is not None:
                change = event.soc_pct - last
                fallen += max(-change, 0.0) / 100
                counted += abs(change) / 200 if counting == HALF_SUM else 0.0
            last = event.soc_pct
        if event.what == DEPARTURE:
            off_blocks = event.at
        elif event.what == CHARGE_START:
            counted += counting == CHARGES
        elif event.what == LANDING:
            discharge[off_blocks], own[off_blocks] = fallen, counted + (counting == FLIGHTS)
            fallen = counted = 0.0
    return discharge, own, (fallen, counted), last


def _last_year(sums: UsedSums) -> UsedSums:
    """Without what lies between the first flight and the year up to the last."""
    if not sums.at:
        return sums
    start = bisect_left(sums.at, sums.at[-1] - YEAR_DAYS * MINUTES_A_DAY)
    if start <= 1:
        return sums
    at, hours, discharge, maker = ([*column[:1], *column[start:]] for column in sums[:4])
    return UsedSums(at, hours, discharge, maker, sums.since_landing, sums.last)


def used_of(sums: UsedSums, definition: str | None, factor: float) -> Used:
    """What the flights took, as far as any pace from now on needs it.

    Args:
        sums: over the whole record.
        definition: what the maker calls a cycle.
        factor: what the pack's own counter moves for each cycle by discharge; asked where that counter is the definition.
    """
    counting = definition_of(definition)
    discharge = array("d", sums.discharge)
    maker = discharge
    if counting == COUNTER:
        maker = array("d", [cycles * factor for cycles in discharge])
    elif counting in _COUNTED_APART:
        maker = array("d", sums.maker)
    return Used(array("q", sums.at), array("d", sums.hours), discharge, maker)


class Paces(NamedTuple):
    """How fast a pack is used, in its maker's cycles and by discharge."""

    maker: UsagePace
    discharge: UsagePace


def paces_of(used: Used, now: int) -> Paces:
    """Pace of use over the last twelve months; for a pack at rest, over the twelve months to its last flight.

    Args:
        used: what its flights took.
        now: no earlier than the last of them [POSIX minutes].
    """
    discharge = _pace(Uses(used.at, used.hours, used.discharge), now)
    if used.maker is used.discharge:
        return Paces(discharge, discharge)
    return Paces(_pace(Uses(used.at, used.hours, used.maker), now), discharge)


def _pace(uses: Uses, now: int) -> UsagePace:
    pace, until_now = usage_pace(uses, now), bisect_right(uses.at, now)
    if pace.hours_per_day is not None or pace.cycles_per_day is not None or not until_now:
        return pace
    last = uses.at[until_now - 1]
    earlier = usage_pace(uses, last)
    if earlier.hours_per_day is None and earlier.cycles_per_day is None:
        return pace
    return earlier._replace(words=f"{earlier.words} before its last flight on {instant_of(last)[:10]}")
