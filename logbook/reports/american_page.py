"""The American record: every field of 14 CFR 61.51(b), in its three groups."""

from __future__ import annotations

from typing import Final

from logbook.reports.pilot_pages import PageColumn, count_column, hand_column, time_column

TITLE: Final = "Pilot logbook (fields of 14 CFR 61.51(b))"

COLUMNS: Final = (
    PageColumn("general", "date", lambda entry: entry.date),
    PageColumn("general", "type", lambda entry: entry.aircraft_type),
    PageColumn("general", "identification", lambda entry: entry.aircraft),
    PageColumn("general", "from", lambda entry: entry.place_from),
    PageColumn("general", "to", lambda entry: entry.place_to),
    time_column("general", "total time", "minutes"),
    hand_column("general", "safety pilot"),
    time_column("experience", "solo", "solo_min"),
    time_column("experience", "PIC", "pic_min"),
    time_column("experience", "SIC", "copilot_min"),
    time_column("experience", "received", "dual_min"),
    hand_column("experience", "ground"),
    time_column("experience", "given", "instructor_min"),
    time_column("experience", "in device", "device_min"),
    time_column("conditions", "day", "day_min"),
    time_column("conditions", "night", "night_min"),
    hand_column("conditions", "actual instr."),
    hand_column("conditions", "simul. instr."),
    hand_column("conditions", "NVG"),
    count_column("landings", "day", "landings_day"),
    count_column("landings", "night", "landings_night"),
    PageColumn("remarks", "remarks and endorsements", lambda entry: entry.remarks),
)

NOTES: Final = (
    "Dates are local to the place of departure; times are hours and minutes of flight time (14 CFR 1.1).",
    "Safety pilot, ground training, instrument time and night-vision goggles: fill in by hand, this book has none.",
    "Night is civil twilight to civil twilight (14 CFR 1.1). Landings are evidence of recency (61.57), not asked for by 61.51(b).",
)
