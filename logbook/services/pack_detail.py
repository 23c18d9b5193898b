"""One pack whole: its row, its limits, where it was, what it went through, what was seen on it, what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from logbook.energy.cycles import counter_against_count
from logbook.energy.estimate import Estimate
from logbook.energy.life import LimitStatus
from logbook.energy.service_time import AIR, time_in_service
from logbook.energy.time_at_charge import parked_above, since_full_charge, time_at_charge
from logbook.services.charge_cases import FULL, FULL_PCT, MEANT_FULL_PCT
from logbook.services.defects_then import defects_then
from logbook.services.estimates import capacity_of
from logbook.services.freshness import freshen
from logbook.services.pack_beside import Beside
from logbook.services.pack_costs import costs_of
from logbook.services.pack_heat import heat_of
from logbook.services.pack_ledger import gap_row, gaps_of, unread
from logbook.services.pack_record import Fleet, PackRecord, installations_of, read_fleet
from logbook.services.pack_seen import beyond_rows, observations
from logbook.services.pack_status import day_expected, moment, row_of, standing_of
from logbook.services.pack_totals import charges_too_warm_or_cold
from logbook.services.unknown_state import unknown_state
from logbook.services.upkeep_flags import upkeep_flags
from logbook.store.database import Book
from logbook.store.pack_sweep import PackSweep
from logbook.store.records import Records, versions
from logbook.units import instant_of

Row = dict[str, Any]
_EXCEEDED: Final = ("temperature_limit", "temperature_caution", "takeoff_temperature", "pack_quarantined")


def pack_detail(book: Book, serial_no: str, as_of: str | None = None) -> Row:
    """Everything a screen or a paper shows of one pack.

    Args:
        book: the open book.
        serial_no: the pack.
        as_of: a date or an instant; what was recorded of later times does not count.

    Returns: `row` as `pack_rows` gives it, and beside it `limits`, `fittings`, `cycles`, `standing_charge`, `gaps`,
        `exceedances`, `observations`, `capacity`, `temperature`, `costs`, `defects`, `entries`, `states`, `state_note`.

    Raises:
        DataRefused: the book knows no such pack.
        UsageError: `as_of` is no date.
    """
    freshen(book)
    now, until = moment(book, as_of, [serial_no])
    fleet = read_fleet(book, PackSweep(book, [serial_no], until).companions(), until)
    record = fleet.packs[serial_no]
    standing = standing_of(record, fleet, now)
    seen = observations(record, upkeep_flags(book, serial_no), now)
    return {
        "row": row_of(standing, Beside(book, [serial_no], until, now), now),
        "limits": [_limit(status) for status in standing.limits],
        "fittings": _fittings(record, fleet),
        "cycles": _cycles(record, standing.totals.cycles.by_depth, standing.totals.cycles),
        "standing_charge": _standing_charge(record, now),
        "gaps": [gap_row(gap) for gap in gaps_of(fleet, serial_no)],
        "unread": unread(record),
        "exceedances": _exceedances(book, record, seen["rows"], until),
        "observations": seen,
        "capacity": _capacity(book, serial_no, until),
        "temperature": heat_of(record),
        "costs": costs_of(standing, fleet, now),
        "defects": defects_then(book, [serial_no], until),
        "entries": _about(book, "maintenance", record, "completed", until),
        "states": state_history(book, serial_no),
        "state_note": unknown_state(record.pack["state"]),
    }


def _span(value: Estimate | None) -> Row | None:
    return None if value is None else {"low": value.low, "mid": value.mid, "high": value.high}


def _limit(status: LimitStatus) -> Row:
    when = status.expected_at
    return {
        "kind": status.kind,
        "limit": status.limit,
        "accumulated": status.accumulated,
        "remaining": status.remaining,
        "expected": None
        if when is None
        else {name: day_expected(end) for name, end in zip(("low", "mid", "high"), when[:3], strict=True)},
        "hours_left": _span(status.hours_left),
        "words": status.words,
    }


def _capacity(book: Book, serial_no: str, until: str) -> Row:
    """Usable capacity as flown, with the history up to the moment asked for."""
    found = capacity_of(book, serial_no)
    found["doubtful_charges"] = [one for one in found["doubtful_charges"] if one["started"] <= until]
    history = [point for point in found["history"] if point["at"] <= until]
    if len(history) < len(found["history"]):
        found |= {"history": history, "as_of": history[-1]["at"] if history else None}
        found["usable_kwh"] = history[-1]["usable_kwh"] if history else None
    return found


def _fittings(record: PackRecord, fleet: Fleet) -> list[Row]:
    """Where it was fitted, with what it accrued there (14 CFR 43.10)."""
    found = []
    for row, one in zip(record.fittings, installations_of(record, fleet.minutes), strict=True):
        basis = fleet.bases.get(row.aircraft, AIR)
        done = time_in_service(record.serial_no, [one], fleet.flown, basis=basis)
        found.append(
            {
                "aircraft": row.aircraft,
                "position": row.position,
                "fitted": row.fitted,
                "removed": row.removed,
                "reason": row.reason,
                "aircraft_hours": row.aircraft_hours,
                "hours": round(done.hours, 4),
                "landings": done.landings,
                "flights": done.flights,
                "basis": done.words if done.flights else "no flights",
            }
        )
    return found


def _cycles(record: PackRecord, depths: tuple[float, ...], count: Any) -> Row:
    read = [seen.counter_cycles for seen in record.observations if seen.counter_cycles is not None]
    change = read[-1] - read[0] if len(read) > 1 else None
    return {
        "by_depth": [
            {"from_pct": 10 * place, "to_pct": 10 * place + 10, "cycles": cycles}
            for place, cycles in enumerate(depths)
        ],
        "own_counter": read[-1] if read else None,
        "own_counter_words": counter_against_count(change, count, record.figures["cycle_definition"]),
    }


def _standing_charge(record: PackRecord, now: int) -> Row:
    """Days at high and low charge, since the last full charge, and parked above storage charge."""
    time = time_at_charge(record.events, now)
    meant = {charge.charge_id for charge in record.charges if (charge.purpose or "").startswith(FULL)}
    full = since_full_charge(
        record.events,
        now,
        frozenset(meant) if meant else None,
        MEANT_FULL_PCT if meant else FULL_PCT,
    )
    storage = record.figures["storage_soc_pct"]
    return {
        "days_above_90_pct": time.above_days,
        "days_below_20_pct": time.below_days,
        "days_known": time.known_days,
        "last_full_charge": None if full.at is None else instant_of(full.at),
        "days_since_full": full.days,
        "cycles_since_full": full.cycles,
        "storage_soc_pct": storage,
        "days_above_storage": None if storage is None else parked_above(record.events, now, storage),
    }


def _exceedances(book: Book, record: PackRecord, seen: Sequence[Row], until: str) -> list[Row]:
    """What passed a limit or a caution: when, on which flight, charge or observation, in words with the figures; newest first."""
    flags = PackSweep(book, [record.serial_no], until).flagged(_EXCEEDED)
    found = [
        {"at": at, "what": rule, "severity": severity, "record_id": flight, "words": words}
        for _, flight, at, rule, severity, words in flags
    ]
    for charge_id, at, value, limit in charges_too_warm_or_cold(record):
        side = "below the least" if value < limit else "above the most"
        words = f"Pack {record.serial_no} was charged at {value:g} °C, {side} for charging ({limit:g} °C)."
        found.append(
            {
                "at": at,
                "what": "charge_temperature",
                "severity": "serious",
                "record_id": charge_id,
                "words": words,
            }
        )
    found += beyond_rows(seen)
    return sorted(found, key=lambda row: str(row["at"]), reverse=True)


def _about(book: Book, table: str, record: PackRecord, when: str, until: str) -> list[Row]:
    """Defects or maintenance entries of the pack, newest first."""
    number = book.keys.number("pack", record.serial_no, "serial_no")
    rows = Records(book, table).select(
        f"struck = 0 AND serial_no = ? AND {when} <= ?", (number, until), f"{when} DESC"
    )
    return [row for _, row in rows]


def state_history(book: Book, serial_no: str) -> list[Row]:
    """Every state somebody set a pack to: state, since, why, who; oldest first, from the versions of its record."""
    found = Records(book, "pack").find(serial_no)
    if found is None:
        return []
    now = found[1]
    changes = versions(book, str(now["record_id"]))
    states = [version["was"] for version in changes if version["record"] == "pack"] + [now]
    who = [now["entered_by"], *(version["by_whom"] for version in changes if version["record"] == "pack")]
    rows: list[Row] = []
    for was, by in zip(states, who, strict=True):
        row = {"state": was["state"], "since": was["state_since"], "why": was["state_reason"]}
        if was["state"] is not None and (not rows or any(rows[-1][name] != row[name] for name in row)):
            rows.append(row | {"by": by})
    return rows
