"""The invented club: its island, its people, its aeroplanes, and what else its books hold. No figure is a real one's."""

from __future__ import annotations

from typing import Any, Final

Row = dict[str, Any]

ENTERED: Final = "2026-11-16T08:00Z"
BY: Final = "Ines Korda"

PLACES: Final[list[Row]] = [
    {
        "place": "Skarholm",
        "latitude_deg": 55.91,
        "longitude_deg": 4.42,
        "elevation_ft": 40,
        "zone": "Europe/Copenhagen",
        "text": "Grass and 900 m asphalt; two charging points in the west hangar.",
    },
    {
        "place": "Vesterby Sand",
        "latitude_deg": 55.74,
        "longitude_deg": 4.93,
        "elevation_ft": 15,
        "zone": "Europe/Copenhagen",
        "text": "No charging here.",
    },
]

ROLES: Final = {
    "Ada Brink": "owner of ZZ-AMP",
    "Otto Velmar": "instructor",
    "Ines Korda": "head of training",
    "Jun Parel": "student, first solo in spring",
    "Mira Solt": "student",
    "Teo Lund": "student",
    "Lea Quist": "student",
    "Nils Orban": "member, tows gliders",
}

RESERVES: Final[Row] = {
    "reserve_soc_pct": 30,
    "minimum_departure_soc_pct": 60,
    "final_reserve_min_local": 10,
    "final_reserve_min_day": 30,
    "final_reserve_min_night": 45,
    "temp_caution_c": 47,
    "temp_limit_c": 55,
    "charge_min_temp_c": 3,
    "charge_max_temp_c": 42,
    "electricity_price_per_kwh": 0.34,
    "pack_set_price": 23800,
}

CELL_LIMITS: Final[Row] = {
    "cells_apart_caution_mv": 45,
    "cells_apart_limit_mv": 70,
    "cell_limit_min_v": 3.2,
    "cell_limit_max_v": 4.15,
    "insulation_limit_mohm": 8,
}
"""What the invented maker allows of cells and insulation."""

DRIFT_MV: Final[dict[str, dict[str, int]]] = {
    "A1-417": {"2025-09-18": 4, "2026-03-19": 9, "2026-09-17": 15},
}
"""A pack whose cells drift apart: it is in caution when it is looked at last, and some way from the limit."""

TUG: Final[Row] = {
    "registration": "ZZ-TOW",
    "type": "Heron 180 (piston, tows gliders)",
    "class": "single-engine land",
    "positions": [],
    "base": "Skarholm",
    "text": "No packs: flights of other aeroplanes belong in a pilot's book too.",
}

ITEMS: Final[list[Row]] = [
    {"person": "Ada Brink", "item": "medical", "valid_until": "2027-04-30", "issued_by": "Dr. Holt"},
    {"person": "Ada Brink", "item": "class rating", "valid_until": "2027-08-31", "issued_by": "Ines Korda"},
    {"person": "Otto Velmar", "item": "instructor certificate", "valid_until": "2028-02-29"},
    {"person": "Otto Velmar", "item": "medical", "valid_until": "2026-12-05", "issued_by": "Dr. Holt"},
    {"person": "Ines Korda", "item": "instructor certificate", "valid_until": "2027-09-30"},
    {"person": "Nils Orban", "item": "club check", "valid_until": "2026-10-31", "issued_by": "Otto Velmar"},
    {
        "person": "Jun Parel",
        "item": "solo authorisation",
        "valid_from": "2026-11-01",
        "valid_until": "2026-12-01",
        "issued_by": "Ines Korda",
        "aircraft": "ZZ-AMP",
        "place": "Skarholm",
        "limit_wind_kt": 12,
        "limit_departure_soc_pct": 80,
        "limit_landing_soc_pct": 40,
        "limit_minutes": 40,
        "text": "Circuits and local area, runway 26 only.",
    },
]

CONDITIONS: Final[dict[str, Row]] = {
    "A00227": {
        "simulated_instrument_min": 20,
        "safety_pilot": "Otto Velmar",
        "approaches_text": "Skarholm, practice RNP 26, twice",
    },
    "A00130": {"night_min": 26},
}
"""What is written down of single flights beside the usual: night, instruments, approaches."""

FIRST_LESSON: Final[Row] = {"ground_training_min": 45}

DEFECTS: Final[list[Row]] = [
    {
        "defect_id": "D-014",
        "aircraft": "ZZ-AMP",
        "found": "2026-10-24T15:10Z",
        "found_by": "Ada Brink",
        "text": "Left brake drags a little after taxiing.",
        "state": "deferred",
        "deferred_until": "2026-12-15",
        "deferred_basis": "wheel turns freely by hand; day flights only",
        "deferred_by": "Marek Dusan, licensed mechanic",
    },
    {
        "defect_id": "D-015",
        "aircraft": "ZZ-OHM",
        "found": "2026-11-13T11:40Z",
        "found_by": "Otto Velmar",
        "text": "Landing light out.",
        "state": "open",
    },
]

MAINTENANCE: Final[list[Row]] = [
    {
        "entry_id": "M-031",
        "aircraft": "ZZ-AMP",
        "work": "annual inspection",
        "text": "Annual inspection by the maintenance programme, no findings.",
        "completed": "2026-03-02T12:00Z",
        "done_by": "Marek Dusan",
        "certificate_no": "invented-4471",
        "next_due_date": "2027-03-02",
    },
    {
        "entry_id": "M-032",
        "aircraft": "ZZ-OHM",
        "work": "annual inspection",
        "text": "Annual inspection, propeller bolts retorqued.",
        "completed": "2025-12-11T12:00Z",
        "done_by": "Marek Dusan",
        "certificate_no": "invented-4471",
        "next_due_date": "2026-12-11",
    },
]

HOT_PACKS: Final[Row] = {
    "work": "inspection",
    "text": "After reaching the temperature limit: case, vents, connectors and cell differences in order.",
    "done_by": "Marek Dusan",
    "certificate_no": "invented-4471",
}
"""The entry that lets a pack fly again after its light came on."""

COMPONENTS: Final[list[Row]] = [
    {
        "component_id": "K-1",
        "aircraft": "ZZ-AMP",
        "name": "propeller",
        "serial_no": "PR-77",
        "fitted": "2025-01-02T08:00Z",
        "hours_brought_forward": 212,
        "limit_hours": 800,
    },
    {
        "component_id": "K-2",
        "aircraft": "ZZ-AMP",
        "name": "rescue system",
        "serial_no": "RS-5",
        "fitted": "2025-01-02T08:00Z",
        "limit_date": "2028-06-30",
    },
]
