"""Due dates as a calendar (iCalendar, RFC 5545): one all-day event each, with a name that stays the same."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Final, NamedTuple, TextIO

from logbook.reports.visible import visible

_NAMESPACE: Final = uuid.UUID("9a1d7c1e-02fb-5a58-8f9e-7e7a3fb0c2d4")
_STAMP: Final = "20000101T000000Z"
"""RFC 5545 wants to know when an event was made; the same dates shall give the same bytes."""

_LONGEST: Final = 75
"""Octets of a line, the line end left out (RFC 5545, 3.1)."""


class DueDate(NamedTuple):
    """One date: the day (YYYY-MM-DD), what is due, more words, and the record it stands for."""

    day: str
    summary: str
    description: str
    record_id: str


def write_calendar(stream: TextIO, dates: Iterable[DueDate]) -> None:
    """Writes a calendar; importing it again updates its events instead of doubling them."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//electric-aeroplane-logbook//EN",
        "CALSCALE:GREGORIAN",
    ]
    for due in dates:
        lines += _event(due)
    lines.append("END:VCALENDAR")
    stream.writelines(folded(line) for line in lines)


def _event(due: DueDate) -> list[str]:
    day = date.fromisoformat(due.day)
    made_of = f"{due.record_id}\x1f{due.summary}"
    lines = [
        "BEGIN:VEVENT",
        f"UID:{uuid.uuid5(_NAMESPACE, made_of)}",
        f"DTSTAMP:{_STAMP}",
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}",
    ]
    if day < date.max:  # absent: one day (RFC 5545, 3.6.1)
        lines.append(f"DTEND;VALUE=DATE:{day + timedelta(days=1):%Y%m%d}")
    lines.append(f"SUMMARY:{escaped(due.summary)}")
    if due.description:
        lines.append(f"DESCRIPTION:{escaped(due.description)}")
    return [*lines, "TRANSP:TRANSPARENT", "END:VEVENT"]


def escaped(text: str) -> str:
    """A text value: backslash, semicolon, comma and line ends escaped (RFC 5545, 3.3.11), other controls made visible."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    kept = plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return visible(kept, keep_newlines=True).replace("\n", "\\n")


def folded(line: str) -> str:
    """The line with its line end, broken so that no piece is longer than 75 octets and no character is cut."""
    pieces, piece, length = [], "", 0
    for character in line:
        size = len(character.encode())
        if length + size > _LONGEST:
            pieces.append(piece)
            piece, length = " ", 1
        piece += character
        length += size
    pieces.append(piece)
    return "\r\n".join(pieces) + "\r\n"
