"""The surroundings of all flights in one sweep through time, instead of several questions for each flight.

Flights and charges come in order of time; what lies before a flight is kept per pack and per aeroplane, and a flight waits
until what lies after it has come by. What waits is about one flight a pack, whatever the length of the record.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from itertools import groupby
from typing import Final

from logbook.rules.case import Event, Neighbour
from logbook.services.cases import Around, Row
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.pack_events import PackEvents

_AT_ONCE: Final = 500
_MOST_BEFORE: Final = 8
"""As many events as `PackEvents.around` gives before a flight."""


class _Waiting:
    """A flight, and how much of what follows it is still to come."""

    def __init__(self, n: int, flight: Row) -> None:
        self.n = n
        self.flight = flight
        self.before: list[tuple[Event, ...]] = [() for _ in flight["readings"]]
        self.after: list[Event | None] = [None for _ in flight["readings"]]
        self.previous: Neighbour | None = None
        self.following: Neighbour | None = None
        self.open = 0

    def whole(self) -> tuple[int, Row, Around]:
        return (
            self.n,
            self.flight,
            Around(tuple(zip(self.before, self.after, strict=True)), self.previous, self.following),
        )


class _PackLine:
    """One pack while time passes: its events since its last flight, and who waits for the next one."""

    def __init__(self) -> None:
        self.since: deque[Event] = deque(maxlen=_MOST_BEFORE)
        self.waiting: list[tuple[_Waiting, int]] = []

    def tell(self, event: Event) -> Iterator[_Waiting]:
        """The next event has come: nobody waits any more. Gives the flights that are whole now."""
        for waiting, place in self.waiting:
            waiting.after[place] = event
            waiting.open -= 1
            if not waiting.open:
                yield waiting
        self.waiting.clear()

    def pass_by(self, event: Event) -> None:
        """The event is over; a flight begins the line anew."""
        if event.what == "flight":
            while self.since and self.since[0].at < event.at:
                self.since.popleft()
        self.since.append(event)


class _AircraftLine:
    """One aeroplane while time passes: its last flight, and the flights that wait for the next one."""

    def __init__(self) -> None:
        self.last: Neighbour | None = None
        self.waiting: list[_Waiting] = []

    def tell(self, neighbour: Neighbour) -> Iterator[_Waiting]:
        for waiting in self.waiting:
            waiting.following = neighbour
            waiting.open -= 1
            if not waiting.open:
                yield waiting
        self.waiting.clear()


class Sweep:
    """All flights of a book with their surroundings, each as soon as these are known."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._packs: dict[str, _PackLine] = {}
        self._aircraft: dict[str, _AircraftLine] = {}
        self._charges = PackEvents(book).charges_in_time()
        self._next_charge = next(self._charges, None)

    def __iter__(self) -> Iterator[tuple[int, Row, Around]]:
        for at, moment in groupby(self._flights(), key=lambda pair: pair[1]["off_blocks"]):
            flights = [_Waiting(n, flight) for n, flight in moment]
            if at is None:
                yield from (waiting.whole() for waiting in flights)
                continue
            for done in self._at(at, flights):
                yield done.whole()
        yield from self._end()

    def _flights(self) -> Iterator[tuple[int, Row]]:
        flights = Flights(self._book)
        numbers = flights.in_time()
        for start in range(0, len(numbers), _AT_ONCE):
            batch = numbers[start : start + _AT_ONCE]
            yield from zip(batch, flights.read(batch), strict=True)

    def _at(self, at: str, flights: list[_Waiting]) -> Iterator[_Waiting]:
        """One moment: everything that begins then."""
        while self._next_charge is not None and self._next_charge[1].at < at:
            yield from self._charge_passes()
        now = self._charges_at(at)
        for waiting in flights:
            if not waiting.flight["struck"]:
                for serial, event in _events_of(waiting.flight):
                    now.setdefault(serial, []).append((event, waiting.n))
        for serial, events in now.items():
            yield from self._pack(serial).tell(events[0][0])
        yield from self._neighbours(flights)
        for waiting in flights:
            self._packs_of(waiting, now)
            if not waiting.open:
                yield waiting
        for serial, events in now.items():
            line = self._pack(serial)
            for event, _ in events:
                line.pass_by(event)

    def _charges_at(self, at: str) -> dict[str, list[tuple[Event, int]]]:
        """Charges that begin at a moment, by pack; beside each event the number of its flight, here 0."""
        now: dict[str, list[tuple[Event, int]]] = {}
        while self._next_charge is not None and self._next_charge[1].at == at:
            serial, row = self._next_charge
            now.setdefault(serial, []).append((Event(*row), 0))
            self._next_charge = next(self._charges, None)
        return now

    def _neighbours(self, flights: list[_Waiting]) -> Iterator[_Waiting]:
        unstruck = {
            w.flight["aircraft"]: (w, _neighbour(w.flight)) for w in flights if not w.flight["struck"]
        }
        for aircraft, (_, neighbour) in unstruck.items():
            yield from self._line(aircraft).tell(neighbour)
        for waiting in flights:
            line = self._line(waiting.flight["aircraft"])
            other = unstruck.get(waiting.flight["aircraft"])
            waiting.previous = other[1] if other is not None and other[0] is not waiting else line.last
            line.waiting.append(waiting)
            waiting.open += 1
        for aircraft, (_, neighbour) in unstruck.items():
            self._line(aircraft).last = neighbour

    def _packs_of(self, waiting: _Waiting, now: dict[str, list[tuple[Event, int]]]) -> None:
        for place, reading in enumerate(waiting.flight["readings"]):
            serial = reading["serial_no"]
            if serial is None:
                continue
            line, together = self._pack(serial), now.get(serial, ())
            if not any(0 < n < waiting.n for _, n in together):
                waiting.before[place] = tuple(line.since)
            beside = next((event for event, n in together if n != waiting.n), None)
            if beside is not None:
                waiting.after[place] = beside
            else:
                line.waiting.append((waiting, place))
                waiting.open += 1

    def _charge_passes(self) -> Iterator[_Waiting]:
        if self._next_charge is not None:
            serial, row = self._next_charge
            event, line = Event(*row), self._pack(serial)
            yield from line.tell(event)
            line.pass_by(event)
            self._next_charge = next(self._charges, None)

    def _end(self) -> Iterator[tuple[int, Row, Around]]:
        """What is still waiting when time is over: nothing follows."""
        while self._next_charge is not None:
            for done in self._charge_passes():
                yield done.whole()
        left: dict[int, _Waiting] = {}
        for line in self._packs.values():
            left.update((waiting.n, waiting) for waiting, _ in line.waiting)
        for aeroplane in self._aircraft.values():
            left.update((waiting.n, waiting) for waiting in aeroplane.waiting)
        yield from (waiting.whole() for waiting in left.values())

    def _pack(self, serial: str) -> _PackLine:
        line = self._packs.get(serial)
        if line is None:
            line = self._packs[serial] = _PackLine()
        return line

    def _line(self, aircraft: str) -> _AircraftLine:
        line = self._aircraft.get(aircraft)
        if line is None:
            line = self._aircraft[aircraft] = _AircraftLine()
        return line


def _neighbour(flight: Row) -> Neighbour:
    return Neighbour(
        flight["flight_id"],
        flight["off_blocks"],
        flight["on_blocks"],
        flight["meter_start"],
        flight["meter_end"],
    )


def _events_of(flight: Row) -> Iterator[tuple[str, Event]]:
    """What a flight is in the life of each of its packs."""
    until = flight["on_blocks"] if flight["on_blocks"] is not None else flight["landing"]
    for reading in flight["readings"]:
        if reading["serial_no"] is not None:
            yield (
                reading["serial_no"],
                Event(
                    "flight",
                    flight["flight_id"],
                    flight["off_blocks"],
                    until,
                    reading["soc_departure_pct"],
                    reading["soc_landing_pct"],
                    reading["soh_pct"],
                    reading["source"],
                ),
            )
