"""The European column order: AMC1 FCL.050, layout of ED Decision 2022/014/R.

Columns 1 to 8, the three total rows and the remarks column were read at the source; that column 9 is the operational
condition time (night, IFR), 10 the function time and 11 the training device is from memory.
"""

from __future__ import annotations

from typing import Final

from logbook.reports.pilot_pages import (
    Entry,
    PageColumn,
    count_column,
    optional_column,
    time_column,
)

TITLE: Final = "Pilot logbook (columns of AMC1 FCL.050)"


def day(entry: Entry) -> str:
    """The date as dd/mm/yy."""
    return f"{entry.date[8:10]}/{entry.date[5:7]}/{entry.date[2:4]}"


def device_of(entry: Entry) -> str:
    """Type and qualification of the training device as written down, else the type under which the book keeps it."""
    return entry.device_text or entry.aircraft_type


def _flown(entry: Entry, text: str) -> str:
    return "" if entry.device else text


COLUMNS: Final = (
    PageColumn("1", "date", lambda entry: _flown(entry, day(entry))),
    PageColumn("2 departure", "place", lambda entry: _flown(entry, entry.place_from)),
    PageColumn("2 departure", "UTC", lambda entry: _flown(entry, entry.departed[11:16])),
    PageColumn("3 arrival", "place", lambda entry: _flown(entry, entry.place_to)),
    PageColumn("3 arrival", "UTC", lambda entry: _flown(entry, entry.arrived[11:16])),
    PageColumn("4 aircraft", "make, model, variant", lambda entry: _flown(entry, entry.aircraft_type)),
    PageColumn("4 aircraft", "registration", lambda entry: _flown(entry, entry.aircraft)),
    time_column("5 single", "SE", "single_min"),
    time_column("5 single", "ME", "multi_min"),
    time_column("5 multi", "pilot", "multi_pilot_min"),
    time_column("6", "total time", "minutes"),
    PageColumn("7", "name of PIC", lambda entry: _flown(entry, entry.commander)),
    count_column("8 landings", "day", "landings_day"),
    count_column("8 landings", "night", "landings_night"),
    time_column("9 condition", "night", "night_min"),
    optional_column("9 condition", "IFR", "ifr_min"),
    time_column("10 function", "PIC", "pic_min"),
    time_column("10 function", "co-pilot", "copilot_min"),
    time_column("10 function", "dual", "dual_min"),
    time_column("10 function", "instructor", "instructor_min"),
    PageColumn("11 device", "date", lambda entry: day(entry) if entry.device else ""),
    PageColumn("11 device", "type", lambda entry: device_of(entry) if entry.device else ""),
    time_column("11 device", "time", "device_min"),
    PageColumn("12", "remarks and endorsements", lambda entry: entry.remarks),
)

OPTIONAL: Final = ("ifr_min",)
"""The boxes of this form that stay blank where nothing was written down."""

NOTES: Final = (
    "Times of departure and arrival are UTC; dates are local to the place of departure.",
    "PIC time holds own, solo, under supervision (where countersigned) and all instructing.",
)
