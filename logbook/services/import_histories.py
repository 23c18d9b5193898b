"""Taking in `versions.csv`: the earlier states of the records that an import has just entered."""

from __future__ import annotations

import re
from math import isfinite
from typing import Any, Final, Protocol

from logbook.errors import DataRefused
from logbook.exchange.layout import LAYOUTS, PART_FILES
from logbook.exchange.rows_in import Sheet
from logbook.services.import_report import ImportReport
from logbook.services.kinds import KINDS
from logbook.store.loading import Histories
from logbook.store.records import Row, Version

_AT: Final = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?Z")
_FILES: Final = PART_FILES | {kind.table: kind.file for kind in KINDS.values()}


class _Run(Protocol):
    report: ImportReport

    def refuse(self, sheet: Sheet, row: list[str], error: DataRefused) -> None: ...

    def tell(self, name: str) -> None: ...


def take_histories(sheet: Sheet, histories: Histories, run: _Run) -> None:
    """Writes the earlier states of records that are new; those of records that were there before stay as they are.

    Args:
        sheet: the file.
        histories: the store's side of it.
        run: the import that counts, and keeps what is refused.
    """
    counts, left = run.report.count("version"), 0
    for row in sheet:
        try:
            fate = _take(sheet.values(row), histories)
        except DataRefused as error:
            run.refuse(sheet, row, error)
        else:
            counts.new += fate == "new"
            counts.same += fate == "same"
            left += fate == "left"
        run.tell("versions")
    if left:
        run.report.notes.append(
            f"{left} earlier states of records that were in the book already were left out; 'logbook merge' takes them in."
        )


def _take(values: Row, histories: Histories) -> str:
    seq, record, record_id, at = (values.get(name) for name in ("seq", "record", "record_id", "at"))
    if record not in _FILES:
        raise DataRefused("A version names no kind of record.", next_step="Correct 'record'.", field="record")
    if seq is not None and (not isinstance(seq, int) or not 0 < seq < 2**53):
        raise DataRefused(
            "The number of a version is not a whole number above 0.", next_step="Correct 'seq'.", field="seq"
        )
    if not isinstance(at, str) or not _AT.fullmatch(at):
        raise DataRefused(
            "A version does not say when it was replaced.", next_step="Correct 'at'.", field="at"
        )
    was = values.get("was")
    if was is not None:
        refuse_odd_state(str(record), was)
    record_id = str(record_id or "")
    whose = histories.state_of(str(record), record_id)
    if not whose:
        raise DataRefused(
            f"The version belongs to a {record} '{record_id[:80]}' that is not in the book.",
            next_step="Add the record.",
            field="record_id",
        )
    if whose == "old":
        return "same" if histories.holds(str(record), record_id, at, was) else "left"
    histories.insert(
        Version(
            seq=seq,
            record=record,
            record_id=record_id,
            was=was,
            at=at,
            by_whom=values.get("by_whom"),
            why=values.get("why"),
        )
    )
    return "new"


def refuse_odd_state(record: str, was: Row) -> None:
    """An earlier state may hold what would be refused today, but only in columns there are, as plain values.

    Raises:
        DataRefused: it holds something else.
    """
    types = LAYOUTS[_FILES[record]].types
    for name, value in was.items():
        if name not in types or (name == "flight_id" and record in PART_FILES):
            raise DataRefused(
                f"A {record} has no field '{name[:60]}'.", next_step="Correct 'was'.", field="was"
            )
        if not _plain(value, types[name]):
            raise DataRefused(
                f"Field '{name}' of an earlier {record} is not a value of its kind.",
                next_step="Correct 'was'.",
                field="was",
            )


def _plain(value: Any, kind: type) -> bool:
    if value is None:
        return True
    if kind is list:
        return isinstance(value, list) and all(
            item is not None and (_plain(item, str) or _plain(item, float)) for item in value
        )
    if kind is str:
        return isinstance(value, str) and not any("\ud800" <= char <= "\udfff" for char in value)
    return (
        isinstance(value, (int, float))
        and not isinstance(value, bool)
        and abs(value) < 2**53
        and isfinite(value)
    )
