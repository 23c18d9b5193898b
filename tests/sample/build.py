"""Builds the sample book: `python -m tests.sample.build` writes `sample_db/sample.logbook`.

Two electric aeroplanes of an invented type fly through two years of the simulated world, a tug without packs beside
them; then the trouble a real book holds is put in: readings nobody took, a missing charge, a hot pack, wrong entries.
Everything enters through the same door as a person's entries, with a fixed clock, so that the file can be rebuilt.
"""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path
from typing import Any

import numpy as np

from logbook.rules.night import Spot, sun_day
from logbook.services.add import add
from logbook.services.correct import correct
from logbook.services.freshness import freshen
from logbook.store.database import Book
from tests.sample import club
from tests.world.package import package_rows
from tests.world.season import World, make_world

Row = dict[str, Any]
SHIFT_MIN = (
    366 * 1440 + 90
)  # the simulated club begins on the first of January 2024; this one a year later, by daylight
_STAMP = re.compile(r"'\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ'")
HERE = Path(__file__).resolve().parents[2] / "sample_db"


def build(path: Path) -> None:
    """Writes the sample book to a new file."""
    path.parent.mkdir(exist_ok=True)
    with Book.open(path, create=True) as book:
        for kind, rows in everything():
            add(book, kind, rows, by=club.BY, clock=lambda: club.ENTERED)
        _corrections(book)
        freshen(book)


def everything() -> list[tuple[str, list[Row]]]:
    """Every record of the sample, kind by kind."""
    rng = np.random.default_rng(20_260)
    fleet = [
        _aeroplane(make_world(3, 236, days=690), "ZZ-AMP", "A", rng),
        _aeroplane(make_world(12, 124, days=690, replace=False), "ZZ-OHM", "B", rng),
    ]
    books = [package_rows(world) for world in fleet]
    flights = [flight for rows in books for flight in _flights(rows, rng)] + _tows(rng)
    return [
        ("place", club.PLACES),
        ("person", [{"person": name, "role_text": role} for name, role in club.ROLES.items()]),
        ("pack-type", [_pack_type(rows, n) for n, rows in enumerate(books)]),
        ("aircraft", [_aircraft(rows) for rows in books] + [club.TUG]),
        ("pack", [row for rows in books for row in rows["packs"]]),
        ("installation", [row for rows in books for row in rows["installations"]]),
        ("person-item", club.ITEMS),
        ("charge", [row for rows in books for row in _charges(rows)]),
        ("flight", sorted(flights, key=lambda flight: flight["off_blocks"])),
        ("observation", _observations(books, rng)),
        ("defect", club.DEFECTS),
        ("maintenance", [*club.MAINTENANCE, *_inspections(flights)]),
        ("component", club.COMPONENTS),
    ]


def _aeroplane(world: World, registration: str, letter: str, rng: np.random.Generator) -> World:
    """The world under the club's names, a year later, with ids that tell the aeroplane."""
    names = {
        row["serial_no"]: f"{letter}{n}-{rng.integers(100, 999)}" for n, row in enumerate(world.packs, 1)
    }
    places = {"F": "front", "R": "rear", "HOME": "Skarholm", "AWAY": "Vesterby Sand"}
    world.aircraft |= {"registration": registration, "positions": ["front", "rear"], "base": "Skarholm"}
    for row in [*world.packs, *world.installations, *world.readings, *world.charges]:
        row["serial_no"] = names[row["serial_no"]]
    for row in [*world.installations, *world.flights, *world.charges]:
        for name in (
            "fitted",
            "removed",
            "off_blocks",
            "takeoff",
            "landing",
            "on_blocks",
            "started",
            "ended",
        ):
            if row.get(name) is not None:
                row[name] += SHIFT_MIN
        for name in ("position", "place_from", "place_to", "place"):
            if name in row:
                row[name] = places[row[name]]
        if "aircraft" in row:
            row["aircraft"] = registration
    for row in [*world.flights, *world.readings]:
        row["flight_id"] = f"{letter}{row['flight_id'][1:]}"
    for row in world.charges:
        row["charge_id"] = f"{letter}{row['charge_id']}"
    return world


def _pack_type(rows: dict[str, list[Row]], number: int) -> Row:
    part_no = f"SKB-{number + 1}"
    for pack in rows["packs"]:
        pack["part_no"] = part_no
        pack.pop("nominal_kwh", None)
    limits = {"limit_hours": 1200, "limit_cycles": 900, "cycle_definition": "discharge", "limit_soh_pct": 0}
    more = {"takeoff_min_temp_c": 0, "takeoff_max_temp_c": 45, "storage_soc_pct": 65}
    return {**rows["pack_types"][0], "part_no": part_no, **limits, **more, **club.CELL_LIMITS}


def _aircraft(rows: dict[str, list[Row]]) -> Row:
    row = rows["aircraft"][0]
    power = row["cruise_power_kw"]
    holding = round(0.6 * power, 1)  # the club counts its minutes away from the field at holding power
    powers = {
        "final_reserve_kw_local": power,
        "final_reserve_kw_day": holding,
        "final_reserve_kw_night": holding,
    }
    names = {"type": "Skarv E2 (electric, two seats)", "class": "single-engine land"}
    return {**row, **club.RESERVES, **powers, **names, "positions": row["positions"].split(";")}


def _flights(rows: dict[str, list[Row]], rng: np.random.Generator) -> list[Row]:
    readings: dict[str, list[Row]] = {}
    for reading in rows["readings"]:
        readings.setdefault(reading.pop("flight_id"), []).append(reading)
    teachers = ("Otto Velmar", "Ines Korda")
    solo_trips: dict[str, int] = {}
    meter = 318.4
    flights = []
    for flight in rows["flights"]:
        mine = readings[flight["flight_id"]]
        hours = round(_minutes(flight) / 60, 1)
        flight |= {"readings": mine, "meter_start": round(meter, 1), "meter_end": round(meter + hours, 1)}
        meter += hours
        if club.ROLES[flight["pilot"]].startswith("student"):
            dual = flight["aboard"] == 2
            flight |= {"function": "dual" if dual else "solo", "aboard": flight["aboard"]}
            if dual:
                flight |= {"second_person": teachers[int(rng.integers(2))], "second_function": "instructor"}
            number = solo_trips[flight["pilot"]] = solo_trips.get(flight["pilot"], 0) + 1
            flight.update(club.FIRST_LESSON if number == 1 else {})
            flight["pilot_estimate_soc_pct"] = _judgement(flight["pilot"], mine, number, rng)
        _temperatures(mine, rng)
        _by_night(flight)
        flight.update(club.CONDITIONS.get(flight["flight_id"], {}))
        flights.append(flight)
    _nobody_read(flights, rng)
    return flights


def _by_night(flight: Row) -> None:
    """Landings after the end of civil twilight are landings by night."""
    spot = Spot(club.PLACES[0]["latitude_deg"], club.PLACES[0]["longitude_deg"])
    dusk = sun_day(spot, flight["date"]).dusk
    if dusk is not None and flight["landing"] > dusk:
        count = flight["landings_day"]
        flight |= {"landings_day": 0, "landings_night": count, "landings_night_full_stop": 1}


def _minutes(flight: Row) -> int:
    start, end = (flight[name] for name in ("off_blocks", "on_blocks"))
    hours = (int(end[11:13]) - int(start[11:13])) % 24
    return hours * 60 + int(end[14:16]) - int(start[14:16])


def _inspections(flights: list[Row]) -> list[Row]:
    """An entry for each pack that reached its temperature limit, late on the evening of that day: after its last flight."""
    limit = club.RESERVES["temp_limit_c"]
    return [
        club.HOT_PACKS | {"serial_no": reading["serial_no"], "completed": f"{flight['date']}T22:30Z"}
        for flight in flights
        for reading in flight.get("readings", ())
        if (reading.get("temp_max_c") or 0) >= limit
    ]


def _judgement(pilot: str, readings: list[Row], number: int, rng: np.random.Generator) -> int:
    """What the student expected to land with: Jun Parel learns to judge, the others stay as they are."""
    spread = 2.0 + 9.0 * float(np.exp(-number / 12)) if pilot == "Jun Parel" else 6.0
    truth = min(reading["soc_landing_pct"] for reading in readings)
    return int(np.clip(round(truth + spread * float(rng.normal(0.4, 1))), 0, 100))


def _temperatures(readings: list[Row], rng: np.random.Generator) -> None:
    for reading in readings:
        reading["temp_max_c"] = reading["temp_landing_c"] + int(rng.integers(0, 3))


def _nobody_read(flights: list[Row], rng: np.random.Generator) -> None:
    """Some landings after which nobody looked at the gauge, and one hot afternoon."""
    for index in (41, 88, 89):
        for reading in flights[index]["readings"]:
            reading |= {
                "soc_landing_pct": None,
                "temp_landing_c": None,
                "temp_max_c": None,
                "source": "not-read",
            }
        flights[index]["remarks"] = "Hurried out of the rain, nobody read the panel."
    hottest = max(flights, key=lambda flight: max(r["temp_max_c"] or 0 for r in flight["readings"]))
    hottest["readings"][0]["temp_max_c"] = 56
    hottest["remarks"] = "Pack light on in the third circuit, landed at once."
    for index in rng.integers(0, len(flights), 25).tolist():
        flights[index].setdefault("remarks", _REMARKS[index % len(_REMARKS)])


_REMARKS = (
    "Gusty on final.",
    "Steep turns, stalls, glide to the field.",
    "Crosswind from the left, three good ones.",
    "Sea fog to the north, stayed south of the lighthouse.",
    "First solo!",
)


def _charges(rows: dict[str, list[Row]]) -> list[Row]:
    """All but one charge: somebody forgot to write it down."""
    charges = rows["charges"]
    forgotten = charges[len(charges) // 2]["started"]
    return [charge for charge in charges if charge["started"] != forgotten]


def _tows(rng: np.random.Generator) -> list[Row]:
    """Flights of the tug: no packs, one afternoon each."""
    flights = []
    for number in range(40):
        day = f"{2025 + number // 20}-{4 + number % 20 // 4:02d}-{3 + 7 * (number % 4):02d}"
        minute = int(rng.integers(0, 30))
        flights.append(
            {
                "flight_id": f"T{number + 1:05d}",
                "aircraft": "ZZ-TOW",
                "off_blocks": f"{day}T13:{minute:02d}Z",
                "takeoff": f"{day}T13:{minute + 4:02d}Z",
                "landing": f"{day}T13:{minute + 15:02d}Z",
                "on_blocks": f"{day}T13:{minute + 19:02d}Z",
                "place_from": "Skarholm",
                "place_to": "Skarholm",
                "pilot": "Nils Orban",
                "function": "pic",
                "kind": "local",
                "landings_day": 1,
                "aboard": 1,
                "exercise": "glider tow",
            }
        )
    return flights


def _observations(books: list[dict[str, list[Row]]], rng: np.random.Generator) -> list[Row]:
    """Cell voltages read at each quarter's look at the packs."""
    found = []
    for rows in books:
        for pack in rows["packs"]:
            for quarter in ("2025-03-20", "2025-09-18", "2026-03-19", "2026-09-17"):
                low = round(3.94 + float(rng.normal(0, 0.01)), 3)
                apart = 0.008 + 0.004 * int(quarter[3]) + float(rng.uniform(0, 0.004))
                apart += club.DRIFT_MV.get(pack["serial_no"], {}).get(quarter, 0) / 1000
                found.append(
                    {
                        "serial_no": pack["serial_no"],
                        "at": f"{quarter}T09:00Z",
                        "cell_min_v": low,
                        "cell_max_v": round(low + apart, 3),
                        "insulation_mohm": round(float(rng.uniform(70, 90)), 1),
                        "text": "quarterly look",
                    }
                )
    return found


def _corrections(book: Book) -> None:
    """One entry that was corrected, so that an earlier state can be looked at."""
    correct(
        book,
        "flight",
        "T00003",
        {"landings_day": "2"},
        by="Nils Orban",
        why="bounced, and counted it as two in the end",
    )


def dump(path: Path) -> list[str]:
    """The content of a book as SQL text, without what differs from one making to the next: when corrections were made."""
    connection = sqlite3.connect(path)
    try:
        lines = [line for line in connection.iterdump() if "_sqlite_migrations" not in line]
        return [
            _STAMP.sub("(then)", line) if line.startswith('INSERT INTO "version"') else line for line in lines
        ]
    finally:
        connection.close()


if __name__ == "__main__":
    target = HERE / "sample.logbook"
    target.unlink(missing_ok=True)
    build(target)
    print(f"{target}: {target.stat().st_size // 1024} KiB")  # noqa: T201 - a script that says what it made
