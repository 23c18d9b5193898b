"""What each pack's records say about its charge just before and just after a flight."""

from bisect import bisect_left

from logbook.energy.events import Event, Session
from logbook.energy.record import WHOLE, BreakFacts, CheckFacts, FlightFacts
from logbook.energy.suspects import Neighbours


class Witnesses:
    """Charges of every pack in order of time, from charging sessions and flights."""

    def __init__(self) -> None:
        self._marks: dict[str, list[tuple[int, int, float | None, float | None]]] = {}
        """For each pack: instant, order, charge at the beginning and at the end of a record [%]."""
        self._order = 0
        self._place: dict[tuple[str, str], int] = {}
        self._together: tuple[str, ...] = ()
        """Packs of the last figure read for the whole aeroplane: what is charged into all of them is its next witness."""

    def hear(self, event: Event) -> None:
        """Take note of an event; events come in order of time."""
        self._order += 1
        if isinstance(event, FlightFacts):
            for reading in event.readings:
                self._place[event.flight_id, reading.serial_no] = self._order
                landing = reading.soc_landing_pct if reading.counts else None
                departure = reading.soc_departure_pct if reading.counts else None
                self._note(reading.serial_no, event.off_blocks, departure, landing)
                self._together = reading.packs or self._together
        elif not isinstance(event, CheckFacts | BreakFacts):
            for row in event:
                self._note(row.serial_no, row.started, row.soc_start_pct, row.soc_end_pct)
            self._note_together(event)

    def near(self, flight: FlightFacts, serial_no: str) -> Neighbours:
        """Charge before and after a flight as the records on either side have it."""
        marks = self._marks.get(serial_no, [])
        order = self._place.get((flight.flight_id, serial_no))
        if order is None:
            return Neighbours(None, None)
        index = bisect_left(marks, order, key=lambda mark: mark[1])
        before = marks[index - 1][3] if index > 0 else None
        after = marks[index + 1][2] if index + 1 < len(marks) else None
        return Neighbours(before, after)

    def _note_together(self, session: Session) -> None:
        """A session of some of the packs ends what one gauge showed of all; of all of them, it says their mean."""
        rows = {row.serial_no: row for row in session if row.serial_no in self._together}
        if rows:
            all_of_them = len(rows) == len(self._together)
            begin = _mean([row.soc_start_pct for row in rows.values()]) if all_of_them else None
            end = _mean([row.soc_end_pct for row in rows.values()]) if all_of_them else None
            self._note(WHOLE, session[0].started, begin, end)

    def _note(self, serial_no: str, at: int, begin: float | None, end: float | None) -> None:
        self._marks.setdefault(serial_no, []).append((at, self._order, begin, end))


def _mean(values: list[float | None]) -> float | None:
    """Mean of what was read; unknown where any is."""
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known and len(known) == len(values) else None
