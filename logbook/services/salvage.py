"""Taking over what can still be read of a damaged book, or of one that is not trusted, into a new one."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NamedTuple

from logbook.domain.flight import Crew, Phase, Reading
from logbook.domain.record import Part, read_record
from logbook.errors import DataRefused, FileTrouble, UsageError
from logbook.reports.visible import visible
from logbook.services.check import mend
from logbook.services.kinds import KINDS
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from logbook.store.salvage import WANTED, Remains, read_remains
from logbook.store.salvage_in import Entered, enter

_SHOWN = 20


class Salvaged(NamedTuple):
    """What was taken over and what could not be.

    Attributes:
        book: the new book.
        report: a file beside it that says what is missing, with every value that was read and did not enter.
        counts: rows taken over, by table; tables that hold none are left out.
        words: what is missing, in sentences; none where all that was there is in the new book.
    """

    book: Path
    report: Path
    counts: dict[str, int]
    words: list[str]


def salvage(damaged: Path, to: Path) -> Salvaged:
    """Reads what can be read of a file and makes a new book of it; the file is not changed, and nothing of it runs.

    Raises:
        NoBook: there is no such file.
        UsageError: something stands at the place of the new book or of its report.
        DataRefused: nothing of a logbook can be read.
        FileTrouble: the new book cannot be written; nothing of it stays then.
    """
    report = to.with_name(to.name + ".salvage.txt")
    for path in (to, report):
        if path.exists():
            raise UsageError(f"{path} is there already.", next_step="Name another place for the new book.")
    remains = read_remains(damaged)
    try:
        with Book.open(to, create=True) as book:
            entered = enter(book, remains, _objection)
            mend(book)
    except FileTrouble:
        to.unlink(missing_ok=True)
        raise
    words = _words(remains, entered)
    _write(report, damaged, words, entered)
    return Salvaged(to, report, {name: count for name, count in entered.counts.items() if count}, words)


def _objection(table: str, row: dict[str, Any]) -> str:
    """Why a row cannot be such a record: a damaged page can hold values that no form would have let in."""
    try:
        values = {
            column: json.loads(value) if value is not None and column in TABLES[table].lists else value
            for column, value in row.items()
        }
        read_record(_model(table), values)
    except DataRefused as error:
        return error.problem
    except (ValueError, RecursionError):
        return "A list in it is no list."
    return ""


def _model(table: str) -> type[Part]:
    parts: dict[str, type[Part]] = {"reading": Reading, "crew": Crew, "phase": Phase}
    if table in parts:
        return parts[table]
    return next(kind for kind in KINDS.values() if kind.table == table).load()


def _words(remains: Remains, entered: Entered) -> list[str]:
    """What is missing, table by table."""
    words = []
    for name in WANTED:
        lost = remains.lost(name)
        if lost:
            words.append(f"{name}: {len(lost)} rows could not be read (numbers {_ranges(lost)}).")
        if remains.loose[name]:
            words.append(
                f"{name}: {remains.loose[name]} rows were found in loose pages; each may be an earlier state of itself."
            )
        refused = sum(1 for one in entered.refused if one.table == name)
        if refused:
            words.append(
                f"{name}: {refused} rows were read and could not enter; their values are in the report."
            )
    if entered.stand_ins:
        words.append(
            f"Lost, but named by other rows, and entered under a name of its own: {', '.join(entered.stand_ins)}. "
            "Correct the names where you know them."
        )
    return words


def _ranges(numbers: list[int]) -> str:
    """Runs of numbers in short: 3-7, 9; after twenty runs only how many there are."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    shown = [str(first) if first == last else f"{first}-{last}" for first, last in runs[:_SHOWN]]
    return ", ".join(shown) + (f" and {len(runs) - _SHOWN} more runs" if len(runs) > _SHOWN else "")


def _write(report: Path, damaged: Path, words: list[str], entered: Entered) -> None:
    from logbook.reports.target import text_to

    with text_to(report) as file:
        file.write(f"Salvaged from {visible(str(damaged))}\n\n")
        for name, count in entered.counts.items():
            if count:
                file.write(f"{name}: {count} rows taken over\n")
        file.write(
            "\n" + "".join(f"{word}\n" for word in words or ["Nothing is missing, as far as can be told."])
        )
        for one in entered.refused:
            row = json.dumps(one.row, ensure_ascii=True)
            file.write(f"\n{one.table} {one.number}: {visible(one.why)}\n{row}\n")
