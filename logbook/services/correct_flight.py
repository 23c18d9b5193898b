"""The form to correct a flight: every field with what the record says now, times on the clock of the book."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from logbook.services import typed, typed_time
from logbook.services.flight_words import FLIGHT_FIELDS, READING_FIELDS
from logbook.services.form_readers import reader_for, types_of
from logbook.services.liked_units import measures_of, presented
from logbook.services.plain_form import FormField, PlainForm
from logbook.services.record_form import as_typed, names_of, reason_field
from logbook.services.typed import Meaning, Reader
from logbook.services.typed_time import Clock, zone_named
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book

_TIMES: Final = ("off_blocks", "takeoff", "landing", "on_blocks", "expected_back")
_PEOPLE: Final = ("pilot", "second_person", "handled_by", "safety_pilot")
_FULL: Final = re.compile(r"(\d{4}-\d{2}-\d{2})[ T]+(.+)")
_PARTS: Final = {
    "date": "Times", "place_from": "Places and people", "kind": "What was flown", "night_min": "Conditions and training",
    "exercise": "Words",
    "reserve_soc_pct": "Limits in force on that day",
}  # fmt: skip
_CREW: Final = (
    ("function", "function"), ("handled", "had the controls"), ("takeoffs_day", "take-offs, day"),
    ("takeoffs_night", "take-offs, night"), ("landings_day", "landings, day"), ("landings_night", "landings, night"),
    ("landings_night_full_stop", "of these full stop"),
)  # fmt: skip


def flight_correction(book: Book, shown: Mapping[str, Any], now: str, *, local: bool = False) -> PlainForm:
    """The form for a flight as `questions.show` gives it.

    Args:
        book: the open book.
        shown: the flight.
        now: the present moment (UTC, stored form).
        local: whether times are typed in the local time of the aerodrome instead of UTC.
    """
    home = BookFacts(book).zone_of(shown.get("place_from"))
    maker = _Maker(book, shown, now, home if local else "UTC", home)
    maker.flight()
    for reading in shown["readings"]:
        maker.reading(reading)
    for row in shown["crew"]:
        maker.crew(row)
    fields = (*presented(maker.fields, maker.measures), reason_field(shown, now))
    return PlainForm(
        f"Correct flight {shown['date']} {shown['aircraft']}", fields, maker.readers, changing=True
    )


class _Maker:
    """Collects fields and readers."""

    def __init__(self, book: Book, shown: Mapping[str, Any], now: str, zone: str, home: str) -> None:
        self.fields: list[FormField] = []
        self.readers: dict[str, Reader] = {}
        self._book, self._shown, self._now = book, shown, now
        self._zone, self._home = zone, home
        self.measures = measures_of(book)

    def flight(self) -> None:
        from logbook.domain.flight import Flight

        types, part = types_of(Flight), ""
        for name, label, unit in FLIGHT_FIELDS:
            part = _PARTS.get(name, part)
            value = self._shown.get(name)
            if name in _TIMES:
                clock = Clock(self._day_of(value), self._zone, self._home)
                self._add(
                    name, label, "UTC" if self._zone == "UTC" else "local", part, self._clock_text(value)
                )
                self.readers[name] = _time_reader(clock)
                continue
            self._add(name, label, unit, part, as_typed(value))
            self.readers[name] = self._reader(types[name], name, unit)
        for name in _PEOPLE:
            self.readers[name] = typed.known_name(tuple(names_of(self._book, "person")), "person")

    def reading(self, reading: Mapping[str, Any]) -> None:
        from logbook.domain.flight import Reading

        types, serial = types_of(Reading), reading["serial_no"] or ""
        where = reading.get("derived", {}).get("position")
        part = f"Readings of {serial or 'the whole aeroplane'}" + (f", {where}" if where else "")
        for name, label, unit in READING_FIELDS:
            self._add(f"{serial}.{name}", label, unit, part, as_typed(reading.get(name)))
            self.readers[f"{serial}.{name}"] = self._reader(types[name], name, unit)

    def crew(self, row: Mapping[str, Any]) -> None:
        from logbook.domain.flight import Crew

        types = types_of(Crew)
        for name, label in _CREW:
            column = f"{row['person']}.{name}"
            value = row.get(name)
            expected = ("yes" if value else "no") if name == "handled" else as_typed(value)
            self._add(column, label, "", f"Part of {row['person']}", expected)
            self.readers[column] = reader_for(types[name], self._now)

    def _reader(self, kind: Any, column: str, unit: str) -> Reader:
        return reader_for(kind, self._now, column=column, unit=unit, measures=self.measures)

    def _add(self, name: str, label: str, unit: str, part: str, expected: str) -> None:
        self.fields.append(FormField(name, label[:1].upper() + label[1:], unit, "", part, expected))

    def _day_of(self, instant: str | None) -> str:
        """The local day of a time that is there, else that of the flight: a landing after midnight stays there."""
        zone = zone_named(self._home)
        if instant is None or zone is None:
            return str(self._shown["date"])
        return f"{datetime.fromisoformat(instant).astimezone(zone):%Y-%m-%d}"

    def _clock_text(self, instant: str | None) -> str:
        zone = zone_named(self._zone)
        if instant is None or zone is None:
            return ""
        return f"{datetime.fromisoformat(instant).astimezone(zone):%H:%M}"


def _time_reader(clock: Clock) -> Reader:
    """A time of the day the old one was on; another day may be named before it."""

    def read(text: str) -> Meaning:
        full = _FULL.fullmatch(text.strip())
        if full is None:
            return typed_time.read_time(text, clock)
        day = typed_time.read_day(full[1], clock.day)
        return day if day.problem else typed_time.read_time(full[2], clock._replace(day=day.value))

    return read
