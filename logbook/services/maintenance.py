"""Maintenance: entries that close defects and end quarantines, and what falls due by hours, date or cycles."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Final

from logbook.energy.service_time import AIR, METER, counted
from logbook.errors import DataRefused
from logbook.rules.upkeep_rules import CounterRead, HoursRead, counters_back, hours_back
from logbook.services.due import due_items, newest_entries
from logbook.services.kinds import KINDS
from logbook.services.pack_record import Minutes, service_flight_of
from logbook.services.pack_status import moment, pack_rows
from logbook.services.refresh import refresh
from logbook.store.database import Book
from logbook.store.pack_sweep import PackSweep
from logbook.store.records import Records
from logbook.units import instant_of

if TYPE_CHECKING:
    from logbook.domain.record import Record

Row = dict[str, Any]
_FARTHEST_MIN: Final = 3653 * 1440


def record_entry(
    book: Book, data: Mapping[str, Any], *, by: str | None = None, release: bool = False
) -> tuple[str, list[str]]:
    """Records a maintenance entry, closes the defect it names and, where wanted, ends the quarantine of its pack.

    Args:
        book: the open book.
        data: the entry, with the fields of a maintenance record.
        by: who enters it.
        release: the pack of the entry may fly again: its quarantine ends when the work was completed.

    Returns: The id of the entry, and what was done in words.

    Raises:
        DataRefused: the entry cannot be, the defect is unknown or of another pack, or there is no pack to release.
    """
    from logbook.domain.record import read_record
    from logbook.domain.upkeep import Maintenance
    from logbook.services.add import now, put
    from logbook.services.fitting import released_state, state_inside

    record = read_record(Maintenance, dict(data))
    stamp = {"entered_by": by, "entered_at": now()}
    with book.writing(by=by, why=record.text[:200]):
        entry_id, _ = put(book, KINDS["maintenance"], record, stamp)
        done = close_defect(book, entry_id, record)
        if release:
            if record.serial_no is None:
                raise DataRefused(
                    "There is no pack in this entry.", next_step="Name the pack by its serial number."
                )
            words = f"released by entry {entry_id}: {record.text}"
            state = released_state(book, record.serial_no)
            done += state_inside(book, record.serial_no, state, record.completed, words)
        refresh(book)
    return entry_id, done


def close_defect(book: Book, entry_id: str, entry: Record) -> list[str]:
    """Closes the defect an entry names, inside an open transaction. Returns what was done.

    Raises:
        DataRefused: there is no such defect, it is of another pack or aeroplane, or was found only later.
    """
    from logbook.domain.upkeep import Maintenance

    if not isinstance(entry, Maintenance) or entry.closes_defect is None:
        return []
    records = Records(book, "defect")
    found = records.find(entry.closes_defect)
    if found is None:
        raise DataRefused(
            f"There is no defect '{entry.closes_defect}' in the book.",
            next_step="See 'logbook list defects'.",
            field="closes_defect",
        )
    n, defect = found
    for name in ("serial_no", "aircraft"):
        ours, theirs = getattr(entry, name), defect[name]
        if ours is not None and theirs is not None and ours != theirs:
            raise DataRefused(
                f"Defect {entry.closes_defect} is of {theirs}, not of {ours}.",
                next_step="Correct the entry.",
                field=name,
            )
    if defect["state"] == "closed" and defect["closed_by_entry"] == entry_id:
        return []
    if entry.completed < defect["found"]:
        raise DataRefused(
            f"Defect {entry.closes_defect} was found at {defect['found']}, after the work was completed.",
            next_step="Correct the time of completion.",
            field="completed",
        )
    records.update(n, {"state": "closed", "closed_by_entry": entry_id})
    return [f"defect {entry.closes_defect} closed by entry {entry_id}"]


def follow_entry(book: Book, entry_id: str, entry: Record) -> None:
    """Opens again what a corrected or struck entry no longer closes, and closes what it does; inside a transaction."""
    from logbook.domain.upkeep import Maintenance

    if not isinstance(entry, Maintenance):
        return
    records = Records(book, "defect")
    for n, defect in list(records.select("state = 'closed' AND closed_by_entry = ?", (entry_id,))):
        if entry.struck or entry.closes_defect != defect["defect_id"]:
            records.update(n, {"state": "open", "closed_by_entry": None})
    if not entry.struck:
        with suppress(DataRefused):  # as when it was added: the entry stands, and is flagged
            close_defect(book, entry_id, entry)


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
            ", ".join(f"{count} flights by {used}" for used, count in total["by"].items()) or "no flights"
        )
    return found


def all_due(book: Book) -> list[Row]:
    """What falls due by date and, within ten years as far as can be expected, by use; the nearest first.

    Items by use have `by`, `at`, `now` and `remaining` besides; those whose pace of use is not known come last, without a date.
    """
    now, _ = moment(book, None)
    farthest = instant_of(now + _FARTHEST_MIN)
    found = [*due_items(book), *(item for item in due_by_use(book) if item["due"] <= farthest)]
    return sorted(found, key=lambda row: (row["due"] or "9", row["what"], row["of"]))


def due_by_use(book: Book, as_of: str | None = None) -> list[Row]:
    """What falls due by hours or cycles: entries' next due, limits of components and of packs; the nearest first.

    Returns: Rows with `due` (the date expected; empty where the pace of use is not known), `what`, `of`, `text`, `id`,
        and `by` (hours or cycles), `at`, `now`, `remaining`.

    Raises:
        UsageError: `as_of` is no date.
    """
    at, _ = moment(book, as_of)
    totals = aircraft_totals(book, as_of)
    packs = {row["serial_no"]: row for row in pack_rows(book, as_of)[1]}
    found = [
        *_entries_due(book, totals, packs, at),
        *_components_due(book, totals, at),
        *_packs_due(packs.values()),
    ]
    return sorted(found, key=lambda row: (row["due"] or "9", row["what"], row["of"]))


def _entries_due(book: Book, totals: Mapping[str, Row], packs: Mapping[str, Row], at: int) -> Iterable[Row]:
    for row in newest_entries(book):
        of = row["serial_no"] or row["aircraft"] or ""
        common = (row["work"] or "maintenance", of, row["text"], row["entry_id"], "maintenance")
        pack = packs.get(row["serial_no"] or "")
        total = totals.get(row["aircraft"] or "")
        if row["next_due_hours"] is not None and (pack or total):
            if pack is not None:
                yield _due(common, "hours", row["next_due_hours"], pack["time_in_service_hours"], None, at)
            elif total is not None:
                yield _due(
                    common, "hours", row["next_due_hours"], total["hours"], _a_day(total["each"], at), at
                )
        if row["next_due_cycles"] is not None and pack is not None:
            done = pack["cycles_accumulated"]
            done = pack["equivalent_cycles_discharge"] if done is None else done
            yield _due(common, "cycles", row["next_due_cycles"], done, None, at)


def _components_due(book: Book, totals: Mapping[str, Row], at: int) -> Iterable[Row]:
    for row in component_rows(book, totals):
        if row["limit_hours"] is not None and row["removed"] is None:
            pace = _a_day(totals[row["aircraft"]]["each"], at) if row["aircraft"] in totals else None
            common = (row["name"], row["aircraft"], row["text"], row["component_id"], "component")
            yield _due(common, "hours", row["limit_hours"], row["hours"], pace, at)


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


def _packs_due(packs: Iterable[Row]) -> Iterable[Row]:
    for row in packs:
        if row["state"] == "scrapped":
            continue
        for by in ("hours", "cycles", "soh"):
            if row[f"{by}_limit"] is None or row[f"{by}_accumulated"] is None:
                continue
            yield {
                "due": row[f"{by}_expected_mid"] or "",
                "what": f"pack limit by {'SOH' if by == 'soh' else by}, expected",
                "of": row["serial_no"],
                "text": row[f"{by}_words"],
                "id": row["serial_no"],
                "kind": "pack",
                "by": by,
                "at": row[f"{by}_limit"],
                "now": row[f"{by}_accumulated"],
                "remaining": row[f"{by}_remaining"],
            }


def _due(  # noqa: PLR0917 - six parts of one line, called three times below
    common: tuple[str, str, str | None, str, str],
    by: str,
    limit: float,
    done: float,
    pace: float | None,
    at: int,
) -> Row:
    left = round(limit - done, 4)
    due = ""
    if left <= 0:
        due = instant_of(at)[:10]
    elif pace:
        due = instant_of(at + round(min(left / pace, 36500) * 1440))[:10]
    what, of, text, record_id, kind = common
    return {
        "due": due,
        "what": f"{what} by {by}" + (", expected" if left > 0 else ""),
        "of": of,
        "text": text or "",
        "id": record_id,
        "kind": kind,
        "by": by,
        "at": limit,
        "now": done,
        "remaining": left,
    }


def _a_day(each: Iterable[tuple[int, float]], at: int) -> float | None:
    """Hours a day over the last twelve months, from sixty days on; None where that is not known."""
    recent = [(when, hours) for when, hours in each if at - 365 * 1440 <= when <= at]
    if not recent:
        return None
    days = (at - recent[0][0]) / 1440
    return sum(hours for _, hours in recent) / days if days >= 60 else None


def upkeep_flags(book: Book, serial_no: str | None = None) -> dict[str, list[Row]]:
    """Counters and hours that went back, by the id of the later record; of one pack or of everything."""
    found: dict[str, list[Row]] = {}
    read: dict[str, list[CounterRead]] = {}
    for seen in PackSweep(book, None if serial_no is None else [serial_no]).observations():
        one = CounterRead(
            seen.observation_id,
            seen.at,
            seen.counter_hours,
            seen.counter_cycles,
            seen.baseline_break is not None,
        )
        read.setdefault(seen.serial_no, []).append(one)
    for serial, counters in read.items():
        for record_id, flag in counters_back(serial, counters):
            found.setdefault(record_id, []).append(flag._asdict() | {"answered": False})
    if serial_no is None:
        hours: dict[str, list[HoursRead]] = {}
        for _, row in Records(book, "maintenance").select(
            "struck = 0 AND aircraft IS NOT NULL AND aircraft_hours IS NOT NULL", order="completed, n"
        ):
            one_read = HoursRead(row["entry_id"], row["completed"], row["aircraft_hours"])
            hours.setdefault(row["aircraft"], []).append(one_read)
        for aircraft, entries in hours.items():
            for record_id, flag in hours_back(aircraft, entries):
                found.setdefault(record_id, []).append(flag._asdict() | {"answered": False})
    return found
