"""A printed page as data: headings, facts, tables, sentences, plots and a line to sign; written as HTML or plain text.

Values are text or numbers as they are in the rows; whoever builds a paper rounds nothing.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from logbook.reports.paper_line import PaperLine
from logbook.reports.plot import Plot
from logbook.reports.text_table import Column

Row = dict[str, Any]
NOT_RECORDED = "not recorded"
"""What stands on paper where a field that belongs there was never filled in: a blank could be a page left unfinished."""
NOT_A_RELEASE = "As recorded by the operator; not a release to service."


@dataclass(frozen=True)
class Heading:
    """A heading within the page."""

    words: str


@dataclass(frozen=True)
class Words:
    """A sentence or two."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Facts:
    """Labels and values; what is unknown is said to be so, for a blank on paper could be a page that was not filled in."""

    pairs: Sequence[tuple[str, Any]]


@dataclass(frozen=True)
class Listing:
    """Rows under headings; `empty` is said where there are none."""

    columns: Sequence[Column]
    rows: Sequence[Row]
    empty: str = "None recorded."


@dataclass(frozen=True)
class Picture:
    """A plot, and what it shows in words for a page without pictures."""

    plot: Plot
    words: str


@dataclass(frozen=True)
class SignHere:
    """Lines to sign on: what each is for."""

    lines: Sequence[str] = ("Date", "Name", "Certificate number", "Signature")


Block = Heading | Words | Facts | Listing | Picture | SignHere


@dataclass(frozen=True)
class Paper:
    """One paper.

    Attributes:
        title: what it is, of what.
        as_of: the moment up to which the record counts (UTC).
        digest: of the rows it rests on, from `digest_of`.
        blocks: from top to bottom.
        standing: the sentence that says what the paper is not.
        line: by which it is found again, so that it can be asked whether it is still true; None: it cannot.
    """

    title: str
    as_of: str
    digest: str
    blocks: Sequence[Block] = field(default_factory=tuple)
    standing: str = NOT_A_RELEASE
    line: PaperLine | None = None

    @property
    def footing(self) -> str:
        """What stands under every page: the state of the record, and the digest by which a later change shows."""
        return f"Record as of {self.as_of} (UTC). Digest of the records it rests on: SHA-256 {self.digest}"


def recorded(rows: Iterable[Row], *names: str) -> list[Row]:
    """Rows in which the named fields, where they are empty, say that nothing was recorded."""
    return [
        row | {name: NOT_RECORDED for name in names if row.get(name) is None or row[name] == ""}
        for row in rows
    ]


def digest_of(rows: Iterable[Any]) -> str:
    """SHA-256 over rows in one canonical form, whatever order they come in.

    Each row is a line of JSON (RFC 8259) with sorted names and no blanks, in UTF-8; the lines are sorted and each is
    ended by a line feed.

    Args:
        rows: recorded rows.

    Returns: 64 hexadecimal digits.
    """
    write = json.JSONEncoder(
        sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    ).encode
    lines = sorted(write(row) for row in rows)
    return hashlib.sha256("".join(f"{line}\n" for line in lines).encode()).hexdigest()
