"""The rule on recordings: what was written down and what the aeroplane recorded differ by more than either can be off."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from logbook.rules.case import FlightCase
from logbook.rules.flag import CHECK, Flag
from logbook.rules.thresholds import Thresholds
from logbook.units import between, plain_number


class Beside(NamedTuple):
    """One value of the record beside the recorded one.

    Attributes:
        serial_no: the pack; empty for the whole flight.
        name: the column.
        words: the column in words.
        unit: of the difference.
        typed: what the record says, None where it says nothing.
        recorded: what the recording says.
        difference: recorded less typed [unit]; None where the record says nothing.
        recording_id: which recording it was.
    """

    serial_no: str
    name: str
    words: str
    unit: str
    typed: Any
    recorded: Any
    difference: float | None
    recording_id: str


TIMES: Final = (
    ("off_blocks", "off blocks"),
    ("takeoff", "take-off"),
    ("landing", "landing"),
    ("on_blocks", "on blocks"),
)
READINGS: Final = (
    ("soc_departure_pct", "charge before start", "points"),
    ("soc_takeoff_pct", "charge at take-off", "points"),
    ("soc_touchdown_pct", "charge at touchdown", "points"),
    ("soc_landing_pct", "charge after stop", "points"),
    ("temp_departure_c", "temperature before start", "°C"),
    ("temp_max_c", "highest temperature", "°C"),
    ("temp_landing_c", "temperature after stop", "°C"),
)


def beside(case: FlightCase) -> list[Beside]:
    """What the recordings of a flight say, each value beside that of the record."""
    readings = {pack.serial_no: pack.reading for pack in case.packs}
    found: dict[tuple[str, str], Beside] = {}
    for recording in case.recordings:
        for name, words in TIMES:
            at = recording.times.get(name)
            if at is not None:
                typed = case.flight.get(name)
                row = Beside("", name, words, "min", typed, at, between(typed, at), recording.recording_id)
                found.setdefault(("", name), row)
        for serial, values in recording.packs:
            reading = readings.get(serial, {})
            for name, words, unit in READINGS:
                told = values.get(name)
                if told is None:
                    continue
                typed = reading.get(name)
                apart = None if typed is None else round(told - typed, 2)
                row = Beside(serial, name, words, unit, typed, told, apart, recording.recording_id)
                found.setdefault((serial, name), row)
    return list(found.values())


def recording_differs(case: FlightCase, bands: Thresholds) -> Iterator[Flag]:
    """A value of the record and the recorded one differ by more than the band."""
    most = {"points": bands.recorded_soc_pct, "°C": bands.recorded_temp_c, "min": bands.recorded_time_min}
    apart: dict[str, list[Beside]] = {}
    for row in beside(case):
        if row.difference is not None and abs(row.difference) > most[row.unit]:
            apart.setdefault(row.serial_no, []).append(row)
    for serial, rows in apart.items():
        told = "; ".join(_words(row) for row in rows)
        yield Flag(
            "recording_differs",
            CHECK,
            f"{f'Pack {serial}: ' if serial else ''}{told}.",
            {row.name: {"typed": row.typed, "recorded": row.recorded} for row in rows},
            serial,
        )


def _words(row: Beside) -> str:
    if row.unit == "min":
        return f"{row.words} written down as {row.typed[11:16]}, recorded {row.recorded[11:16]} UTC"
    unit = "%" if row.unit == "points" else row.unit
    return f"{row.words} written down as {plain_number(row.typed)} {unit}, recorded {plain_number(row.recorded)} {unit}"
