"""One step per event: forecast a flight from what is known, then learn from it.

An extended Kalman filter over all unknowns of one aeroplane (``knowledge``), with robust weights, scatter learned by
kind, and the clock as second witness. Learning from a flight waits until the next flight or question: by then the start
of the next charge has told whether the landing charge was written down right.
"""

from collections.abc import Sequence

from logbook.energy import parameters as names
from logbook.energy.amounts import Amounts
from logbook.energy.charging import learn_session
from logbook.energy.events import Event, Session
from logbook.energy.knowledge import Knowledge
from logbook.energy.learning import learn_flight
from logbook.energy.model import Energy, energy
from logbook.energy.pack_evidence import learn_break, learn_check, learn_soh
from logbook.energy.prediction import Forecasted, predict
from logbook.energy.record import AircraftFacts, BreakFacts, CheckFacts, FlightFacts, PackFacts, members_of


class Filter(Knowledge):
    """What is known of one aeroplane, and the steps that teach it more."""

    def __init__(self, aircraft: AircraftFacts, packs: Sequence[PackFacts] = ()) -> None:
        super().__init__(aircraft, packs)
        self.pending: Forecasted | None = None
        self.after: list[Session | CheckFacts | BreakFacts] = []

    def step(self, event: Event) -> Forecasted | None:
        """Take the next event in time; a flight is answered with its forecast."""
        if not isinstance(event, FlightFacts):
            self.after.append(event)
            return None
        self.settle(event)
        self.state.wander()
        for reading in event.readings:
            # What one gauge says of all packs leaves each of them unknown: packs flown together are taken to be alike.
            self.meet(members_of(reading), has_soh=reading.soh_pct is not None and not reading.packs)
            if reading.soh_pct is not None and reading.counts:
                self.learn_soh(reading.serial_no, reading.soh_pct, members_of(reading))
        self.pending = predict(self, event)
        return self.pending

    def settle(self, following: FlightFacts | None = None) -> None:
        """Learn from everything that has happened so far."""
        pending, self.pending = self.pending, None
        if pending is not None:
            learn_flight(self, pending, self._next_charge(pending, following))
        for event in self.after:
            if isinstance(event, CheckFacts):
                learn_check(self, event)
            elif isinstance(event, BreakFacts):
                learn_break(self, event)
            else:
                learn_session(self, event)
        self.after.clear()

    def meet(self, serials: Sequence[str], *, has_soh: bool) -> None:
        """Packs take part: one that is new starts from its prior."""
        for serial in serials:
            self.pack_at(serial, has_soh=has_soh)

    def learn_soh(self, serial_no: str, soh_pct: float, members: Sequence[str]) -> None:
        """One more SOH reading, of a pack or of all ``members`` together."""
        learn_soh(self, serial_no, soh_pct, members)

    def cost(self, amounts: Amounts) -> Energy:
        """Energy of a flight as the unknowns stand, without learning from it."""
        _, effects = self.person(amounts.handler)
        return energy(self.state.x[: names.CORE].tolist(), amounts, self.dropped, effects)

    def _next_charge(self, flown: Forecasted, following: FlightFacts | None) -> dict[str, float]:
        """First charge known of each pack after the flight: start of the next charging, else the next departure.

        What one gauge showed of all packs together is compared with their mean, where each of them tells it.
        """
        found: dict[str, float] = {}
        for event in self.after:
            if isinstance(event, tuple) and not isinstance(event, CheckFacts | BreakFacts):
                for row in event:
                    if row.soc_start_pct is not None:
                        found.setdefault(row.serial_no, float(row.soc_start_pct))
        charged = {
            row.serial_no
            for event in self.after
            if not isinstance(event, CheckFacts | BreakFacts)
            for row in event
        }
        if following is not None:
            for reading in following.readings:
                if charged.isdisjoint(members_of(reading)) and reading.soc_departure_pct is not None:
                    found.setdefault(reading.serial_no, float(reading.soc_departure_pct))
        for pack in flown.packs:
            told = [found[one] for one in pack.reading.packs if one in found]
            if told and len(told) == len(pack.reading.packs):
                found[pack.reading.serial_no] = sum(told) / len(told)
        return found
