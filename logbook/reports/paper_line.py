"""The one line under a paper by which it is found again: of what, as of when, issued when, and on what it rests.

    Paper check: pack=EB-0001; as-of=2031-05-09T23:59Z; issued=2031-05-10T07:12:33Z; edition=6.1;
    units=kg,C,NM,h:mm; rests-on=flights:214:9e01b2c3, packs:1:77aa01fe; records=<64 digits>; text=...; words=...

A person can read it and type it; no value holds a blank, so that it may be broken anywhere. Names are percent-encoded
(RFC 3986), so that nothing in them can end a value.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NamedTuple
from urllib.parse import quote, unquote

START: Final = "Paper check:"
"""What the line begins with."""
FORM: Final = 1
"""How digests of papers are made. Raised when rows or columns behind them change, so that this never looks like a changed record."""
_START: Final = re.compile(START.replace(" ", r"\s+"))
_INSTANT: Final = r"\d{4}-\d\d-\d\dT\d\d:\d\d"
_LINE: Final = re.compile(
    rf"(?P<what>[a-z]{{1,20}})=(?P<which>[^;\s]{{0,2000}});as-of=(?P<as_of>{_INSTANT}Z);issued=(?P<issued>{_INSTANT}:\d\dZ);"
    r"edition=(?P<words_edition>\d{1,6})\.(?P<form>\d{1,6});units=(?P<units>[A-Za-z:,]{1,40});"
    r"rests-on=(?P<rests>(?:[a-z-]{1,30}:\d{1,9}:[0-9a-f]{8},?)*);records=(?P<records>[0-9a-f]{64})"
    r"(?:;text=(?P<text>[0-9a-f]{16}))?(?:;words=(?P<words>[0-9a-f]{16}))?\."
)


class Part(NamedTuple):
    """Records of one kind behind a paper: how many, and the first eight digits of their digest."""

    kind: str
    number: int
    mark: str


class PaperLine(NamedTuple):
    """What a paper says of itself.

    Attributes:
        what: which paper: pack, aircraft, year, packs, plan, or table.
        which: serial number, registration, year or id of the one it is of; empty where it is of all.
        as_of: the moment up to which the record counts (UTC).
        issued: when it was written (UTC, to the second).
        words_edition: of the rules and their words.
        form: of the digest, `FORM` of the program that issued it.
        units: the units it is written in.
        parts: the records it rests on, kind by kind.
        records: SHA-256 over all of them.
    """

    what: str
    which: str
    as_of: str
    issued: str
    words_edition: int
    form: int
    units: str
    parts: Sequence[Part]
    records: str

    @property
    def fields(self) -> str:
        """The line without its end: what the marks of the text are made over, too."""
        rests = ", ".join(f"{part.kind}:{part.number}:{part.mark}" for part in self.parts)
        return (
            f"{self.what}={_named(self.which)}; as-of={self.as_of}; issued={self.issued}; "
            f"edition={self.words_edition}.{self.form}; units={self.units}; rests-on={rests}; records={self.records}"
        )

    def written(self, text: str = "", words: str = "") -> str:
        """The whole line.

        Args:
            text: the mark of the printed text as it stands, if there is one.
            words: the mark of its words alone.
        """
        marks = "".join(f"; {name}={mark}" for name, mark in (("text", text), ("words", words)) if mark)
        return f"{START} {self.fields}{marks}."


class ReadLine(NamedTuple):
    """A line as it was found: what it says, the marks of the text (empty: none), and what stands behind it."""

    line: PaperLine
    text: str
    words: str
    behind: str


def _named(which: str) -> str:
    return quote(which, safe="").replace(".", "%2E")  # a full stop ends the line


def split_at_line(text: str) -> tuple[str, str] | None:
    """What stands before the last line of this kind in a text, and what follows its beginning; None where there is none."""
    found = None
    for found in _START.finditer(text):  # noqa: B007 - the last one is wanted: a remark may quote another paper
        pass
    return None if found is None else (text[: found.start()], text[found.end() :])


def read_line(text: str) -> ReadLine | None:
    """Reads what follows `START`, however it was broken into lines; None where it is damaged."""
    end = re.search(r"\.(?=\s|$)", text)  # the line ends with a full stop that a blank follows
    tight = "".join((text if end is None else text[: end.end()]).split())
    found = _LINE.fullmatch(tight)
    if found is None or end is None:
        return None
    named = found.groupdict()
    parts = [one.split(":") for one in named["rests"].split(",") if one]
    line = PaperLine(
        named["what"],
        unquote(named["which"], errors="replace"),
        named["as_of"],
        named["issued"],
        int(named["words_edition"]),
        int(named["form"]),
        named["units"],
        tuple(Part(kind, int(count), mark) for kind, count, mark in parts),
        named["records"],
    )
    return ReadLine(line, named["text"] or "", named["words"] or "", text[end.end() :].strip())
