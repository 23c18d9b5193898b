"""A recorded track as proposals for flights: the fields of the form each can fill, for a person to take or leave.

Aeroplane, people and charges are not on a track, and what a receiver shows is not what somebody read off a clock: nothing
is recorded by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from logbook.exchange.track import Point, distance_nm, read_track
from logbook.exchange.track_flight import TrackFlight, flights_of
from logbook.rules.night import SUNSET_DEG, Spot, sun_height_deg
from logbook.services.proposal import TRACK, Proposal, ProposedField, digest_of
from logbook.services.typed_time import clock_text
from logbook.store.book_facts import BookFacts
from logbook.units import minutes_of

NEAR_NM: Final = 2.0
"""A place is known by its coordinates within this distance [NM]."""


def propose_track(facts: BookFacts | None, path: Path, offset_s: int = 0) -> list[Proposal]:
    """A proposal for each flight on a GPX track, in order.

    Args:
        facts: of the book whose places are known; None: none are.
        path: the file.
        offset_s: added to its clock [s], where the receiver's was wrong.

    Raises:
        FileTrouble: it cannot be read.
        DataRefused: it is no track, or holds no flight.
    """
    digest = digest_of(path)
    points = [point._replace(at=point.at + offset_s) for point in read_track(path)]
    places = facts.placed() if facts is not None else []
    found = []
    for flight in flights_of(points):
        fields = [*_times(flight), *_places(flight, places), *_counts(flight)]
        notes = (*flight.notes, *_sun_notes(flight))
        found.append(
            Proposal(
                kind=TRACK,
                file=path.name,
                digest=digest,
                offset_s=offset_s,
                began=flight.began,
                ended=flight.ended,
                about=_about(flight),
                fields=tuple(fields),
                distance_nm=flight.distance_nm,
                notes=notes,
            )
        )
    return found


def _about(flight: TrackFlight) -> str:
    """The flight in one line."""
    since, until = clock_text(flight.began, "UTC"), clock_text(flight.ended, "UTC")
    parts = [f"{flight.began[:10]} {since} to {until} UTC", f"{flight.distance_nm:g} NM"]
    if flight.landings is not None:
        parts.append(f"{flight.landings} landing{'s' * (flight.landings != 1)}")
    if flight.circuits:
        parts.append(f"{flight.circuits} circuit{'s' * (flight.circuits != 1)}")
    return ", ".join(parts)


def _times(flight: TrackFlight) -> Iterator[ProposedField]:
    for name, words, value, origin in (
        ("off_blocks", "Off blocks", flight.off_blocks, "track: first movement"),
        ("takeoff", "Take-off", flight.takeoff, "track: faster than 30 kt"),
        ("landing", "Landing", flight.landing, "track: slower than 30 kt for good"),
        ("on_blocks", "On blocks", flight.on_blocks, "track: last movement"),
    ):
        if value is not None:
            yield ProposedField(name, words, value, origin, TRACK)


def _places(flight: TrackFlight, places: list[tuple[str, float, float]]) -> Iterator[ProposedField]:
    for name, words, point in (
        ("place_from", "From", flight.departed),
        ("place_to", "To", flight.arrived),
    ):
        near = nearest(point, places) if point is not None else None
        if near is not None:
            yield ProposedField(name, words, near[0], f"track: {near[1]:.1f} NM from the place in Setup")


def nearest(point: Point, places: list[tuple[str, float, float]]) -> tuple[str, float] | None:
    """The nearest place that is known, and how far it is [NM]; None where none is within 2 NM."""
    near = [
        (distance_nm(point, Point(0, latitude, longitude, None)), name)
        for name, latitude, longitude in places
    ]
    distance, name = min(near, default=(NEAR_NM + 1, ""))
    return (name, distance) if distance <= NEAR_NM else None


def _counts(flight: TrackFlight) -> Iterator[ProposedField]:
    if flight.circuits and flight.circuits == flight.landings:
        yield ProposedField("kind", "Kind", "circuits", "track: nothing but circuits")
    by_day = None if _sun_notes(flight) else flight.landings
    for name, words, value, origin in (
        ("circuits", "Circuits", flight.circuits, "track: up and down again within 3 NM and 15 min"),
        ("landings_day", "Landings", by_day, "track: the Sun was up"),
        ("climb_ft", "Climbed, ft", flight.climb_ft, "track: rises of more than 50 ft outside circuits"),
        ("level_min", "Level, min", flight.level_min, "track: less than 200 ft/min outside circuits"),
        ("highest_ft", "Highest, ft", flight.highest_ft, "track: above sea level, as the receiver has it"),
    ):
        if value is not None:
            yield ProposedField(name, words, str(value), origin)


def _sun_notes(flight: TrackFlight) -> tuple[str, ...]:
    """What is said where some of it was after sunset: which landings were by night depends on the rule."""
    for point, moment in ((flight.departed, flight.takeoff), (flight.arrived, flight.landing)):
        if point is None or moment is None:
            continue
        spot = Spot(point.latitude_deg, point.longitude_deg)
        if sun_height_deg(spot, minutes_of(moment)) <= SUNSET_DEG:
            count = "" if flight.landings is None else f" ({flight.landings} on the track)"
            return (
                f"Part of it was between sunset and sunrise: landings by day and by night{count} are yours to say.",
            )
    return ()
