"""The American record: every field of 14 CFR 61.51(b), in its three groups."""

from __future__ import annotations

from typing import Final

from logbook.reports.european_page import device_of
from logbook.reports.pilot_pages import PageColumn, count_column, hand_column, optional_column, time_column

TITLE: Final = "Pilot logbook (fields of 14 CFR 61.51(b))"

COLUMNS: Final = (
    PageColumn("general", "date", lambda entry: entry.date),
    PageColumn("general", "type", lambda entry: device_of(entry) if entry.device else entry.aircraft_type),
    PageColumn("general", "identification", lambda entry: entry.aircraft),
    PageColumn("general", "from", lambda entry: entry.place_from),
    PageColumn("general", "to", lambda entry: entry.place_to),
    time_column("general", "total time", "minutes"),
    PageColumn("general", "safety pilot", lambda entry: entry.safety_pilot),
    time_column("experience", "solo", "solo_min"),
    time_column("experience", "PIC", "pic_min"),
    time_column("experience", "SIC", "copilot_min"),
    time_column("experience", "received", "dual_min"),
    optional_column("experience", "ground", "ground_min"),
    time_column("experience", "given", "instructor_min"),
    time_column("experience", "in device", "device_min"),
    time_column("conditions", "day", "day_min"),
    time_column("conditions", "night", "night_min"),
    optional_column("conditions", "actual instr.", "instrument_min"),
    optional_column("conditions", "simul. instr.", "simulated_min"),
    hand_column("conditions", "NVG"),
    count_column("landings", "day", "landings_day"),
    count_column("landings", "night", "landings_night"),
    PageColumn("remarks", "remarks and endorsements", lambda entry: entry.remarks),
)

OPTIONAL: Final = ("instrument_min", "simulated_instrument_min", "ground_training_min", "safety_pilot")
"""The boxes of this form that stay blank where nothing was written down."""

NOTES: Final = (
    "Dates are local to the place of departure; times are hours and minutes of flight time (14 CFR 1.1).",
    "Lessons in a device have their time under 'in device', ground training under 'ground'; neither is part of the total time.",
    "Night-vision goggles are not recorded in this book: fill that column in by hand where it applies.",
    "Night is civil twilight to civil twilight (14 CFR 1.1). Landings are evidence of recency (61.57), not asked for by 61.51(b).",
)
