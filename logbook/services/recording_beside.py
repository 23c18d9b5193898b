"""A recording that was shown beside the form, kept beside the flight once that is saved.

What the form holds meanwhile is a reference: where the file is and how it was read. So a draft that outlives the program
still leads to it, as long as the file is where it was.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from logbook.errors import DataRefused, LogbookError
from logbook.exchange.recording_findings import Findings
from logbook.exchange.recording_mapping import recording_mapping_of
from logbook.services.import_recording import take_in
from logbook.services.propose_recording import energy_words
from logbook.services.recording_read import Reading, ReadRecording, read_recording
from logbook.store.database import Book

_SECOND: Final = 0.5


def reference(read: ReadRecording) -> str:
    """What a draft keeps of a recording, as JSON."""
    return json.dumps(
        {
            "digest": read.trace.digest,
            "path": str(read.path.absolute()),
            "mapping": read.mapping.told,
            "offset_s": read.mapping.time.offset_s,
            "aircraft": read.aircraft,
            "start": read.start,
            "from": read.trace.at[0],
            "to": read.trace.at[-1],
        },
        ensure_ascii=False,
    )


def digest_in(told: str) -> str:
    """The digest of the file a reference leads to; empty where it is none."""
    return str(_words(told).get("digest", ""))


def keep_beside(
    book: Book, flight_id: str, references: Sequence[str], read: Mapping[str, ReadRecording], by: str | None
) -> list[str]:
    """Keeps recordings beside a flight that is in the book; gives a line for each that says what became of it.

    Args:
        book: the open book.
        flight_id: the flight.
        references: as `reference` makes them.
        read: those still in memory, by digest; the others are read again.
        by: who keeps them.
    """
    said = []
    for told in references:
        words = _words(told)
        name = Path(str(words.get("path", "?"))).name
        try:
            recording = read.get(digest_in(told)) or _again(words)
            taken = take_in(book, recording.copy(), flight_id=flight_id, by=by)
        except LogbookError as error:
            said.append(
                f"! The recording {name} is not kept beside it: {error.problem} Take it in with Import once that is mended."
            )
            continue
        said.append(f"The recording {name} is kept beside it{measured(taken.findings)}.")
    return said


def measured(findings: Findings) -> str:
    """The measured energy and of which packs, to end a sentence; empty where none was recorded."""
    if findings.energy_kwh is None:
        return ""
    packs = ", ".join(str(pack["serial_no"]) for pack in findings.packs)
    return f": {energy_words(findings.energy_kwh, at_least=findings.at_least)} measured of {packs}"


def _words(told: str) -> dict[str, Any]:
    """A reference; empty where a draft holds something else."""
    try:
        words = json.loads(told)
    except ValueError:
        return {}
    return words if isinstance(words, dict) else {}


def _again(words: dict[str, Any]) -> ReadRecording:
    """Reads the file once more, which must be the same.

    Raises:
        LogbookError: it cannot be read, or is another one.
    """
    try:
        mapping = recording_mapping_of(dict(words["mapping"]))
        path, offset = Path(words["path"]), float(words["offset_s"])
        start, end = float(words["from"]), float(words["to"])
    except (KeyError, TypeError, ValueError):
        raise DataRefused("The draft does not say where it is.", next_step="Take it in again.") from None
    start_of, aircraft = str(words.get("start", "")), str(words.get("aircraft", ""))
    read = read_recording(Reading(path, mapping, offset, start_of, aircraft))
    if read.trace.digest != words.get("digest"):
        raise DataRefused(f"{path.name} is another file by now.", next_step="Take it in again.")
    read.trace.cut(start - _SECOND, end + _SECOND)
    return read
