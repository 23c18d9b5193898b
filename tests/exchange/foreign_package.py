"""A package as another program writes it: a few files, contract columns only, in an order of its own."""

import csv
from pathlib import Path
from typing import Any

Row = dict[str, Any]

AIRCRAFT: list[Row] = [
    {"type": "trainer", "registration": "X-ABC", "positions": "F;R", "reserve_soc_pct": 30}
]
PACKS: list[Row] = [
    {"serial_no": "S1", "nominal_kwh": 11.5, "soh_zero_fraction": 0.7},
    {"serial_no": "S2", "nominal_kwh": 11.5, "soh_zero_fraction": 0.7},
]
INSTALLATIONS: list[Row] = [
    {"serial_no": s, "aircraft": "X-ABC", "position": p, "fitted": "2030-01-01T00:00Z"}
    for s, p in (("S1", "F"), ("S2", "R"))
]
PEOPLE: list[Row] = [{"person": "Ann"}]


def flight(number: int, **others: Any) -> Row:
    """A flight of an hour on a day of its own."""
    day = f"2031-{1 + number // 28:02d}-{1 + number % 28:02d}"
    return {
        "on_blocks": f"{day}T09:30:00Z",
        "off_blocks": f"{day}T08:30Z",
        "flight_id": f"F{number}",
        "aircraft": "X-ABC",
        "pilot": "Ann",
    } | others


def reading(number: int, serial: str, **others: Any) -> Row:
    """Its reading of one pack."""
    return {
        "serial_no": serial,
        "flight_id": f"F{number}",
        "soc_departure_pct": 97,
        "soc_landing_pct": 40.0,
    } | others


def write(folder: Path, **files: list[Row]) -> Path:
    """Writes the files that are given, and the base of the others."""
    base = {"aircraft": AIRCRAFT, "packs": PACKS, "installations": INSTALLATIONS, "people": PEOPLE}
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in (base | files).items():
        if not rows:
            continue
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(
                file, list(dict.fromkeys(key for row in rows for key in row)), lineterminator="\n"
            )
            writer.writeheader()
            writer.writerows(rows)
    return folder
