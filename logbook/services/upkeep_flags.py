"""Flags of observations and maintenance entries: cells and insulation beyond a limit, counters and hours that went back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from logbook.rules.flag import Flag
from logbook.rules.observation_rules import SeenFigures, SeenLimits, seen_beyond
from logbook.rules.upkeep_rules import CounterRead, HoursRead, counters_back, hours_apart, hours_back
from logbook.services.answers_given import OWNERS, Answers, answers_of
from logbook.services.hours_read import APART_H, NO_TIME, counted_at
from logbook.services.maintenance import aircraft_totals
from logbook.store.database import Book
from logbook.store.pack_sweep import PackSweep, Seen
from logbook.store.records import Records
from logbook.store.seen_limits import limits_stated

Row = dict[str, Any]


class UpkeepFlag(NamedTuple):
    """One flag of an observation or an entry, as lists of what waits show it.

    Attributes:
        kind: observation or maintenance.
        record_id: its id.
        day: on which it was seen or completed.
        serial_no: the pack, or empty.
        aircraft: the aeroplane, or empty.
        severity: of the flag.
        words: of the flag.
        answered: whether somebody answered it.
        said: the answer that holds, with who gave it; empty where none does.
    """

    kind: str
    record_id: str
    day: str
    serial_no: str
    aircraft: str
    severity: str
    words: str
    answered: bool
    said: str


def upkeep_flags(book: Book, serial_no: str | None = None) -> dict[tuple[str, str], list[Row]]:
    """What the rules find, by kind and id of the record (of what went back: the later one); of one pack or of everything."""
    found: dict[tuple[str, str], list[Row]] = {}
    answers = {kind: Answers(book, OWNERS[kind]) for kind in ("observation", "maintenance")}
    for kind, record_id, flag in _found(book, serial_no):
        answered = (flag.rule, flag.serial_no, flag.fingerprint) in answers[kind].of(record_id)
        found.setdefault((kind, record_id), []).append(flag._asdict() | {"answered": answered})
    return found


def listed_flags(book: Book) -> list[UpkeepFlag]:
    """All of them, the newest first."""
    found = [
        _listed(book, kind, record_id, flag)
        for (kind, record_id), flags in upkeep_flags(book).items()
        for flag in flags
    ]
    return sorted(found, key=lambda one: (one.day, one.record_id), reverse=True)


def _found(book: Book, serial_no: str | None) -> Iterator[tuple[str, str, Flag]]:
    serials = None if serial_no is None else [serial_no]
    observed = list(PackSweep(book, serials).observations())
    for serial, counters in _counters(observed).items():
        for record_id, flag in counters_back(serial, counters):
            yield "observation", record_id, flag
    limits = limits_stated(book, serials)
    for seen in observed:
        shown = SeenFigures(seen.cell_min_v, seen.cell_max_v, seen.insulation_mohm)
        allowed = SeenLimits(*limits.get(seen.serial_no, ()))
        for flag in seen_beyond(seen.serial_no, shown, allowed):
            yield "observation", seen.observation_id, flag
    if serial_no is None:
        read = _hours(book)
        totals = aircraft_totals(book) if read else {}
        for aircraft, hours in read.items():
            for record_id, flag in hours_back(aircraft, hours):
                yield "maintenance", record_id, flag
            total = totals.get(aircraft, NO_TIME)
            counted = [counted_at(total, entry.at) for entry in hours]
            for record_id, flag in hours_apart(aircraft, hours, counted, APART_H):
                yield "maintenance", record_id, flag


def _counters(observed: Iterable[Seen]) -> dict[str, list[CounterRead]]:
    read: dict[str, list[CounterRead]] = {}
    for seen in observed:
        one = CounterRead(
            seen.observation_id,
            seen.at,
            seen.counter_hours,
            seen.counter_cycles,
            seen.baseline_break is not None,
        )
        read.setdefault(seen.serial_no, []).append(one)
    return read


def _hours(book: Book) -> dict[str, list[HoursRead]]:
    read: dict[str, list[HoursRead]] = {}
    condition = "struck = 0 AND aircraft IS NOT NULL AND aircraft_hours IS NOT NULL"
    for _, row in Records(book, "maintenance").select(condition, order="completed, n"):
        one = HoursRead(row["entry_id"], row["completed"], row["aircraft_hours"])
        read.setdefault(row["aircraft"], []).append(one)
    return read


def _listed(book: Book, kind: str, record_id: str, flag: Row) -> UpkeepFlag:
    record = Records(book, kind).find(record_id)
    row = {} if record is None else record[1]
    at = row.get("at") or row.get("completed") or ""
    return UpkeepFlag(
        kind,
        record_id,
        at[:10],
        row.get("serial_no") or "",
        row.get("aircraft") or "",
        flag["severity"],
        flag["words"],
        flag["answered"],
        _said(book, kind, record_id, flag) if flag["answered"] else "",
    )


def _said(book: Book, kind: str, record_id: str, flag: Row) -> str:
    """The words of the answer given last for the figure as it is now, and by whom."""
    fingerprint = Flag(flag["rule"], flag["severity"], flag["words"], flag["figures"]).fingerprint
    given = [
        one
        for one in answers_of(book, record_id, OWNERS[kind])
        if one["rule"] == flag["rule"] and one["figures"] == fingerprint
    ]
    return f"{given[-1]['words']} ({given[-1]['by_whom'] or 'nobody named'})" if given else ""
