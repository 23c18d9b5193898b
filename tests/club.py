"""An invented club: two electric two-seaters, four packs, three people. Builders of what they write down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from logbook.services.add import Added, add
from logbook.services.freshness import freshen
from logbook.store.database import Book

NOW = "2031-06-30T12:00Z"
WATT, VOLT = "X-WATT", "X-VOLT"
P1, P2, P3, P4 = "LARK-01", "LARK-02", "LARK-03", "LARK-04"
ADA, BEN, CLEO = "Ada Quill", "Ben Marsh", "Cleo Fenn"
FIELD, MOSS = "Larkfield", "Mosswick"

Row = dict[str, Any]


def aircraft(registration: str = WATT, **changes: Any) -> Row:
    """An aeroplane with two packs and figures of nobody's manual."""
    return {
        "registration": registration,
        "type": "invented two-seater",
        "positions": ["front", "rear"],
        "base": FIELD,
        "reserve_soc_pct": 25,
        "minimum_departure_soc_pct": 40,
        "final_reserve_min_local": 10,
        "final_reserve_kw_local": 24,
        "final_reserve_min_day": 30,
        "final_reserve_kw_day": 20,
        "final_reserve_min_night": 45,
        "final_reserve_kw_night": 20,
        "cruise_power_kw": 20,
        "cruise_tas_kt": 80,
        "climb_rate_fpm": 500,
        "handbook_ground_kwh": 0.3,
        "handbook_climb_kwh_per_1000ft": 2.0,
        "handbook_level_kwh_per_min": 0.33,
        "handbook_circuit_kwh": 1.1,
        "handbook_departure_kwh": 0.5,
    } | changes


PACK_TYPE: Row = {
    "part_no": "PK-12",
    "nominal_kwh": 12,
    "soh_zero_fraction": 0.7,
    "soh_full_fraction": 1.0,
    "takeoff_min_temp_c": 5,
    "takeoff_max_temp_c": 42,
    "temp_caution_c": 48,
    "temp_limit_c": 56,
}


def pack(serial_no: str, **changes: Any) -> Row:
    """A pack of the club's only type."""
    return {"serial_no": serial_no, "part_no": "PK-12"} | changes


def fitting(serial_no: str, position: str, registration: str = WATT, **changes: Any) -> Row:
    """A pack fitted since the spring."""
    return {
        "serial_no": serial_no,
        "aircraft": registration,
        "position": position,
        "fitted": "2031-04-01T08:00Z",
    } | changes


def reading(serial_no: str | None = P1, **changes: Any) -> Row:
    """What one pack showed: 90 % before start, 60 % after stop, healthy and cool."""
    return {
        "serial_no": serial_no,
        "soc_departure_pct": 90,
        "soc_landing_pct": 60,
        "soh_pct": 98,
        "temp_departure_c": 20,
        "temp_max_c": 35,
        "temp_landing_c": 33,
    } | changes


def flight(flight_id: str | None = "F1", **changes: Any) -> Row:
    """A local flight of forty minutes in which nothing went wrong."""
    whole = {
        "flight_id": flight_id,
        "date": "2031-05-09",
        "aircraft": WATT,
        "off_blocks": "2031-05-09T08:30Z",
        "takeoff": "2031-05-09T08:36Z",
        "landing": "2031-05-09T09:06Z",
        "on_blocks": "2031-05-09T09:10Z",
        "place_from": FIELD,
        "place_to": FIELD,
        "pilot": ADA,
        "function": "pic",
        "kind": "local",
        "landings_day": 1,
        "circuits": 0,
        "climb_ft": 2000,
        "level_min": 20,
        "readings": [reading(P1), reading(P2)],
    } | changes
    return {name: value for name, value in whole.items() if value is not None}


def flight_at(hour: int, flight_id: str, day: str = "2031-05-09", **changes: Any) -> Row:
    """A flight of the same shape that leaves the blocks at a full hour (UTC)."""
    return flight(
        flight_id,
        date=day,
        off_blocks=f"{day}T{hour:02d}:00Z",
        takeoff=f"{day}T{hour:02d}:06Z",
        landing=f"{day}T{hour:02d}:36Z",
        on_blocks=f"{day}T{hour:02d}:40Z",
        **changes,
    )


def charge(charge_id: str | None, serial_no: str, started: str, **changes: Any) -> Row:
    """A pack charged back to 90 % within the hour."""
    whole = {
        "charge_id": charge_id,
        "serial_no": serial_no,
        "started": started,
        "soc_start_pct": 60,
        "soc_end_pct": 90,
        "charger": "hangar",
    } | changes
    return {name: value for name, value in whole.items() if value is not None}


def put(book: Book, kind: str, data: object, by: str = ADA) -> list[Added]:
    """Adds as a person would, at a fixed time."""
    return add(book, kind, data, by=by, clock=lambda: NOW)


def settle(book: Book) -> Book:
    """Everything that must be there before the first flight."""
    put(book, "pack-type", PACK_TYPE)
    put(book, "aircraft", [aircraft(WATT), aircraft(VOLT)])
    put(book, "pack", [pack(P1), pack(P2), pack(P3), pack(P4)])
    put(book, "person", [{"person": ADA}, {"person": BEN}, {"person": CLEO}])
    put(book, "place", [{"place": FIELD}, {"place": MOSS}])
    put(
        book,
        "installation",
        [
            fitting(P1, "front"),
            fitting(P2, "rear"),
            fitting(P3, "front", VOLT),
            fitting(P4, "rear", VOLT),
        ],
    )
    return book


def club_book(path: Path) -> Book:
    """A new book with the club in it and no flight yet."""
    book = settle(Book.open(path, create=True))
    freshen(book)
    return book


def rules_of(added: list[Added]) -> set[str]:
    """The rules that spoke about what was added."""
    return {flag["rule"] for one in added for flag in one.flags}
