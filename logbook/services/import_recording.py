"""Taking in a recording of the aeroplane: found for the flight it belongs to and kept beside it, or proposed as a flight.

What was written down stays as it is. The raw file is not kept; its digest, how it was read and what was found are.
"""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from logbook.domain.record import read_record
from logbook.errors import DataRefused, UsageError
from logbook.exchange.recording_findings import Findings, findings_of, stored
from logbook.exchange.recording_mapping import RecordingMapping, read_recording_mapping
from logbook.services.add import comparable, make_id, now, put
from logbook.services.correct import write_changes
from logbook.services.kinds import KINDS
from logbook.services.proposal import Proposal
from logbook.services.propose_recording import proposal_of
from logbook.services.recording_finder import Finder, blocks_of
from logbook.services.recording_mappings import remember
from logbook.services.recording_read import Reading, ReadRecording, read_recording
from logbook.services.refresh import refresh
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.store.settings import Settings

Row = dict[str, Any]


class Taken(NamedTuple):
    """What became of a recording.

    Attributes:
        fate: `new`, `same`, `read anew` (the book had another reading of this file), or `no flight`.
        flight: the flight it belongs to, None where the book has none.
        recording: its columns, without an id where there is no flight.
        findings: what was found.
        proposal: the same as a flight to be completed.
    """

    fate: str
    flight: Row | None
    recording: Row
    findings: Findings
    proposal: Proposal


def import_recording(
    book: Book, how: Reading, *, flight_id: str | None = None, dry_run: bool = False, by: str | None = None
) -> Taken:
    """Reads a recording and keeps what it says beside the flight it belongs to.

    Args:
        book: the open book.
        how: what to read, and how.
        flight_id: the flight; absent: the one of that aeroplane at that time.
        dry_run: says what would happen and writes nothing.
        by: who takes it in.

    Raises:
        UsageError: the mapping cannot be used, or does not say what is needed.
        DataRefused: the file cannot be a recording, or belongs to no flight, or to several.
        FileTrouble: it cannot be read.
    """
    return take_in(book, read_recording(how), flight_id=flight_id, dry_run=dry_run, by=by)


def take_in(
    book: Book,
    read: ReadRecording,
    *,
    flight_id: str | None = None,
    dry_run: bool = False,
    by: str | None = None,
) -> Taken:
    """Keeps a recording that was read beside the flight it belongs to; arguments and errors as of `import_recording`.

    Its trace is cut to that flight where the book has several flights at its time. Its mapping is known from then on.
    """
    finder = Finder(book, read)
    flight = finder.named(flight_id) if flight_id is not None else finder.only()
    findings = findings_of(read.trace, read.mapping, finder.serials(flight), blocks_of(flight))
    columns = _columns(read, findings)
    proposal = proposal_of(read, findings)
    if flight is None:
        return Taken("no flight", None, columns, findings, proposal)
    columns["flight_id"] = flight["flight_id"]
    fate = _kept(book, columns, by, dry_run=dry_run)
    if not dry_run:
        remember(book, read.mapping, flight["aircraft"])
    return Taken(fate, flight, columns, findings, proposal)


def _columns(read: ReadRecording, findings: Findings) -> Row:
    mapping, trace = read.mapping, read.trace
    found = {
        **findings.times,
        **findings.flown,
        "packs": findings.packs,
        "phases": findings.phases,
        "notes": findings.notes,
    }
    return {
        "file_name": read.name,
        "digest": trace.digest,
        "mapping": mapping.name,
        "clock_offset_s": mapping.time.offset_s,
        "units": mapping.units,
        "started": stored(trace.at[0]),
        "ended": stored(trace.at[-1]),
        "row_count": trace.read,
        "used_count": trace.used,
        "left_out": json.dumps(trace.left_out, sort_keys=True),
        "interval_s": trace.interval_s,
        "gap_limit_s": trace.longest_s,
        "gap_count": trace.gaps,
        "energy_kwh": findings.energy_kwh,
        "energy_back_kwh": findings.energy_back_kwh,
        "at_least": int(findings.at_least),
        "without_data_min": findings.without_data_min,
        "findings": json.dumps(found, sort_keys=True, ensure_ascii=False),
    }


def _kept(book: Book, columns: Row, by: str | None, *, dry_run: bool) -> str:
    """Writes a recording; one that was read before in another way is corrected, and the earlier reading stays as a version."""
    kind = KINDS["recording"]
    record = read_record(kind.load(), columns)
    plain = record.columns()
    plain["recording_id"] = make_id(kind, record, plain)
    found = Records(book, kind.table).find(plain["recording_id"])
    if found is not None and comparable(found[1]) == comparable(plain):
        return "same"
    if not dry_run:
        stamp = {"entered_by": by or Settings(book).value("operator"), "entered_at": now()}
        with book.writing(
            by=by, why=None if found is None else "the file was read anew", adding=found is None
        ):
            if found is None:
                put(book, kind, record, stamp)
            else:
                write_changes(book, kind, plain["recording_id"], found[1], plain)
            refresh(book)
    return "new" if found is None else "read anew"


def record_flight(book: Book, how: Reading, taken: Taken, *, pilot: str | None, by: str | None) -> str:
    """Records what a recording proposes as a closed flight, where the book has none. Returns its id.

    Raises:
        DataRefused: the recording does not say when it left and reached the blocks, or the flight cannot be.
    """
    from logbook.services.record_proposal import record_proposal

    times = taken.findings.times
    if not (times["off_blocks"] and times["on_blocks"]):
        raise DataRefused(
            "The recording does not tell off and on blocks, without which a flight cannot be recorded.",
            next_step="Enter the flight by hand and take the recording in again.",
        )
    mapping = (
        how.mapping if isinstance(how.mapping, RecordingMapping) else read_recording_mapping(how.mapping)
    )
    aircraft = how.aircraft or mapping.aircraft
    if not aircraft:
        raise UsageError("Nothing says which aeroplane flew.", next_step="Name it with --aircraft.")
    return record_proposal(book, taken.proposal, 1, aircraft=aircraft, pilot=pilot, by=by).record_id
