"""Which flags were answered: rule, pack and the figures behind them, by the record they are of."""

from __future__ import annotations

from typing import Final

from logbook.store.database import Book
from logbook.store.records import Records, Row

Answered = tuple[str, str, str]
"""Rule, serial number of the pack or empty, and the figures the answer was given for."""

OWNERS: Final = {
    "flight": "flight_id",
    "charge": "charge_id",
    "observation": "observation_id",
    "maintenance": "entry_id",
}
"""The kinds of record whose flags are answered, each with the column of an answer that names it."""


class Answers:
    """Answers to the flags of records of one kind: asked for one after the other, or read whole.

    Args:
        book: the open book.
        of: a column of `OWNERS`.
        whole: all of them will be asked for.
    """

    def __init__(self, book: Book, of: str = "flight_id", *, whole: bool = False) -> None:
        if of not in OWNERS.values():
            raise ValueError(of)
        self._records, self._owner = Records(book, "answer"), of
        self._whole: dict[str, set[Answered]] | None = None
        if whole:
            self._whole = {}
            for _, row in self._records.select(f"{of} IS NOT NULL AND struck = 0"):
                self._whole.setdefault(row[of], set()).add(_answered(row))

    def of(self, record_id: str) -> set[Answered]:
        """What was answered of one record."""
        if self._whole is not None:
            return self._whole.get(record_id, set())
        rows = self._records.select(f"{self._owner} = ? AND struck = 0", (record_id,))
        return {_answered(row) for _, row in rows}


def answers_of(book: Book, record_id: str, of: str) -> list[Row]:
    """The answers to the flags of one record, as they were given; `of` as in `Answers`."""
    if of not in OWNERS.values():
        raise ValueError(of)
    return [row for _, row in Records(book, "answer").select(f"{of} = ? AND struck = 0", (record_id,))]


def _answered(row: Row) -> Answered:
    return row["rule"], row["serial_no"] or "", row["figures"]
