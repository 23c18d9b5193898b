"""What a person can do something about, as errors; anything else that is raised is a defect.

LogbookError            what is wrong, and what to do next
├── UsageError          the command was called wrongly                        exit 2
├── DataRefused         a record cannot be true, or names something unknown   exit 3
│   ├── ChangedMeanwhile    somebody else changed the record first
│   └── OtherContent        the book has another record under that id, or in that place
├── NoBook              there is no book at that path                         exit 3
└── FileTrouble         locked, full, damaged, read-only, foreign, newer      exit 74
"""

from __future__ import annotations

from typing import ClassVar


class LogbookError(Exception):
    """A problem a person can act on: what is wrong, and what to do next.

    Attributes:
        problem: one sentence that says what is wrong.
        next_step: one sentence that says what to do.
        field: the field concerned, or empty.
    """

    exit_code: ClassVar[int] = 3

    def __init__(self, problem: str, *, next_step: str, field: str = "") -> None:
        super().__init__(f"{problem} {next_step}")
        self.problem = problem
        self.next_step = next_step
        self.field = field


class UsageError(LogbookError):
    """A command was called in a way it does not know."""

    exit_code: ClassVar[int] = 2


class DataRefused(LogbookError):
    """A record contradicts itself, or names something the book does not know."""


class ChangedMeanwhile(DataRefused):
    """The record was changed by somebody else since it was read."""


class OtherContent(DataRefused):
    """The book holds another record under the same id, or in the same place."""


class NoBook(LogbookError):
    """There is no logbook at the path that was named."""


class FileTrouble(LogbookError):
    """The file cannot be read or written: locked, full, damaged, read-only, foreign or newer."""

    exit_code: ClassVar[int] = 74
