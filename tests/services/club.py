"""An invented club with one aeroplane of two packs, a glider tug without packs, and a few people: for tests of entering."""

from pathlib import Path

from logbook.services.add import add
from logbook.store.database import Book

NOW = "2031-05-09T08:30Z"
AIRCRAFT = {
    "registration": "AB-1",
    "type": "Two-seater",
    "positions": ["front", "rear"],
    "base": "Lakeside",
    "reserve_soc_pct": 30,
    "minimum_departure_soc_pct": 50,
    "final_reserve_min_local": 10,
    "final_reserve_kw_local": 25,
    "final_reserve_min_day": 30,
    "final_reserve_kw_day": 25,
    "temp_caution_c": 50,
    "temp_limit_c": 58,
    "takeoff_min_temp_c": 0,
    "charge_min_temp_c": 0,
    "charge_max_temp_c": 40,
    "soh_zero_fraction": 0.5,
    "soh_full_fraction": 1.0,
    "cruise_power_kw": 25,
}
LAST_FLIGHT = {
    "flight_id": "last",
    "aircraft": "AB-1",
    "off_blocks": "2031-05-08T10:00Z",
    "takeoff": "2031-05-08T10:06Z",
    "landing": "2031-05-08T10:40Z",
    "on_blocks": "2031-05-08T10:45Z",
    "meter_start": 411.5,
    "meter_end": 412.3,
    "kind": "local",
    "place_from": "Lakeside",
    "place_to": "Lakeside",
    "pilot": "Ana Lind",
    "function": "pic",
    "aboard": 1,
    "mass_kg": 540,
    "landings_day": 1,
    "readings": [
        {
            "serial_no": "P-101",
            "soc_departure_pct": 98,
            "soc_landing_pct": 55,
            "soh_pct": 91,
            "temp_max_c": 38,
        },
        {
            "serial_no": "P-102",
            "soc_departure_pct": 97,
            "soc_landing_pct": 53,
            "soh_pct": 90,
            "temp_max_c": 39,
        },
    ],
}
CHARGE = [
    {
        "charge_id": "c1",
        "serial_no": serial,
        "started": "2031-05-08T12:00Z",
        "ended": "2031-05-08T14:00Z",
        "charger": "Wall",
        "place": "Lakeside",
        "soc_start_pct": start,
        "soc_end_pct": 97,
        "shared_energy_kwh": 9.4,
    }
    for serial, start in (("P-101", 55), ("P-102", 53))
]


def club_book(path: Path) -> Book:
    """The club's book: one flight and one charge of yesterday, and nobody out."""
    book = Book.open(path, create=True)
    add(
        book,
        "place",
        [{"place": "Lakeside", "zone": "Europe/Rome"}, {"place": "Moor", "zone": "Europe/Rome"}],
    )
    add(
        book,
        "aircraft",
        [
            AIRCRAFT,
            {"registration": "TUG-2", "type": "Tug", "base": "Moor"},
            {"registration": "ONE-3", "positions": ["all"]},
        ],
    )
    add(book, "person", [{"person": "Ana Lind"}, {"person": "Bert Moss"}, {"person": "Bea Rush"}])
    add(book, "pack", [{"serial_no": serial, "nominal_kwh": 11} for serial in ("P-101", "P-102", "P-103")])
    add(
        book,
        "installation",
        [
            {"serial_no": serial, "aircraft": "AB-1", "position": position, "fitted": "2020-01-01T00:00Z"}
            for serial, position in (("P-101", "front"), ("P-102", "rear"))
        ],
    )
    add(book, "flight", LAST_FLIGHT)
    add(book, "charge", CHARGE)
    return book
