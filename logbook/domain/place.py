"""Aerodromes and other places, with what night and local time need."""

from __future__ import annotations

from typing import ClassVar

from logbook.domain.fields import Degrees, Name, Number, Text
from logbook.domain.record import Keyed


class Place(Keyed):
    """A place flights depart from or arrive at.

    Attributes:
        latitude_deg: north is positive [°].
        longitude_deg: east is positive [°].
        elevation_ft: above mean sea level [ft].
        zone: name of the time zone in the public zone database, e.g. `Europe/Rome`.
    """

    kind: ClassVar[str] = "place"

    place: Name
    latitude_deg: Degrees | None = None
    longitude_deg: Degrees | None = None
    elevation_ft: Number | None = None
    zone: Name | None = None
    text: Text | None = None
