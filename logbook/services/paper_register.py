"""The list of papers that were issued from a book: what, as of when, by whom, and whether what each rests on has changed since.

Noting a paper never stands in the way of writing it: from a book that can only be read it is written all the same, and
that it stands in no list is said.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Any, NamedTuple

from logbook.errors import DataRefused, FileTrouble
from logbook.reports.paper import Paper
from logbook.services.paper_check import TITLES, UNCHANGED, UNKNOWN, Checked, check_paper, of_records
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.units import shown_instant

Row = dict[str, Any]
NOT_NOTED = "It stands in no list of issued papers, as the book cannot be written now."


class IssuedNow(NamedTuple):
    """A paper of the list, and how it stands.

    Attributes:
        row: as it is listed.
        records: `unchanged`, `changed`, or `cannot tell`.
        words: the verdict as a sentence; of one that cannot be told, why.
        checked: the whole answer; None where there is none.
    """

    row: Row
    records: str
    words: str
    checked: Checked | None

    @property
    def title(self) -> str:
        """Which paper, as of when, issued when and by whom."""
        row = self.row
        title = TITLES.get(row["what"], "Paper of {}").format(row["which"] or "")
        by = f" by {row['by_whom']}" if row["by_whom"] else ""
        name = f" ({row['file_name']})" if row["file_name"] else ""
        return (
            f"{title}, as of {shown_instant(row['as_of'])}, issued {shown_instant(row['issued'])}{by}{name}"
        )

    @property
    def sign(self) -> str:
        """`ok` where it is unchanged, else `!`."""
        return "ok" if self.records == UNCHANGED else "!"


def note_issue(
    book: Book, paper: Paper, forms: Sequence[str], file_name: str, *, by: str | None = None
) -> str:
    """Notes that a paper was written to a file.

    Args:
        book: the book it is of.
        paper: with its line.
        forms: in which it was written.
        file_name: without its folder.
        by: who issued it.

    Returns: Why it could not be noted, in words; empty where it was, or where it is no paper that can be asked about.
    """
    from logbook.domain.record import read_record
    from logbook.services.add import now, put
    from logbook.services.kinds import KINDS

    line = paper.line
    if line is None or line.what not in TITLES or line.what == "table":
        return ""
    data = {
        "paper_id": str(uuid.uuid4()),
        "what": line.what,
        "which": line.which or None,
        "as_of": line.as_of,
        "issued": line.issued,
        "by_whom": by,
        "digest": line.records,
        "format": " ".join(forms),
        "file_name": file_name[:200],
        "line": line.written(),
    }
    kind = KINDS["paper"]
    try:
        with book.writing(by=by, adding=True):
            put(book, kind, read_record(kind.load(), data), {"entered_by": by, "entered_at": now()})
    except FileTrouble:
        return NOT_NOTED
    return ""


def issued_papers(book: Book) -> list[IssuedNow]:
    """Every paper of the list that is not struck out, the newest first, with how it stands now."""
    rows = Records(book, "paper").select("struck = 0", order="issued DESC, n DESC")
    return [_now(book, row) for _, row in rows]


def _now(book: Book, row: Row) -> IssuedNow:
    try:
        checked = check_paper(book, row["line"].encode())
    except DataRefused as refused:
        return IssuedNow(row, UNKNOWN, f"CANNOT BE TOLD: {refused}", None)
    return IssuedNow(row, checked.records, of_records(checked), checked)


def as_data(paper: IssuedNow) -> Row:
    """One of them for JSON."""
    from logbook.services.paper_check import as_data as answer

    names = ("paper_id", "what", "which", "as_of", "issued", "by_whom", "digest", "format", "file_name")
    found = None if paper.checked is None else answer(paper.checked)
    compared = {name: found[name] if found else [] for name in ("differences", "changed")}
    return {name: paper.row[name] for name in names} | {
        "records": paper.records,
        "words": paper.words,
        **compared,
    }
