"""Charge cycles of a pack, both ways of counting, and when they may be held against a maker's limit.

    discharge = Σ falls / 100          half-sum = Σ |changes| / 200                              (1)

over all known readings in order; a gap in the line counts as the change it is, whatever caused it.
Percent is of what the pack holds on the day (its present usable capacity); by energy, the cycles are

    energy out / nominal capacity                                                               (2)

Sources: half-sum as in the open battery-life library BLAST-Lite (dEFC = Σ|dSOC| / 2); discharge as discharged over rated
ampere-hours (common practice). Conventions differ, so only like is compared with like. See docs/packs/cycles.md.
"""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.ledger_events import CHARGE_END, CHARGE_START, DEPARTURE, LANDING, NOT_READ, Event
from logbook.energy.rainflow import DepthSums, add_depths, depths_of
from logbook.energy.worth import Worths, points_between

DISCHARGE = "discharge"
HALF_SUM = "half-sum"
CHARGES = "charges"
FLIGHTS = "flights"
COUNTER = "counter"
DEFINITIONS = (DISCHARGE, HALF_SUM, CHARGES, FLIGHTS, COUNTER)
"""What a maker may call a cycle and this logbook can count; "counter" is the pack's own counter as read."""


class CycleCount(NamedTuple):
    """What a pack has been through, since its first known reading; brought-forward cycles apart."""

    discharge: float = 0.0
    """Equivalent full cycles, sum of all falls / 100."""
    half_sum: float = 0.0
    """Equivalent full cycles, half the sum of all changes / 100."""
    charges: int = 0
    """Charging sessions."""
    flights: int = 0
    by_depth: tuple[float, ...] = (0.0,) * 10
    """Rainflow cycles by depth in bins of 10 points, shallow first."""
    first_at: int | None = None
    """First known reading [POSIX minutes]."""
    last_at: int | None = None


class Tally(NamedTuple):
    """Cycles held against a limit, or why that cannot be done."""

    accumulated: float | None
    """Brought forward and counted, in the maker's own cycles; ``None``: cannot be judged."""
    definition: str
    words: str


def known_charges(events: Iterable[Event]) -> list[float]:
    """The readings that were made, in order [%]."""
    return [event.soc_pct for event in events if event.soc_pct is not None and event.source != NOT_READ]


def equivalent_cycles(socs: Iterable[float]) -> tuple[float, float]:
    """Equivalent full cycles of a series of charges [%]: by discharge and by half-sum, equation (1)."""
    falls, rises, _ = _changes(socs, (0.0, 0.0, None))
    return falls / 100, (falls + rises) / 200


def _changes(
    socs: Iterable[float], begun: tuple[float, float, float | None]
) -> tuple[float, float, float | None]:
    """Falls and rises [points] and the last charge [%], going on from those before."""
    falls, rises, last = begun
    for soc in socs:
        if last is not None:
            if soc < last:
                falls += last - soc
            else:
                rises += soc - last
        last = soc
    return falls, rises, last


class CycleSums(NamedTuple):
    """A line counted so far, from which the count can go on as if it had never stopped."""

    changes: tuple[float, float, float | None] = (0.0, 0.0, None)
    """Falls and rises [points], and the last known charge [%]."""
    charges: int = 0
    flights: int = 0
    depths: DepthSums = DepthSums((0.0,) * 10)
    first_at: int | None = None
    last_at: int | None = None


def add_cycles(sums: CycleSums, events: Iterable[Event]) -> CycleSums:
    """Goes on counting. One pass; events in order, after those counted, and no record partly here and partly there."""
    listed = list(events)
    socs = known_charges(listed)
    known_at = [event.at for event in listed if event.soc_pct is not None and event.source != NOT_READ]
    first = known_at[0] if known_at else None
    return CycleSums(
        _changes(socs, sums.changes),
        sums.charges + len({event.record_id for event in listed if event.what in (CHARGE_START, CHARGE_END)}),
        sums.flights + len({event.record_id for event in listed if event.what in (DEPARTURE, LANDING)}),
        add_depths(sums.depths, socs),
        first if sums.first_at is None else sums.first_at,
        known_at[-1] if known_at else sums.last_at,
    )


def cycles_so_far(sums: CycleSums) -> CycleCount:
    """The count, if the line ended here."""
    falls, rises, _ = sums.changes
    ends = sums.first_at, sums.last_at
    return CycleCount(
        falls / 100, (falls + rises) / 200, sums.charges, sums.flights, depths_of(sums.depths), *ends
    )


def count_cycles_of(events: Iterable[Event]) -> CycleCount:
    """Cycles of one pack from its line. One pass; events in order."""
    return cycles_so_far(add_cycles(CycleSums(), events))


class EnergySums(NamedTuple):
    """The energy of a line added up so far, from which it can go on as if it had never stopped."""

    low: float = 0.0
    """[kWh], as mid and high."""
    mid: float = 0.0
    high: float = 0.0
    falls: int = 0
    last: float | None = None
    """The last known charge [%]."""
    how: str = ""
    known: bool = True
    """Whether the capacity was known at every fall."""


def add_energy(
    sums: EnergySums,
    events: Iterable[Event],
    usable_kwh: Callable[[int], Estimate | None],
    worths: Worths | None = None,
) -> EnergySums:
    """Goes on adding; arguments as in `energy_through`."""
    low, mid, high, falls, last, how, known = sums
    if not known:
        return sums
    for event in events:
        if event.soc_pct is None or event.source == NOT_READ:
            continue
        if last is not None and event.soc_pct < last:
            usable = usable_kwh(event.at)
            if usable is None:
                return EnergySums(known=False)
            part = points_between(worths, last, event.soc_pct) / 100
            low, mid, high = low + part * usable.low, mid + part * usable.mid, high + part * usable.high
            falls, how = falls + 1, usable.how
        last = event.soc_pct
    return EnergySums(low, mid, high, falls, last, how)


def energy_so_far(sums: EnergySums) -> Estimate | None:
    """The energy, if the line ended here [kWh]; ``None`` if the capacity was unknown at any fall."""
    if not sums.known:
        return None
    how = f"falls of charge × usable capacity of the day ({sums.how})"
    return Estimate(sums.low, sums.mid, sums.high, sums.falls, how)


def energy_through(
    events: Iterable[Event],
    usable_kwh: Callable[[int], Estimate | None],
    worths: Worths | None = None,
) -> Estimate | None:
    """Energy a pack has given, over all falls of its charge [kWh].

    The error of the capacity is common to all falls, so low, mid and high are added apart.

    Args:
        events: Readings of one pack in order.
        usable_kwh: Usable capacity at an instant [POSIX minutes -> kWh]; ``None`` where it is not known.
        worths: What a percent is worth in each tenth, where that is stated.
    Returns: Energy out; ``None`` if the capacity was unknown at any fall.
    """
    return energy_so_far(add_energy(EnergySums(), events, usable_kwh, worths))


def cycles_by_energy(energy_out_kwh: Estimate | None, nominal_kwh: float | None) -> Estimate | None:
    """Equivalent full cycles of the nominal capacity, equation (2); ``None`` where either is unknown."""
    if energy_out_kwh is None or not nominal_kwh or nominal_kwh <= 0:
        return None
    return energy_out_kwh.scaled(1 / nominal_kwh)._replace(how="energy out / nominal capacity")


def definition_of(text: str | None) -> str:
    """The counting a maker's words stand for, or the words themselves where this logbook cannot count that."""
    plain = " ".join((text or "").replace("_", " ").replace("-", " ").split()).lower()
    for name in DEFINITIONS:
        if plain == name.replace("-", " "):
            return name
    return (text or "").strip()


def judged_cycles(
    count: CycleCount,
    definition: str | None,
    brought_forward: float | None = None,
    own_counter: float | None = None,
) -> Tally:
    """Cycles of a pack in its maker's own counting, brought-forward ones added.

    Args:
        count: What the record holds.
        definition: What the pack type says its maker calls a cycle: one of `DEFINITIONS`, or free text.
        brought_forward: Cycles before the record began, in the maker's counting; unknown is said, and taken as 0.
        own_counter: Last reading of the pack's own counter. Used only where the maker's limit is by that counter;
            never mixed with counted cycles.
    """
    name = definition_of(definition)
    if not name:
        return Tally(
            None,
            "",
            "Cannot be judged: the pack type does not say what its maker calls a cycle. Enter it there.",
        )
    if name == COUNTER:
        if own_counter is None:
            return Tally(
                None, name, "Cannot be judged: the limit is by the pack's own counter, which was never read."
            )
        return Tally(own_counter, name, "by the pack's own counter as last read")
    counted = {
        DISCHARGE: count.discharge,
        HALF_SUM: count.half_sum,
        CHARGES: float(count.charges),
        FLIGHTS: float(count.flights),
    }.get(name)
    if counted is None:
        words = f"Cannot be judged: the maker counts “{name}”, which this logbook does not count. It counts {', '.join(DEFINITIONS)}."
        return Tally(None, name, words)
    before = 0.0 if brought_forward is None else brought_forward
    note = (
        "cycles before the record are not stated, taken as none"
        if brought_forward is None
        else f"{before:g} brought forward"
    )
    return Tally(before + counted, name, f"by {name}, {note}")


def counter_against_count(
    counter_change: float | None, count: CycleCount, definition: str | None = None
) -> str:
    """The pack's own counter beside the counted cycles, in words; they are shown together and never merged.

    Args:
        counter_change: What the counter moved on over the same time [cycles].
        count: Cycles counted over that time.
        definition: What the counter is said to count.
    """
    if counter_change is None:
        return "The pack's own counter was not read at both ends of the record."
    ours = {DISCHARGE: count.discharge, HALF_SUM: count.half_sum}.get(definition_of(definition))
    both = f"Own counter {counter_change:g}; by discharge {count.discharge:.1f}, by half-sum {count.half_sum:.1f}."
    if ours is None:
        return both + " What the counter counts is not stated, so they are not compared."
    if ours <= 0:
        return both
    return both + f" The counter moved {100 * (counter_change / ours - 1):+.0f} % beside the counted cycles."
