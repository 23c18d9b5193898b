"""What falls due by hours, cycles or state of health: when, as far as the pace of use tells."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from logbook.energy.life import FARTHEST_DAYS, NOT_WITHIN
from logbook.services.due import due_items, newest_entries
from logbook.services.hours_read import hours_now, readings_of_hours
from logbook.services.maintenance import aircraft_totals, component_rows, fitted_at
from logbook.services.pack_status import moment, pack_rows
from logbook.services.upkeep_words import SOON, UNITS
from logbook.store.database import Book
from logbook.units import instant_of

Row = dict[str, Any]
_FARTHEST_MIN: Final = 3653 * 1440


def all_due(book: Book) -> list[Row]:
    """What falls due by date and, within ten years as far as can be expected, by use; the nearest first.

    All have `left` in words, empty for dates. Items by use have `by`, `at`, `now` and `remaining` besides; those whose pace of use is not known come last, without a date.
    """
    now, _ = moment(book, None)
    farthest = instant_of(now + _FARTHEST_MIN)
    by_date = [item | {"left": ""} for item in due_items(book)]
    by_use = [item | {"left": left_in_words(item)} for item in due_by_use(book) if item["due"] <= farthest]
    found = [*by_date, *by_use]
    return sorted(found, key=lambda row: (row["due"] or "9", row["what"], row["of"]))


def due_by_use(book: Book, as_of: str | None = None, packs: Sequence[Row] | None = None) -> list[Row]:
    """What falls due by hours or cycles: entries' next due, limits of components and of packs; the nearest first.

    What is not expected within a hundred years is left out.

    Args:
        book: the open book.
        as_of: a date or an instant; absent: now.
        packs: the rows of `pack_rows` of that moment, where they are known already.

    Returns: Rows with `due` (the date expected; empty where the pace of use is not known), `what`, `of`, `text`, `id`,
        and `by` (hours or cycles), `at`, `now`, `remaining`; where total time of an aeroplane was read, `counted` says from
        which reading on it was counted.

    Raises:
        UsageError: `as_of` is no date.
    """
    at, until = moment(book, as_of)
    totals = aircraft_totals(book, as_of)
    known = {row["serial_no"]: row for row in (pack_rows(book, as_of)[1] if packs is None else packs)}
    found = [
        *_entries_due(book, totals, known, (at, until)),
        *_components_due(book, totals, (at, until)),
        *_packs_due(known.values()),
    ]
    near = (item for item in found if item is not None)
    return sorted(near, key=lambda row: (row["due"] or "9", row["what"], row["of"]))


def left_in_words(item: Row) -> str:
    """What is left of hours, cycles or state of health, with its unit: `19.25 h`."""
    return f"{item['remaining']:g} {UNITS[item['by']]}"


def soon_by_use(book: Book, horizon: str, packs: Sequence[Row] | None = None) -> list[Row]:
    """What is past its hours or cycles, or has few left, or is expected to run out soon; the least left first.

    Args:
        book: the open book.
        horizon: expected by this day (included) is soon.
        packs: the rows of `pack_rows`, where they are known already.
    """
    found = [
        item
        for item in due_by_use(book, packs=packs)
        if item["remaining"] <= SOON.get(item["by"], 0) or (item["due"] and item["due"] <= horizon)
    ]
    return sorted(found, key=lambda item: (item["remaining"], item["what"], item["of"]))


def _entries_due(
    book: Book, totals: Mapping[str, Row], packs: Mapping[str, Row], now: tuple[int, str]
) -> Iterable[Row | None]:
    at, until = now
    read = readings_of_hours(book, until)
    for row in newest_entries(book, known_by=until):
        of = row["serial_no"] or row["aircraft"] or ""
        common = (row["work"] or "maintenance", of, row["text"], row["entry_id"], "maintenance")
        pack = packs.get(row["serial_no"] or "")
        total = totals.get(row["aircraft"] or "")
        if row["next_due_hours"] is not None and (pack or total):
            if pack is not None:
                yield _due(common, "hours", row["next_due_hours"], pack["time_in_service_hours"], None, at)
            elif total is not None:
                counted = hours_now(total, read.get(row["aircraft"], ()))
                pace = _a_day(total["each"], at)
                found = _due(common, "hours", row["next_due_hours"], counted.hours, pace, at)
                yield found and found | {"counted": counted.words}
        if row["next_due_cycles"] is not None and pack is not None:
            done = pack["cycles_accumulated"]
            done = pack["equivalent_cycles_discharge"] if done is None else done
            yield _due(common, "cycles", row["next_due_cycles"], done, None, at)


def _components_due(book: Book, totals: Mapping[str, Row], now: tuple[int, str]) -> Iterable[Row | None]:
    at, until = now
    for row in component_rows(book, totals):
        if row["limit_hours"] is not None and fitted_at(row, until):
            pace = _a_day(totals[row["aircraft"]]["each"], at) if row["aircraft"] in totals else None
            common = (row["name"], row["aircraft"], row["text"], row["component_id"], "component")
            yield _due(common, "hours", row["limit_hours"], row["hours"], pace, at)


def _packs_due(packs: Iterable[Row]) -> Iterable[Row]:
    for row in packs:
        if row["state"] == "scrapped":
            continue
        for by in ("hours", "cycles", "soh"):
            if row[f"{by}_limit"] is None or row[f"{by}_accumulated"] is None:
                continue
            if NOT_WITHIN in row[f"{by}_words"]:
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
) -> Row | None:
    left = round(limit - done, 4)
    due = ""
    if left <= 0:
        due = instant_of(at)[:10]
    elif pace:
        if left / pace > FARTHEST_DAYS:
            return None
        due = instant_of(at + round(left / pace * 1440))[:10]
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
