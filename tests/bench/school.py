"""The fleet and the people of the books that are measured."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any, NamedTuple

Row = dict[str, Any]


class School(NamedTuple):
    """How many aeroplanes, packs and people."""

    aircraft: int
    packs: int
    people: int

    @classmethod
    def of(cls, flights: int) -> School:
        """The school that flies so many flights."""
        aircraft = min(200, max(2, flights // 5000))
        return cls(aircraft, 2 * aircraft + aircraft // 2, min(3000, max(5, flights // 300)))

    def fitted(self, aircraft: int, *, late: bool) -> tuple[int, int]:
        """The packs of an aeroplane; in the second half of the record each second aeroplane flies with a spare at the rear."""
        spare = 2 * self.aircraft + aircraft // 2
        rear = spare if late and not aircraft % 2 and spare < self.packs else 2 * aircraft + 1
        return 2 * aircraft, rear


def aircraft_row(number: int) -> Row:
    """An aeroplane with everything its flights are judged by."""
    return {
        "registration": registration(number),
        "type": "trainer",
        "class": "SEP",
        "positions": ["F", "R"],
        "base": "HOME",
        "reserve_soc_pct": 30,
        "minimum_departure_soc_pct": 50,
        "final_reserve_min_local": 10,
        "final_reserve_kw_local": 21,
        "final_reserve_min_day": 30,
        "final_reserve_kw_day": 21,
        "temp_caution_c": 48,
        "temp_limit_c": 58,
        "cruise_power_kw": 24,
        "handbook_ground_kwh": 0.5,
        "handbook_climb_kwh_per_1000ft": 1.6,
        "handbook_level_kwh_per_min": 0.33,
        "handbook_circuit_kwh": 1.4,
        "handbook_departure_kwh": 0.4,
        "handbook_mass_kg": 560,
        "electricity_price_per_kwh": 0.3,
    }


def registration(number: int) -> str:
    """The name of a numbered aeroplane."""
    return f"X-B{number:03d}"


def pack_row(number: int) -> Row:
    """A pack with limits."""
    return {
        "serial_no": f"PK{number:04d}",
        "part_no": "P1",
        "nominal_kwh": 11.5,
        "made_on": "2020-06-01",
        "soh_zero_fraction": 0.7,
        "soh_full_fraction": 0.95,
        "unusable_soc_pct": 5,
        "limit_hours": 2500,
        "limit_cycles": 4000,
        "cycle_definition": "discharge",
        "limit_date": "2032-06-01",
        "limit_soh_pct": 10,
    }


def person_row(number: int) -> Row:
    """A person."""
    return {"person": f"Pilot {number:04d}", "licence_no": f"L{number:05d}"}


def middle_of(first: date, last: date) -> date:
    """The day on which packs are changed."""
    return first + (last - first) // 2


def fitting_rows(school: School, first: date, last: date) -> list[Row]:
    """Two packs in each aeroplane; each second one changes the rear pack in the middle of the record."""
    begin, middle = f"{first}T00:00Z", f"{middle_of(first, last)}T00:00Z"
    rows = []
    for aircraft in range(school.aircraft):
        early, late = school.fitted(aircraft, late=False), school.fitted(aircraft, late=True)
        rows.append(_fitting(aircraft, early[0], "F", begin, None))
        changed = early[1] != late[1] and middle > begin
        rows.append(_fitting(aircraft, early[1], "R", begin, middle if changed else None))
        if changed:
            rows.append(_fitting(aircraft, late[1], "R", middle, None))
    return rows


def _fitting(aircraft: int, pack: int, position: str, fitted: str, removed: str | None) -> Row:
    return {
        "serial_no": f"PK{pack:04d}",
        "aircraft": registration(aircraft),
        "position": position,
        "fitted": fitted,
        "removed": removed,
    }


def item_rows(school: School, last: date) -> list[Row]:
    """A medical and a rating for everybody, some about to end."""
    return [
        {
            "person": f"Pilot {number:04d}",
            "item": item,
            "valid_from": "2025-01-01",
            "valid_until": str(last + timedelta(days=(number * 7 + len(item)) % 700 - 10)),
        }
        for number in range(school.people)
        for item in ("medical", "class rating")
    ]
