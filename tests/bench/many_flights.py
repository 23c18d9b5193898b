"""A package of any number of flights, as an outside program would hand it over: columns of the contract only."""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

Row = dict[str, Any]
START = datetime(2024, 1, 1, 6, tzinfo=UTC)
AIRCRAFT = 20
PER_DAY = 6


def write_package(folder: Path, flights: int, seed: int = 1) -> None:
    """Writes aircraft, packs, installations, people, flights, readings and charges of a made-up school."""
    folder.mkdir(parents=True)
    fleet = [f"X-B{n:02d}" for n in range(AIRCRAFT)]
    people = [f"Pilot {n:03d}" for n in range(200)]
    _write(folder / "aircraft.csv", (_aircraft(name) for name in fleet))
    _write(folder / "packs.csv", (_pack(f"{name}-{side}") for name in fleet for side in "FR"))
    _write(folder / "installations.csv", (_fitting(name, side) for name in fleet for side in "FR"))
    _write(
        folder / "people.csv", ({"person": name, "licence_no": f"L{n:05d}"} for n, name in enumerate(people))
    )
    rng = random.Random(seed)  # noqa: S311 - test data
    rows = list(_flights(rng, flights, fleet, people))
    _write(folder / "flights.csv", (row for row, _, _ in rows))
    _write(folder / "readings.csv", (reading for _, readings, _ in rows for reading in readings))
    _write(folder / "charges.csv", (charge for _, _, charges in rows for charge in charges))


def _write(path: Path, rows: Iterator[Row]) -> None:
    first = next(rows)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(first))
        writer.writeheader()
        writer.writerow(first)
        writer.writerows(rows)


def _aircraft(name: str) -> Row:
    return {
        "registration": name,
        "type": "trainer",
        "positions": "F;R",
        "reserve_soc_pct": 30,
        "minimum_departure_soc_pct": 50,
        "final_reserve_min_local": 10,
        "final_reserve_kw_local": 21,
        "temp_caution_c": 50,
        "temp_limit_c": 58,
    }


def _pack(serial: str) -> Row:
    return {
        "serial_no": serial,
        "part_no": "P1",
        "nominal_kwh": 11.5,
        "made_on": "2023-06-01",
        "soh_zero_fraction": 0.7,
        "soh_full_fraction": 0.95,
    }


def _fitting(name: str, side: str) -> Row:
    return {"serial_no": f"{name}-{side}", "aircraft": name, "position": side, "fitted": "2023-12-01T00:00Z"}


def _flights(
    rng: random.Random, count: int, fleet: list[str], people: list[str]
) -> Iterator[tuple[Row, list[Row], list[Row]]]:
    for number in range(count):
        name = fleet[number % AIRCRAFT]
        round_ = number // AIRCRAFT
        off = START + timedelta(days=round_ // PER_DAY, minutes=(round_ % PER_DAY) * 120 + rng.randrange(10))
        yield _flight(rng, f"B-{number:06d}", name, off, people)


def _at(moment: datetime) -> str:
    return f"{moment:%Y-%m-%dT%H:%MZ}"


def _flight(
    rng: random.Random, flight_id: str, name: str, off: datetime, people: list[str]
) -> tuple[Row, list[Row], list[Row]]:
    circuits, airborne = rng.randrange(3, 9), rng.randrange(20, 45)
    pilot = rng.choice(people)
    flight = {
        "flight_id": flight_id,
        "date": f"{off:%Y-%m-%d}",
        "aircraft": name,
        "outcome": "flown",
        "off_blocks": _at(off),
        "takeoff": _at(off + timedelta(minutes=6)),
        "landing": _at(off + timedelta(minutes=6 + airborne)),
        "on_blocks": _at(off + timedelta(minutes=10 + airborne)),
        "place_from": "HOME",
        "place_to": "HOME",
        "pilot": pilot,
        "function": "pic",
        "handled_by": pilot,
        "kind": "circuits",
        "landings_day": circuits,
        "landings_night": 0,
        "circuits": circuits,
        "climb_ft": 0,
        "level_min": rng.randrange(10),
        "aboard": 1,
        "mass_kg": rng.randrange(520, 600),
        "outside_temp_c": rng.randrange(-5, 30),
        "wind_dir": rng.randrange(0, 360, 10),
        "wind_kt": rng.randrange(20),
        "remarks": rng.choice(["", "", "gusty on final", "first solo, went well"]),
    }
    landed = 95 - airborne - rng.randrange(10)
    readings = [
        {
            "flight_id": flight_id,
            "serial_no": f"{name}-{side}",
            "soc_departure_pct": 97,
            "soc_landing_pct": landed - rng.randrange(3),
            "soh_pct": 95,
            "temp_departure_c": rng.randrange(10, 25),
            "temp_max_c": rng.randrange(30, 48),
            "temp_landing_c": rng.randrange(25, 45),
            "source": "read",
        }
        for side in "FR"
    ]
    charges = [
        {
            "charge_id": f"C-{flight_id}",
            "serial_no": reading["serial_no"],
            "started": _at(off + timedelta(minutes=60)),
            "ended": _at(off + timedelta(minutes=110)),
            "place": "HOME",
            "soc_start_pct": reading["soc_landing_pct"],
            "soc_end_pct": 97,
            "shared_energy_kwh": 12.5,
        }
        for reading in readings
    ]
    return flight, readings, charges
