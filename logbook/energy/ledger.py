"""The charge of each pack as one continuous line, and where the line breaks.

Nothing goes in or out of a pack but in flights and charges, so

    charge at the end of one record = charge at the start of the next                            (1)

within a band for self-discharge, standby, settling and the gauge's whole percent. Where (1) fails, something was
not written down, or a figure is wrong; `logbook.energy.gap_causes` says which is likely.
A reading that was not made is no gap: the line is taken up again at the next one.

See docs/packs/ledger.md.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from logbook.energy.gap_causes import explained
from logbook.energy.ledger_events import (
    CHARGE_END,
    CHARGE_START,
    LANDING,
    NOT_READ,
    REMEMBERED,
    Band,
    Event,
    Gap,
    Step,
    in_order,
    same_record,
)

DEFAULT_BAND = Band()


def steps(events: Iterable[Event]) -> Iterator[Step]:
    """The line of one pack as steps from each known reading to the next.

    Args:
        events: Readings of one pack, in the order of `in_order`.
    Yields: One step for every two neighbouring known readings. Its kind is "flight" or "charge" inside a record,
        "standing" between records, and "not read" where an unread reading lies between.
    """
    before: Event | None = None
    unread: list[Event] = []
    for event in events:
        if event.soc_pct is None or event.source == NOT_READ:
            unread.append(event)
            continue
        if before is not None:
            if same_record(before, event):
                kind = "charge" if event.what == CHARGE_END else "flight"
            else:
                kind = "not read" if unread else "standing"
            yield Step(before, event, kind, tuple(unread))
        before = event
        if unread:
            unread = []


def last_known(events: Iterable[Event], at: int | None = None) -> Event | None:
    """The last known reading of a pack, at most as late as ``at`` [POSIX minutes]: what the next one should show."""
    found = None
    for event in events:
        if at is not None and event.at > at:
            break
        if event.soc_pct is not None and event.source != NOT_READ:
            found = event
    return found


def allowed_change(step: Step, band: Band = DEFAULT_BAND) -> tuple[float, float]:
    """How far the charge may fall and rise from one record to the next before it is a gap [points]."""
    before, after = step.before, step.after
    straight = before.what == LANDING and after.what == CHARGE_START
    points = band.into_charge_points if straight else band.points
    if REMEMBERED in (before.source, after.source):
        points += band.remembered_points
    days = max(after.at - before.at, 0) / 1440
    return points + min(band.points_per_day * days, band.most_by_days), points


def _breaks(step: Step, band: Band) -> float:
    """Band that the step leaves [points], or 0 where it does not."""
    change = step.change_pct
    fall, rise = allowed_change(step, band)
    if step.kind == "standing":
        return rise if change > rise else fall if -change > fall else 0.0
    if step.kind != "not read" or change <= rise:
        return 0.0
    # Readings are missing in between, but no charge is: nothing on record can have raised the charge.
    sides = (step.after, step.before, *step.unread)
    charged = any(event.what in (CHARGE_START, CHARGE_END) and _inside(event, step) for event in sides)
    return 0.0 if charged else rise


def _inside(event: Event, step: Step) -> bool:
    """Whether the record of an event may have changed the charge between the two readings."""
    if event is step.before:
        return event.what == CHARGE_START
    if event is step.after:
        return event.what == CHARGE_END
    return True


def gaps_of_pack(serial_no: str, events: Iterable[Event], band: Band = DEFAULT_BAND) -> list[Gap]:
    """Where the line of one pack breaks, without an opinion why. Events in the order of `in_order`; one pass."""
    found = []
    for step in steps(events):
        left = _breaks(step, band)
        if left:
            found.append(Gap(serial_no, step.before, step.after, step.change_pct, left))
    return found


def find_gaps(lines: Mapping[str, Sequence[Event]], band: Band = DEFAULT_BAND) -> list[Gap]:
    """Where the lines of the packs break, and why that is likely.

    Args:
        lines: Events of each pack by serial number; sorted here. Packs that fly together must be given together:
            readings written in each other's place are found by comparing them.
        band: Changes to be tolerated.
    Returns: Gaps in order of time, each with its cause and words.
    """
    found: list[Gap] = []
    for serial_no, events in lines.items():
        found += gaps_of_pack(serial_no, in_order(events), band)
    return sorted(explained(found), key=lambda gap: (gap.after.at, gap.serial_no))
