"""Time in service and landings of a pack: they accrue to it only while it is fitted.

Source: 14 CFR 1.1 (time in service: from leaving the surface until touching it; read second-hand) and 14 CFR 43.10 (the life
status of a part goes with its serial number). An installation runs from a moment up to but not including another.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

AIR = "air time"
BLOCK = "block time"
METER = "meter time"
NONE = "no time"

_ORDER = {AIR: (AIR, BLOCK, METER), METER: (METER, AIR, BLOCK)}


class Installation(NamedTuple):
    """A pack in a position of an aeroplane, from a moment to a moment (half-open)."""

    serial_no: str
    aircraft: str
    fitted: int
    """[POSIX minutes]"""
    removed: int | None = None
    """[POSIX minutes]; ``None``: still fitted."""
    position: str = ""


class ServiceFlight(NamedTuple):
    """What one flight of one aeroplane counts for."""

    off_blocks: int
    """First movement [POSIX minutes]: decides which pack was fitted."""
    air_min: float | None = None
    block_min: float | None = None
    meter_min: float | None = None
    landings: int | None = None


class TimeInService(NamedTuple):
    """What a pack has accrued while it was fitted, without what was brought forward."""

    hours: float
    landings: int
    flights: int
    by_basis: Mapping[str, int]
    """Flights counted by air time, block time, meter time, or without any time."""
    words: str
    """How it was counted; names every fall-back."""


class ServiceSums(NamedTuple):
    """Flights counted so far, from which the count can go on as if it had never stopped."""

    minutes: float = 0.0
    landings: int = 0
    guessed_landings: int = 0
    by_basis: Mapping[str, int] = MappingProxyType({})


def time_in_service(
    serial_no: str,
    installations: Iterable[Installation],
    flights: Mapping[str, Sequence[ServiceFlight]],
    *,
    basis: str = AIR,
) -> TimeInService:
    """Hours and landings of one pack over all its installations.

    Args:
        serial_no: The pack.
        installations: Where it was fitted when; other packs' rows are passed over.
        flights: Flown flights of each aeroplane, by registration, sorted by off blocks.
        basis: "air time", or "meter time" where the operator counts by the hour meter. Where that is missing
            the flight counts by another of its times, and the words say so.
    """
    flown = flown_with(serial_no, installations, flights)
    return service_so_far(add_service(ServiceSums(), flown, basis), basis)


def add_service(sums: ServiceSums, flights: Iterable[ServiceFlight], basis: str) -> ServiceSums:
    """Goes on counting with flights after those counted, in order."""
    minutes, landings, guessed, _ = sums
    taken = Counter[str](sums.by_basis)
    for flight in flights:
        used, amount = counted(flight, basis)
        minutes += amount
        taken[used] += 1
        guessed += flight.landings is None
        landings += 1 if flight.landings is None else flight.landings
    return ServiceSums(minutes, landings, guessed, dict(taken))


def service_so_far(sums: ServiceSums, basis: str) -> TimeInService:
    """The time in service, if no flight followed."""
    taken = Counter[str](sums.by_basis)
    words = _words(taken, basis, sums.guessed_landings)
    return TimeInService(sums.minutes / 60, sums.landings, taken.total(), dict(taken), words)


def flown_with(
    serial_no: str, installations: Iterable[Installation], flights: Mapping[str, Sequence[ServiceFlight]]
) -> Iterator[ServiceFlight]:
    """The flights on which a pack was fitted; arguments as in `time_in_service`."""
    for fitting in installations:
        if fitting.serial_no != serial_no:
            continue
        flown = flights.get(fitting.aircraft, ())
        first = bisect_left(flown, fitting.fitted, key=_off_blocks)
        last = len(flown)
        if fitting.removed is not None:
            last = bisect_left(flown, fitting.removed, key=_off_blocks)
        yield from flown[first:last]


def _off_blocks(flight: ServiceFlight) -> int:
    return flight.off_blocks


def counted(flight: ServiceFlight, basis: str) -> tuple[str, float]:
    """By which of its times a flight counts, and that time [min]."""
    times = {AIR: flight.air_min, BLOCK: flight.block_min, METER: flight.meter_min}
    for name in _ORDER[basis]:
        amount = times[name]
        if amount is not None and amount >= 0:
            return name, amount
    return NONE, 0.0


def _words(taken: Counter[str], basis: str, guessed_landings: int) -> str:
    """How the hours were counted, fall-backs named."""
    parts = [f"by {basis}"]
    parts += [
        f"{taken[name]} of {taken.total()} flights by {name}" for name in _ORDER[basis][1:] if taken[name]
    ]
    if taken[NONE]:
        parts.append(f"{taken[NONE]} without any time: the hours are too low")
    if guessed_landings:
        parts.append(f"{guessed_landings} without a landing count, taken as one landing each")
    return "; ".join(parts)
