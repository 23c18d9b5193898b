"""What a merge found and did."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

Decisions = Mapping[tuple[str, str, str], str]
"""The key of a difference to `ours` or `theirs`."""


class Difference(NamedTuple):
    """A record on which the two books do not agree.

    Attributes:
        kind: the kind of record.
        record_id: its id in this book, or that of the other where it is not here.
        other_id: its id in the other book.
        fields: field, what this book says, what the other says.
        words: why they are taken for the same record, or why the other's cannot enter.
        decided: `ours` or `theirs` once it was decided, else empty.
        part: of a charge, the pack it is of; else empty.
    """

    kind: str
    record_id: str
    other_id: str
    fields: tuple[tuple[str, Any, Any], ...]
    words: str
    decided: str = ""
    part: str = ""

    @property
    def key(self) -> tuple[str, str, str]:
        """What a decision on it is kept under."""
        return self.kind, self.other_id, self.part


@dataclass
class MergeCounts:
    """Of one kind: new here; the same in both; continued by the other book; continued by this one; different."""

    new: int = 0
    same: int = 0
    continued: int = 0
    ahead: int = 0
    different: int = 0


@dataclass
class MergeReport:
    """What a merge did, or would do.

    Attributes:
        counts: by kind of record.
        differences: what has to be decided, or was.
        written: the book was changed.
        backup: the copy of the book as it was before, where it was changed.
        people: names in the other book that stand for another name here, by licence number.
    """

    counts: dict[str, MergeCounts] = field(default_factory=dict)
    differences: list[Difference] = field(default_factory=list)
    written: bool = False
    backup: Path | None = None
    people: dict[str, str] = field(default_factory=dict)

    def count(self, kind: str) -> MergeCounts:
        """The counts of a kind."""
        return self.counts.setdefault(kind, MergeCounts())
