"""The words of the ledger: what was read when, the steps between readings, the band, a gap."""

from collections.abc import Iterable
from operator import itemgetter
from typing import NamedTuple

from logbook.energy.record import ChargeFacts, FlightFacts

DEPARTURE = "departure"
LANDING = "landing"
CHARGE_START = "charge start"
CHARGE_END = "charge end"
OBSERVED = "observed"

REMEMBERED = "remembered"
NOT_READ = "not-read"

CLOSED_BY = {DEPARTURE: LANDING, CHARGE_START: CHARGE_END}
_OPENED_BY = {closing: opening for opening, closing in CLOSED_BY.items()}


class Event(NamedTuple):
    """One moment at which the charge of one pack was, or should have been, read."""

    at: int
    """[POSIX minutes]"""
    what: str
    """departure, landing, charge start, charge end or observed."""
    soc_pct: float | None
    record_id: str
    """The flight or charging session; the same for every pack that took part."""
    source: str = "read"
    """read, confirmed, recorder, remembered or not-read."""


def same_record(before: Event, after: Event) -> bool:
    """Whether two readings are the beginning and the end of one flight or charge; their ids may be alike by chance."""
    return before.record_id == after.record_id and CLOSED_BY.get(before.what) == after.what


class Step(NamedTuple):
    """From one known reading of a pack to its next."""

    before: Event
    after: Event
    kind: str
    """flight, charge, standing or not read."""
    unread: tuple[Event, ...] = ()

    @property
    def change_pct(self) -> float:
        """Change of the charge; negative when it fell [points]."""
        return (self.after.soc_pct or 0.0) - (self.before.soc_pct or 0.0)


class Band(NamedTuple):
    """How much the charge may change between two records without being a gap (common practice, no source)."""

    points: float = 3.0
    """Settling and the gauge's steps [points]."""
    into_charge_points: float = 2.0
    """The same from a landing to the start of the next charge, which are nearly always equal [points]."""
    points_per_day: float = 0.2
    """Self-discharge and standby, allowed downwards only [points/day]."""
    most_by_days: float = 10.0
    """What a long time standing may explain at most [points]."""
    remembered_points: float = 5.0
    """More where one of the two was written from memory [points]."""


class Gap(NamedTuple):
    """A place where the line of a pack breaks."""

    serial_no: str
    before: Event
    after: Event
    amount_pct: float
    """Charge after less charge before: what appeared or vanished between the records [points]."""
    band_pct: float
    """What would have been tolerated in that direction [points]."""
    cause: str = ""
    """charge missing, flight missing, mistyped, exchanged, wrong pack, overlap or standby; empty: not judged yet."""
    words: str = ""


def in_order(events: Iterable[Event]) -> list[Event]:
    """Events of one pack in order of time.

    In the same minute a record ends before the next begins, except that a record of no length begins before it ends.
    """
    listed = list(events)
    opened = {(event.record_id, event.what): event.at for event in listed if event.what in CLOSED_BY}

    def rank(event: Event) -> tuple[int, int]:
        opening = _OPENED_BY.get(event.what)
        if opening is None:
            return event.at, 1 if event.what == OBSERVED else 2
        return event.at, 3 if opened.get((event.record_id, opening)) == event.at else 0

    listed.sort(key=rank)
    return listed


def lines_of(flights: Iterable[FlightFacts], charges: Iterable[ChargeFacts]) -> dict[str, list[Event]]:
    """The events of every pack, in order, from what was recorded. Linear but for the sorting.

    A flight without an on-blocks time ends at its landing or take-off, a charge without an end when it began;
    readings nobody made by gauge or recorder are taken as remembered.
    """
    lines: dict[str, list[Event]] = {}
    for flight in flights:
        times = (flight.on_blocks, flight.landing, flight.takeoff, flight.off_blocks)
        end = next(time for time in times if time is not None)
        for reading in flight.readings:
            source = "read" if reading.counts else REMEMBERED
            line = lines.setdefault(reading.serial_no, [])
            line.append(
                Event(flight.off_blocks, DEPARTURE, reading.soc_departure_pct, flight.flight_id, source)
            )
            line.append(Event(end, LANDING, reading.soc_landing_pct, flight.flight_id, source))
    for charge in charges:
        line = lines.setdefault(charge.serial_no, [])
        end = charge.started if charge.ended is None else charge.ended
        line.append(Event(charge.started, CHARGE_START, charge.soc_start_pct, charge.charge_id))
        line.append(Event(end, CHARGE_END, charge.soc_end_pct, charge.charge_id))
    return {serial_no: in_order(line) for serial_no, line in sorted(lines.items(), key=itemgetter(0))}
