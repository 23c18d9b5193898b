"""Recordings of a flight as the record holds them: for the rules, beside what was written down, and to be taken over."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

from logbook.errors import DataRefused
from logbook.rules.case import FlightCase, RecordedCase
from logbook.rules.recording_rules import READINGS, TIMES, Beside, beside
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.units import is_instant

Row = dict[str, Any]
PHASES: Final = "phases"
_MOST: Final = 1e9


class Recordings:
    """The recordings of flights; of a book without any, nothing is asked twice."""

    def __init__(self, book: Book) -> None:
        self._records = Records(book, "recording")
        self._any: bool | None = None

    def rows(self, flight_id: str) -> list[Row]:
        """The recordings of a flight that are not struck out, in order of time."""
        if self._any is None:
            self._any = next(self._records.select(limit=1), None) is not None
        if not self._any:
            return []
        found = self._records.select("flight_id = ? AND struck = 0", (flight_id,), order="started, id")
        return [row for _, row in found]

    def cases(self, flight_id: str) -> tuple[RecordedCase, ...]:
        """What the rules look at."""
        return tuple(_case(row) for row in self.rows(flight_id))


def found_in(row: Row) -> Row:
    """What was found, of a recording as the store gives it."""
    told = json.loads(row["findings"])
    return told if isinstance(told, dict) else {}


def _case(row: Row) -> RecordedCase:
    """Only what has the form it should have: another tool may have written into the file."""
    told = found_in(row)
    times = {name: told[name] for name, _ in TIMES if is_instant(told.get(name))}
    packs: list[tuple[str, dict[str, float]]] = []
    listed = told.get("packs")
    for pack in listed if isinstance(listed, list) else ():
        if not isinstance(pack, dict) or not isinstance(pack.get("serial_no"), str):
            continue
        values = {name: pack[name] for name, *_ in READINGS if _is_number(pack.get(name))}
        packs.append((pack["serial_no"], values))
    return RecordedCase(row["recording_id"], times, tuple(packs))


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < _MOST


def described(rows: Sequence[Row], case: FlightCase) -> Row:
    """Recordings of a flight for `show`: each with what was found, and what differs from the record.

    `counts` says which of two values counts: `written down`, `recorded` where it was taken over, `both` where they are
    the same, `neither` where the record says nothing and nobody took the recorded value over.
    """
    return {
        "recordings": [
            {name: value for name, value in row.items() if name not in ("findings", "left_out", "struck")}
            | {"left_out": json.loads(row["left_out"]), "findings": found_in(row)}
            for row in rows
        ],
        "beside": [row._asdict() | {"counts": _counts(row, _source(row, case))} for row in beside(case)],
    }


def _source(row: Beside, case: FlightCase) -> Any:
    """Where the value of the record comes from: that of the pack's reading, or of the time."""
    if not row.serial_no:
        return case.flight.get(f"{row.name}_source")
    return next((pack.reading.get("source") for pack in case.packs if pack.serial_no == row.serial_no), None)


def _counts(row: Beside, source: Any) -> str:
    if row.difference is None:
        return "neither"
    if row.difference == 0:
        return "recorded" if source == "recorder" else "both"
    return "written down"


def accept_recorded(
    book: Book, flight_id: str, names: Sequence[str], *, by: str | None = None, why: str | None = None
) -> list[tuple[str, Any, Any]]:
    """Takes recorded values over into the flight; what was written down stays as its earlier state.

    Args:
        book: the open book.
        flight_id: the flight.
        names: `takeoff`, `SERIAL.soc_landing_pct`, `phases`, or `all` for what differs or is not written down.
        by: who takes them over.
        why: the reason; absent: that they were recorded.

    Returns: column, old and new value of what changed.

    Raises:
        DataRefused: there is no such flight, recording or field, or the flight would contradict itself.
    """
    from logbook.services.correct import correct
    from logbook.services.questions import show_flight

    shown = show_flight(book, flight_id)
    offers = _offers(shown, flight_id)
    wanted = list(offers) if "all" in names else list(names)
    changes: dict[str, Any] = {}
    for name in wanted:
        if name not in offers:
            raise DataRefused(
                f"No recording of flight '{flight_id}' says '{name}'.",
                next_step=f"It says: {', '.join(offers) or 'nothing that could be taken over'}.",
                field=name,
            )
        changes[name] = offers[name]
        serial, point, _ = name.rpartition(".")
        if point:
            changes[f"{serial}.source"] = "recorder"
        elif name != PHASES:
            changes[f"{name}_source"] = "recorder"
    reason = why or "taken over from the recording of the aeroplane"
    return correct(book, "flight", flight_id, changes, by=by, why=reason).changes


def _offers(shown: Row, flight_id: str) -> dict[str, Any]:
    """Everything a flight's recordings could replace or fill in."""
    told = shown["derived"]
    if not told.get("recordings"):
        raise DataRefused(
            f"The flight '{flight_id}' has no recording.",
            next_step="Read one with: logbook import FILE.csv --recording MAPPING.toml.",
        )
    offers = {
        f"{row['serial_no']}.{row['name']}" if row["serial_no"] else row["name"]: row["recorded"]
        for row in told["beside"]
        if row["difference"] != 0
    }
    phases = next(
        (one["findings"].get("phases") for one in told["recordings"] if one["findings"].get("phases")), None
    )
    if phases:
        kept = [
            {name: phase.get(name) for name in ("sequence", "phase", "minutes", "climb_ft", "mean_kw")}
            for phase in phases
        ]
        if kept != shown["phases"]:
            offers[PHASES] = kept
    return offers
