"""Reading an issued paper again: text, HTML or PDF, or its last line alone. What is read is not trusted and is bounded."""

from __future__ import annotations

import codecs
from pathlib import Path
from typing import Final, NamedTuple

from logbook.errors import DataRefused, FileTrouble, NoBook
from logbook.reports.paper_line import START, PaperLine, ReadLine, read_line, split_at_line
from logbook.reports.paper_text import marks_of, sealed_with, split_html, split_text

MOST: Final = 32 * 2**20
"""A larger file is no paper of ours [bytes]; that of a year with twenty thousand flights has less than a hundredth."""
AS_ISSUED, RESET, ALTERED, NO_TEXT = "as issued", "lines broken anew", "altered", "not compared"
_TAKE: Final = "Give the text, HTML or PDF file as it was written, or a file with the line 'Paper check: ...' typed off it."


class Issued(NamedTuple):
    """An issued paper as it was read.

    Attributes:
        line: what it says of itself.
        text: what became of its text: as issued, lines broken anew, altered, or not compared.
        behind: something stands behind its last line that was not there when it was written.
    """

    line: PaperLine
    text: str
    behind: bool


def read_file(path: Path) -> bytes:
    """The bytes of a file, not more than a paper can have.

    Raises:
        NoBook: there is no such file.
        DataRefused: it is a folder, a device, or too large.
        FileTrouble: it cannot be read.
    """
    if not path.exists():
        raise NoBook(f"There is nothing at {path}.", next_step="Type the path of an issued paper.")
    if not path.is_file():
        raise DataRefused(f"{path} is no file.", next_step=_TAKE)
    try:
        with path.open("rb") as file:
            return bounded(file.read(MOST + 1))
    except OSError as error:
        raise FileTrouble(
            f"The file {path} cannot be read: {error.strerror}.", next_step="Check its permissions."
        ) from error


def bounded(data: bytes) -> bytes:
    """The same bytes.

    Raises:
        DataRefused: they are more than a paper can have.
    """
    if len(data) > MOST:
        raise DataRefused(f"It is larger than {MOST // 2**20} MiB: no paper of ours.", next_step=_TAKE)
    return data


def read_paper(data: bytes) -> Issued:
    """What an issued paper says of itself, and whether its text is as it was issued.

    Raises:
        DataRefused: it is no paper of this program, or its last line is damaged.
    """
    if data.lstrip()[:5] == b"%PDF-":
        return _pdf(data)
    content = _decoded(data)
    split = split_html(content) if "<main>" in content else split_text(content)
    if split is None:
        raise _no_paper(
            "It has no line 'Paper check: ...': it is no paper of this program, or a part of one."
        )
    found = _line(split.after)
    marks = marks_of(found.line, split.body)
    if not found.text or not split.body.strip():
        text = NO_TEXT
    elif found.text == marks.text:
        text = AS_ISSUED
    else:
        text = RESET if found.words == marks.words else ALTERED
    return Issued(found.line, text, bool(found.behind))


def _pdf(data: bytes) -> Issued:
    start = data.find(f"/Keywords ({START}".encode())
    written = (
        b"" if start < 0 else data[start + len("/Keywords (") : data.find(b")", start + len("/Keywords ("))]
    )
    split = split_at_line(written.decode("ascii", "replace"))
    if split is None:
        raise _no_paper(
            "The PDF holds no line 'Paper check: ...' that can be read: it is no paper of this program, or was saved by another."
        )
    found = _line(split[1])
    if not found.text:
        return Issued(found.line, NO_TEXT, behind=False)
    return Issued(found.line, AS_ISSUED if sealed_with(data, found.text) else ALTERED, behind=False)


def _line(after: str) -> ReadLine:
    found = read_line(after)
    if found is None:
        raise _no_paper("Its line 'Paper check: ...' is damaged: a part of it is missing or was changed.")
    return found


def _decoded(data: bytes) -> str:
    wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        return data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        raise _no_paper("It is neither text, HTML nor PDF.") from None


def _no_paper(problem: str) -> DataRefused:
    return DataRefused(problem, next_step=_TAKE)
