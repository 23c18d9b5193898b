"""Maintenance: time of aeroplanes and parts, counters that went back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from logbook.energy.service_time import AIR, METER, counted
from logbook.services.pack_record import Minutes, service_flight_of
from logbook.services.pack_status import moment
from logbook.store.database import Book
from logbook.store.pack_sweep import PackSweep
from logbook.store.records import Records

Row = dict[str, Any]


def aircraft_totals(book: Book, as_of: str | None = None) -> dict[str, Row]:
    """Total time and landings of each aeroplane, brought-forward figures included, with how they were counted.

    Raises:
        UsageError: `as_of` is no date.
    """
    _, until = moment(book, as_of)
    minutes = Minutes()
    found: dict[str, Row] = {
        row["registration"]: {
            "basis": METER if row["time_in_service_from"] == "meter" else AIR,
            "hours": row["hours_brought_forward"] or 0.0,
            "landings": round(row["landings_brought_forward"] or 0),
            "flights": 0,
            "by": {},
            "each": [],
        }
        for _, row in Records(book, "aircraft").select("struck = 0")
    }
    for row in PackSweep(book, None, until).flown():
        total = found.get(row.aircraft)
        if total is None:
            continue
        flight = service_flight_of(row, minutes)
        used, amount = counted(flight, total["basis"])
        total["hours"] += amount / 60
        total["landings"] += 1 if flight.landings is None else flight.landings
        total["flights"] += 1
        total["by"][used] = total["by"].get(used, 0) + 1
        total["each"].append((flight.off_blocks, amount / 60))
    for total in found.values():
        total["hours"] = round(total["hours"], 4)
        total["words"] = (
            ", ".join(
                f"{count} flight{'' if count == 1 else 's'} by {used}" for used, count in total["by"].items()
            )
            or "no flights"
        )
    return found


def fitted_at(component: Row, until: str) -> bool:
    """Whether a part was fitted at a moment (UTC, stored form; `9`: now)."""
    return (component["fitted"] or "") <= until and (
        component["removed"] is None or component["removed"] > until
    )


def component_rows(book: Book, totals: Mapping[str, Row]) -> list[Row]:
    """Components with their time: brought forward, and the flights of the aeroplane while they were fitted."""
    minutes, found = Minutes(), []
    for _, row in Records(book, "component").select("struck = 0", order="aircraft, name, fitted"):
        since = minutes.of(row["fitted"]) if row["fitted"] else 0
        until = minutes.of(row["removed"]) if row["removed"] else None
        each = totals.get(row["aircraft"], {}).get("each", ())
        flown = sum(hours for at, hours in each if since <= at and (until is None or at < until))
        hours = round((row["hours_brought_forward"] or 0.0) + flown, 4)
        left = None if row["limit_hours"] is None else round(row["limit_hours"] - hours, 4)
        found.append(row | {"hours": hours, "hours_remaining": left})
    return found
