"""What a paper rests on: every record behind it as it was valid at the moment the paper is of.

What happened to a record later, a removal, a closing, a new state, does not touch a paper of an earlier day; a correction of
what was written down of that day does. Notes that no figure is made from are left out, and so is what was never filled in.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final, NamedTuple

from logbook.reports.paper import digest_of
from logbook.reports.paper_line import Part
from logbook.services.defects_then import CLOSED, defects_then
from logbook.services.kinds import KINDS
from logbook.store.behind_papers import about, flights_of
from logbook.store.database import Book
from logbook.store.flights import Flights
from logbook.store.pack_states import pack_states
from logbook.store.pack_sweep import PackSweep
from logbook.store.records import Records

Row = dict[str, Any]
_NEVER: Final = frozenset({"entered_by", "entered_at", "struck"})
_NOTES: Final = frozenset(
    {"remarks", "debrief", "exercise", "pilot_estimate_soc_pct", "plan_id", "expected_back", "approaches_text",
     "device_text", "second_person", "second_function", "safety_pilot", "ifr_min", "instrument_min",
     "simulated_instrument_min", "ground_training_min", "crew"}
)  # fmt: skip
_STATE: Final = frozenset({"state", "state_since", "state_reason", "text", "record_id"})
_PRICES: Final = frozenset({"price", "electricity_price_per_kwh", "pack_set_price"})
_NOT_OF_PACKS: Final = frozenset(
    {"base", "text", "record_id", "reserve_soc_pct", "minimum_departure_soc_pct"}
    | {f"final_reserve_{unit}_{case}" for unit in ("min", "kw") for case in ("local", "day", "night")}
)


class Rest(NamedTuple):
    """One record behind a paper: its kind, its id, and what of it counts."""

    kind: str
    record_id: str
    row: Row


def rests_of(book: Book, what: str, which: str, until: str) -> list[Rest]:
    """Every record behind a paper of maintenance, the report of a year, or a kept plan.

    Args:
        book: the open book.
        what: pack, packs, aircraft, year or plan.
        which: serial number, registration or id; nothing of it is asked where the paper is of all.
        until: the moment the paper is of (UTC).

    Raises:
        DataRefused: the book knows no such pack.
    """
    if what == "plan":
        kept = Records(book, "plan").find(which)
        return [] if kept is None else [_rest("plan", which, kept[1], _NEVER)]
    if what == "aircraft":
        return _aircraft(book, which, until)
    if what == "pack":
        return _packs(book, [which], until, without=_NOT_OF_PACKS | _PRICES)
    serials = [str(row["serial_no"]) for _, row in Records(book, "pack").select("struck = 0")]
    if what == "packs":
        return _packs(book, serials, until, without=_NOT_OF_PACKS | _PRICES)
    return _year(book, serials, until)


def parts_of(rests: Iterable[Rest]) -> tuple[Part, ...]:
    """How many records of each kind there are, each kind with the beginning of a digest of its own."""
    by_kind: dict[str, list[Any]] = {}
    for rest in rests:
        by_kind.setdefault(KINDS[rest.kind].plural, []).append(rest.row)
    return tuple(Part(kind, len(rows), digest_of(rows)[:8]) for kind, rows in sorted(by_kind.items()))


def digest_of_rests(rests: Iterable[Rest]) -> str:
    """SHA-256 over the records, each with its kind (`reports.paper.digest_of`)."""
    return digest_of([{"record": rest.kind} | rest.row for rest in rests])


def _aircraft(book: Book, registration: str, until: str) -> list[Rest]:
    serials = [
        one.serial_no
        for one in PackSweep(book, None, until).fittings()
        if one.aircraft == registration and one.removed is None
    ]
    found = _packs(book, serials, until, without=_NOT_OF_PACKS | _PRICES, aircraft=[registration])
    parts = about(book, "component", until, aircraft=[registration])
    found += [_rest("component", row["component_id"], _ended(row, "removed", until), _NEVER) for row in parts]
    return found


def _year(book: Book, serials: Sequence[str], until: str) -> list[Rest]:
    homes = [str(row["registration"]) for _, row in Records(book, "aircraft").select("struck = 0")]
    leave = frozenset({"base", "text", "record_id"})
    return _packs(book, serials, until, without=leave, aircraft=homes, by_local_day=True)


def _packs(
    book: Book,
    serials: Sequence[str],
    until: str,
    *,
    without: frozenset[str],
    aircraft: Sequence[str] = (),
    by_local_day: bool = False,
) -> list[Rest]:
    """Packs with all that happened to them, and some aeroplanes with their flights and what was written down of them."""
    sweep = PackSweep(book, serials, until)
    homes = sorted(
        {*aircraft, *(one.aircraft for one in sweep.fittings()), *(one.aircraft for one in sweep.flights())}
        if serials
        else set(aircraft)
    )
    leave = _NEVER | without
    flown = flights_of(book, homes, until, by_local_day=by_local_day)
    found = [*_identities(book, serials, homes, until, leave), *_flights(book, flown)]
    fitted = about(book, "installation", until, packs=serials, aircraft=aircraft)
    found += [_rest("installation", row["installation_id"], _fitting(row, until), leave) for row in fitted]
    for kind, key in (
        ("charge", "charge_id"),
        ("observation", "observation_id"),
        ("capacity-check", "check_id"),
    ):
        rows = about(book, KINDS[kind].table, until, packs=serials)
        found += [_rest(kind, row[key], row, leave | {"place"}) for row in rows]
    things = {*serials, *aircraft}
    found += [
        _rest("defect", row["defect_id"], _defect(row), _NEVER) for row in defects_then(book, things, until)
    ]
    entries = about(book, "maintenance", until, packs=serials, aircraft=aircraft)
    return found + [_rest("maintenance", row["entry_id"], row, _NEVER) for row in entries]


def _identities(
    book: Book, serials: Sequence[str], homes: Sequence[str], until: str, leave: frozenset[str]
) -> Iterable[Rest]:
    """The packs with the states they had by then, their types, and the aeroplanes whose figures they go by."""
    marks = ",".join("?" * len(serials))
    packs = [row for _, row in Records(book, "pack").select(f"serial_no IN ({marks})", serials)]
    states = pack_states(book, packs)
    for row in packs:
        held = [list(one) for one in states[row["serial_no"]] if one.state and one.since <= until]
        yield _rest("pack", row["serial_no"], row, leave | _STATE, {"states": held})
    part_numbers = {row["part_no"] for row in packs}
    for _, row in Records(book, "pack_type").select("struck = 0"):
        if row["part_no"] in part_numbers:
            yield _rest("pack-type", row["part_no"], row, leave | {"record_id"})
    for _, row in Records(book, "aircraft").select():
        if row["registration"] in homes:
            yield _rest("aircraft", row["registration"], row, leave)


def _flights(book: Book, numbers: Sequence[int]) -> Iterable[Rest]:
    leave = _NEVER | _NOTES
    for row in Flights(book).read(numbers):
        parts = {name: [_bare(part) for part in row[name]] for name in ("readings", "phases")}
        yield _rest("flight", row["flight_id"], row, leave, parts)


def _fitting(row: Row, until: str) -> Row:
    """A fitting as it stood then: the reason of one that still lasted may be that of its removal, written over it later."""
    return _ended(row, "removed", until) | ({} if (row["removed"] or "9") <= until else {"reason": None})


def _ended(row: Row, column: str, until: str) -> Row:
    return row | {column: None} if (row[column] or "") > until else row


def _defect(row: Row) -> Row:
    """A defect as it stood then; that it was closed afterwards is no part of it."""
    state = str(row["state"]).partition(" then, closed ")[0]
    return row | {"state": state, "closed_by_entry": row["closed_by_entry"] if state == CLOSED else None}


def _rest(kind: str, record_id: str, row: Row, without: frozenset[str], more: Row | None = None) -> Rest:
    kept = {name: value for name, value in row.items() if name not in without}
    return Rest(kind, str(record_id), _bare(kept | (more or {})))


def _bare(row: Row) -> Row:
    """A row without what was never filled in; whole numbers have one form, however they were stored."""
    return {
        name: int(value) if isinstance(value, float) and value.is_integer() else value
        for name, value in row.items()
        if value is not None and value != []
    }
