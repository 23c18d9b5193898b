"""People: who flies, teaches and maintains, and what they hold until when."""

from __future__ import annotations

from typing import ClassVar

from logbook.domain.fields import Date, Minutes, Name, Number, Percent, Text
from logbook.domain.record import Keyed, Record


class Person(Keyed):
    """A person as the book calls them.

    Attributes:
        person: the name used everywhere in the book.
        role_text: what they do here, in words.
        public_key: the key their countersignatures are checked with, if they sign.
        brought_forward_total_min: flight time before this book began [min]; likewise by function.
    """

    kind: ClassVar[str] = "person"

    person: Name
    licence_no: Name | None = None
    role_text: Text | None = None
    address: Text | None = None
    public_key: Text | None = None
    brought_forward_total_min: Minutes | None = None
    brought_forward_pic_min: Minutes | None = None
    brought_forward_dual_min: Minutes | None = None
    brought_forward_instructor_min: Minutes | None = None
    brought_forward_night_min: Minutes | None = None
    brought_forward_landings_day: Number | None = None
    brought_forward_landings_night: Number | None = None


class PersonItem(Record):
    """Something a person holds for a time: a medical, rating, review, club check or solo authorisation.

    Attributes:
        item: what it is, e.g. `medical`, `solo authorisation`.
        valid_until: the last day on which it may be used.
        aircraft: the aeroplane it is limited to; likewise the place and the limits that follow.
    """

    kind: ClassVar[str] = "person-item"

    item_id: Name | None = None
    person: Name
    item: Name
    valid_from: Date | None = None
    valid_until: Date | None = None
    issued_by: Name | None = None
    aircraft: Name | None = None
    place: Name | None = None
    limit_wind_kt: Number | None = None
    limit_departure_soc_pct: Percent | None = None
    limit_landing_soc_pct: Percent | None = None
    limit_minutes: Minutes | None = None
    text: Text | None = None
