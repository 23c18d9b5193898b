"""What of a printed paper is its text, so that a figure changed by hand afterwards shows.

Two marks: of the text line by line (of HTML: element by element), and of its words alone. Line ends, trailing blanks and, in
HTML, broken lines change neither; a mail program that breaks the lines of a text anew changes the first only. Neither proves
anything against somebody who makes a mark of their own: they are no signature.
"""

from __future__ import annotations

import hashlib
import html
import re
import unicodedata
from typing import Final, NamedTuple

from logbook.reports.paper_line import PaperLine, split_at_line

_DIGITS: Final = 16
NO_MARK: Final = "0" * _DIGITS
"""What stands in a PDF until it is whole."""
_ROOM: Final = f"text={NO_MARK}".encode()
_TAG: Final = re.compile(r"<[^<>]*>")
_MAIN: Final = "<main>"


class Marks(NamedTuple):
    """The first sixteen digits of SHA-256 over the text as it stands, and over its words; with the line's own fields."""

    text: str
    words: str


class Split(NamedTuple):
    """A paper taken apart: its text in the canonical form, and what follows the beginning of the line."""

    body: str
    after: str


def split_text(content: str) -> Split | None:
    """A plain text taken apart; None where there is no line."""
    found = split_at_line(content)
    return None if found is None else Split(_lines(found[0]), found[1])


def split_html(content: str) -> Split | None:
    """A page taken apart: what stands between its tags, an element a line; None where there is no line."""
    start = content.find(_MAIN)
    inner = content[start + len(_MAIN) :] if start >= 0 else content
    found = split_at_line(inner)
    if found is None:
        return None
    pieces = (" ".join(html.unescape(piece).split()) for piece in _TAG.split(found[0]))
    return Split(_lines("\n".join(pieces)), html.unescape(_TAG.sub(" ", found[1])))


def marks_of(line: PaperLine, body: str) -> Marks:
    """The marks of a paper whose text is in its canonical form."""
    return Marks(_digest(f"{line.fields}\n{body}"), _digest(f"{line.fields}\n{' '.join(body.split())}"))


def seal(pdf: bytes) -> bytes:
    """A PDF with its mark in the place of the noughts that were left for it: over the whole file with those noughts."""
    at = pdf.find(_ROOM)
    if at < 0:
        return pdf
    mark = hashlib.sha256(pdf).hexdigest()[:_DIGITS].encode()
    return pdf[:at] + b"text=" + mark + pdf[at + len(_ROOM) :]


def sealed_with(pdf: bytes, mark: str) -> bool:
    """Whether a PDF is, byte for byte, what it was when it got this mark."""
    bare = pdf.replace(b"text=" + mark.encode(), _ROOM, 1)
    return hashlib.sha256(bare).hexdigest()[:_DIGITS] == mark


def _lines(text: str) -> str:
    lines = (line.rstrip() for line in unicodedata.normalize("NFC", text).splitlines())
    return "\n".join(lines).strip("\n")


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]
