"""What became of the rows of an import."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

Progress = Callable[[int, str], None]
"""Called now and then with how many rows are done, and the file that is being read."""


@dataclass
class Counts:
    """Of one kind of record: how many entered, were there already with the same content, or were refused."""

    new: int = 0
    same: int = 0
    refused: int = 0


class RefusedRow(NamedTuple):
    """A row that was not taken in: its file and line, the id it gives, and why."""

    file: str
    line: int
    record_id: str
    why: str


class RowFate(NamedTuple):
    """What would become of a row: new, same, differs (the book holds it with other content) or refused; and why."""

    file: str
    line: int
    record_id: str
    fate: str
    why: str = ""


@dataclass
class ImportReport:
    """What an import did, or would do.

    Attributes:
        counts: by kind of record, in the order in which they entered; `version` for earlier states.
        refused: every row that was not taken in.
        refused_to: the folder in which these rows were written, if they were.
        dry_run: nothing was written.
        fates: of every row, where a foreign file was tried out.
        notes: what else there is to say, one sentence each.
    """

    counts: dict[str, Counts] = field(default_factory=dict)
    refused: list[RefusedRow] = field(default_factory=list)
    refused_to: Path | None = None
    dry_run: bool = False
    fates: list[RowFate] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def count(self, kind: str) -> Counts:
        """The counts of a kind."""
        return self.counts.setdefault(kind, Counts())

    @property
    def entered(self) -> int:
        """How many rows are, or would be, new in the book or in it already."""
        return sum(counts.new + counts.same for counts in self.counts.values())
