"""What a pilot's record lacks: entries that are incomplete, boxes that stay blank, and how the page says so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final, Protocol

from logbook.reports.pilot_pages import OPTIONAL, Entry
from logbook.rules.person_totals import brought_forward
from logbook.services.people import Aboard

Row = dict[str, Any]

NO_LESSON: Final = frozenset({"ifr_min", "instrument_min", "safety_pilot"})
"""Boxes that mean nothing for a lesson in a device."""


class Form(Protocol):
    """A form of the pages, as far as its words go."""

    @property
    def NOTES(self) -> tuple[str, ...]:  # noqa: N802 - a constant of a module
        """Sentences that always belong on the paper."""

    @property
    def OPTIONAL(self) -> tuple[str, ...]:  # noqa: N802 - a constant of a module
        """Its boxes that stay blank where nothing was written down."""


def lacking(one: Aboard, form: str, commander: str, engines: str) -> tuple[str, ...]:
    """What the form wants and the record does not hold, of one flight or lesson."""
    flight, had = one.flight, one.experience
    wanted: list[tuple[str, Any]] = [("function", one.part.function)]
    if had.device_min:
        wanted.append(("place of the lesson", flight["place_from"]))
        device = "type and qualification of the device"
        wanted.append((device, flight["device_text"] or (form == "american" and had.aircraft_type)))
    else:
        wanted.append(("type of aircraft", had.aircraft_type))
        wanted.append(("place of departure", flight["place_from"]))
    if had.minutes:
        wanted.append(("place of arrival", flight["place_to"]))
        night = None if had.night_min is None else "known"
        wanted.append(("day or night (coordinates of the places, or minutes written down)", night))
    if form == "american" and had.minutes and had.simulated_min and len(one.everybody) == 1:
        wanted.append(("safety pilot", flight["safety_pilot"]))
    if form == "european" and had.minutes:
        landings = flight["landings_day"] is not None or flight["landings_night"] is not None
        wanted += [
            ("time of departure", flight["off_blocks"]),
            ("time of arrival", flight["on_blocks"]),
            ("name of the pilot in command", commander),
            ("single- or multi-engine (class of the aircraft)", engines),
            ("landings", landings or one.part.landings_day or one.part.landings_night),
        ]
    return tuple(words for words, value in wanted if value in (None, "", False, 0))


def missing_of(person: Row, entries: Iterable[Entry], form: str) -> tuple[tuple[str, str, str], ...]:
    """Everything incomplete as (date, flight id, what), the person's own first."""
    own = [("licence number", person["licence_no"])]
    if form == "european":
        own.append(("address", person["address"]))
    absent = [words for words, value in own if not value]
    found = [("", "", f"of the pilot: {', '.join(absent)}")] if absent else []
    found += [(e.date, e.flight_ids[0], ", ".join(e.missing)) for e in entries if e.missing]
    return tuple(found)


def notes_of(person: Row, form: Form, shown: Sequence[Entry], *, has_earlier: bool) -> tuple[str, ...]:
    """The sentences that belong on the paper: what columns mean, where figures come from, what is blank."""
    notes = list(form.NOTES)
    if brought_forward(person):
        notes.append(
            "Previous pages hold what was brought forward from before this book, as far as it was written down."
        )
    if has_earlier:
        notes.append("Previous pages hold the earlier flights of this book.")
    flights = [entry for entry in shown if entry.sums.minutes]
    recorded = sum(entry.night_recorded for entry in flights)
    if recorded:
        rest = "" if recorded == len(flights) else "; of the others it follows from where the Sun stood"
        notes.append(f"The night of {recorded} of {len(flights)} flights is as it was written down{rest}.")
    if any(not entry.night_known for entry in flights):
        notes.append("Where a place has no coordinates the night is left blank: fill it in by hand.")
    notes += _blank(form, shown)
    return tuple(notes)


def _blank(form: Form, shown: Sequence[Entry]) -> Iterator[str]:
    """Which boxes are blank because nobody wrote anything down: blank is not zero."""
    never, partly = [], []
    for name in form.OPTIONAL:
        asked = [entry for entry in shown if not (entry.device and name in NO_LESSON)]
        written = sum(name in entry.written for entry in asked)
        if not written:
            never.append(OPTIONAL[name])
        elif written < len(asked):
            partly.append(f"{OPTIONAL[name]} of {written} of {len(asked)}")
    if never:
        yield f"Not written down in any entry, and blank: {', '.join(never)}. Fill in by hand where it applies."
    if partly:
        yield f"Written down in some entries only, and blank in the others: {', '.join(partly)}."
