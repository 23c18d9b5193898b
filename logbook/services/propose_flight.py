"""A recorded track as a proposal for a flight: the fields of the form it can fill, for a person to confirm."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from logbook.exchange.track import read_track
from logbook.exchange.track_flight import TrackFlight, flight_of


def propose_flight(path: Path) -> tuple[dict[str, Any], TrackFlight]:
    """What a GPX file says of a flight.

    Nothing is recorded: aeroplane, people and charges are not on a track, and what a receiver shows is not what somebody read.

    Args:
        path: the file.

    Returns: the columns of a flight that can be proposed, and everything that was found.

    Raises:
        FileTrouble: it cannot be read.
        DataRefused: it is no track, or holds no flight.
    """
    found = flight_of(read_track(path))
    circuits_only = found.circuits == found.landings
    columns: dict[str, Any] = {
        "off_blocks": found.off_blocks,
        "takeoff": found.takeoff,
        "landing": found.landing,
        "on_blocks": found.on_blocks,
        "circuits": found.circuits,
        "climb_ft": found.climb_ft,
        "highest_ft": found.highest_ft,
        "level_min": found.level_min,
    }
    if circuits_only:
        columns["kind"] = "circuits"
    return columns, found
