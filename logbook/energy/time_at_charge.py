"""How long a pack stood at which charge: what wears it without being a cycle.

The charge between two readings is taken as the last known one while the pack stands, and as a straight line inside a
flight or a charge. Where a reading is missing, the last known one holds until the next.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from logbook.energy.ledger import last_known, steps
from logbook.energy.ledger_events import CHARGE_END, CHARGE_START, DEPARTURE, NOT_READ, OBSERVED, Event

MINUTES_A_DAY = 1440.0
ABOVE_PCT, BELOW_PCT = 90.0, 20.0
"""The levels above and below which days are counted [%] (common practice, no source)."""


class TimeAtCharge(NamedTuple):
    """Days a pack spent above and below two levels of charge."""

    above_days: float
    below_days: float
    known_days: float
    """Days from the first known reading; before it nothing is said."""
    above_pct: float
    below_pct: float


class SinceFull(NamedTuple):
    """What happened since a pack was last charged full, with balancing."""

    at: int | None
    """When that was [POSIX minutes]; ``None`` if there is no such charge on record."""
    days: float | None
    cycles: float
    """Equivalent full cycles discharged since, or since the first record."""


def time_at_charge(events: Sequence[Event], now: int) -> TimeAtCharge:
    """Days above and below two levels of charge, up to now. One pass.

    Args:
        events: Readings of one pack in order.
        now: Until when [POSIX minutes].
    """
    above = below = known = 0.0
    for step in steps(events):
        length = step.after.at - step.before.at
        minutes = max(min(length, now - step.before.at), 0)
        start = step.before.soc_pct or 0.0
        end = start + step.change_pct * (minutes / length if length > 0 else 1.0)
        if step.kind not in ("flight", "charge"):
            end = start
        known += minutes
        above += minutes * _share_above(start, end, ABOVE_PCT)
        below += minutes * _share_above(-start, -end, -BELOW_PCT)
    last = last_known(events, now)
    if last is not None and last.soc_pct is not None:
        minutes = _minutes_after(events, last, now)
        known += minutes
        above += minutes * (last.soc_pct > ABOVE_PCT)
        below += minutes * (last.soc_pct < BELOW_PCT)
    return TimeAtCharge(
        above / MINUTES_A_DAY, below / MINUTES_A_DAY, known / MINUTES_A_DAY, ABOVE_PCT, BELOW_PCT
    )


def _minutes_after(events: Sequence[Event], last: Event, now: int) -> int:
    """Minutes from the last known reading to now that no step accounts for."""
    later = last_known(events)
    return 0 if later is not None and later.at > now else now - last.at


def _share_above(start: float, end: float, level: float) -> float:
    """Part of a straight line from start to end that lies above a level (0..1)."""
    low, high = min(start, end), max(start, end)
    if high == low:
        return float(start > level)
    return min(max((high - level) / (high - low), 0.0), 1.0)


def parked_above(events: Sequence[Event], now: int, storage_pct: float) -> float:
    """Days a pack has been standing above its storage charge up to now; 0 when it is not [days].

    Args:
        events: Readings of one pack in order.
        now: [POSIX minutes]
        storage_pct: Highest charge the pack should be stored at [%].
    """
    since: int | None = None
    for event in reversed([event for event in events if event.at <= now]):
        if event.soc_pct is None or event.source == NOT_READ:
            continue
        in_use = event.what in (DEPARTURE, CHARGE_START) and since is None
        if event.soc_pct <= storage_pct or in_use:
            break
        since = event.at
        if event.what != OBSERVED:
            break
    return 0.0 if since is None else (now - since) / MINUTES_A_DAY


def since_full_charge(
    events: Iterable[Event],
    now: int,
    balancing: frozenset[str] | None = None,
    full_pct: float = 99.0,
) -> SinceFull:
    """Days and cycles since the last full charge with balancing.

    Args:
        events: Readings of one pack in order.
        now: [POSIX minutes]
        balancing: Ids of the charges that were meant as full with balancing; ``None`` where nobody says:
            every charge that reached ``full_pct`` is taken as one.
        full_pct: Least charge at the end that counts as full [%].
    """
    at: int | None = None
    fallen = 0.0
    for step in steps(events):
        if step.after.at > now:
            break
        fallen += max(-step.change_pct, 0.0)
        end = step.after
        meant = balancing is None or end.record_id in balancing
        if end.what == CHARGE_END and meant and (end.soc_pct or 0.0) >= full_pct:
            at, fallen = end.at, 0.0
    return SinceFull(at, None if at is None else (now - at) / MINUTES_A_DAY, fallen / 100)
