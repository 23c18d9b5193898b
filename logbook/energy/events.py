"""The record in order of time: flights, charging sessions, checks and breaks as one sequence of events."""

from logbook.energy.record import AircraftHistory, BreakFacts, ChargeFacts, CheckFacts, FlightFacts

Session = tuple[ChargeFacts, ...]
"""The rows of one charging session."""
Event = FlightFacts | CheckFacts | BreakFacts | Session


def events_of(history: AircraftHistory) -> list[Event]:
    """All events of an aeroplane, oldest first; rows of one charging session together."""
    sessions: dict[tuple[str, int, float | None], list[ChargeFacts]] = {}
    for row in history.charges:
        sessions.setdefault((row.charger or "", row.started, row.shared_energy_kwh), []).append(row)
    timed: list[tuple[int, int, str, Event]] = [
        (flight.off_blocks, 1, flight.flight_id, flight) for flight in history.flights
    ]
    timed += [(rows[0].started, 2, rows[0].charge_id, tuple(rows)) for rows in sessions.values()]
    timed += [(check.at, 0, check.serial_no, check) for check in history.checks]
    timed += [(event.at, 0, event.serial_no, event) for event in history.breaks]
    timed.sort(key=lambda item: item[:3])
    return [event for *_, event in timed]
