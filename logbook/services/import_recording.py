"""Taking in a recording of the aeroplane: found for the flight it belongs to and kept beside it, or proposed as a flight.

What was written down stays as it is. The raw file is not kept; its digest, how it was read and what was found are.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Final, NamedTuple

from logbook.domain.record import read_record
from logbook.errors import DataRefused, UsageError
from logbook.exchange.recording_findings import Findings, findings_of, stored
from logbook.exchange.recording_mapping import RecordingMapping, read_recording_mapping
from logbook.exchange.recording_trace import Trace, read_trace
from logbook.services.add import comparable, make_id, now, put
from logbook.services.cases import Cases
from logbook.services.correct import write_changes
from logbook.services.kinds import KINDS
from logbook.services.proposal import Proposal
from logbook.services.propose_recording import proposal_of
from logbook.services.refresh import refresh
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import Flights
from logbook.store.records import Records
from logbook.units import minutes_of

Row = dict[str, Any]
_AROUND_S: Final = 600.0
"""Of a recording of several flights, so much before off blocks and after on blocks belongs to the one [s]."""


class Reading(NamedTuple):
    """How a recording is to be read: the mapping file, and what is said about this one file.

    Attributes:
        path: the raw file.
        mapping: its mapping.
        offset_s: added to its clock [s]; None: as the mapping says.
        start: the moment from which its seconds count.
        aircraft: registration; empty: as the mapping or the packs say.
    """

    path: Path
    mapping: Path | RecordingMapping
    offset_s: float | None = None
    start: str = ""
    aircraft: str = ""


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
    mapping = (
        how.mapping if isinstance(how.mapping, RecordingMapping) else read_recording_mapping(how.mapping)
    )
    if how.offset_s is not None:
        mapping = mapping._replace(time=mapping.time._replace(offset_s=how.offset_s))
    trace = read_trace(how.path, mapping, how.start)
    finder = _Finder(book, how, mapping, trace)
    flight = finder.named(flight_id) if flight_id is not None else finder.only()
    findings = findings_of(trace, mapping, finder.serials(flight), _blocks(flight))
    columns = _columns(how.path, mapping, trace, findings)
    proposal = proposal_of(how.path.name, mapping, trace, findings)
    if flight is None:
        return Taken("no flight", None, columns, findings, proposal)
    columns["flight_id"] = flight["flight_id"]
    fate = _kept(book, columns, by, dry_run=dry_run)
    return Taken(fate, flight, columns, findings, proposal)


def _blocks(flight: Row | None) -> tuple[float, float] | None:
    if flight is None or flight["off_blocks"] is None or flight["on_blocks"] is None:
        return None
    return minutes_of(flight["off_blocks"]) * 60.0, minutes_of(flight["on_blocks"]) * 60.0


class _Finder:
    """Finds the aeroplane, the flight and the packs of a recording."""

    def __init__(self, book: Book, how: Reading, mapping: RecordingMapping, trace: Trace) -> None:
        self._book, self._mapping, self._trace = book, mapping, trace
        self._started, self._ended = stored(trace.at[0]), stored(trace.at[-1])
        self._cases = Cases(book)
        self._aircraft = how.aircraft or mapping.aircraft
        for pack in mapping.packs:
            if pack.serial_no and Records(book, "pack").find(pack.serial_no) is None:
                raise DataRefused(
                    f"The book knows no pack '{pack.serial_no}', which the mapping names.",
                    next_step="Correct the mapping, or enter the pack.",
                    field="serial_no",
                )

    @property
    def aircraft(self) -> str:
        """The aeroplane: as stated, else the one in which its packs were fitted then.

        Raises:
            UsageError: nothing says which it was.
        """
        if not self._aircraft:
            for registration in BookFacts(self._book).fleet():
                fitted = set(self._cases.fitted(registration, self._started))
                if fitted & {pack.serial_no for pack in self._mapping.packs}:
                    self._aircraft = registration
        if not self._aircraft:
            raise UsageError(
                "Nothing says which aeroplane made this recording.",
                next_step='Name it with --aircraft, or in the mapping: aircraft = "…".',
            )
        return self._aircraft

    def named(self, flight_id: str) -> Row:
        """The flight with an id.

        Raises:
            DataRefused: there is none, it was flown by another aeroplane, or at another time.
        """
        flights = Flights(self._book)
        number = flights.number(flight_id)
        if number is None:
            raise DataRefused(
                f"There is no flight '{flight_id}' in the book.", next_step="See 'logbook list flights'."
            )
        flight = flights.read([number])[0]
        self._aircraft = self._aircraft or flight["aircraft"]
        if self._aircraft != flight["aircraft"]:
            raise DataRefused(
                f"The recording is of {self._aircraft}, the flight of {flight['aircraft']}.",
                next_step="Name another flight, or correct the mapping.",
            )
        blocks = _blocks(flight)
        if blocks is not None:
            self._overlapping(flight, blocks)
        return flight

    def _overlapping(self, flight: Row, blocks: tuple[float, float]) -> None:
        """Refuses a recording of another time; of several flights keeps the part of the one."""
        if self._trace.at[-1] < blocks[0] or blocks[1] + 60 < self._trace.at[0]:
            raise DataRefused(
                f"The recording runs from {self._started} to {self._ended}, the flight from "
                f"{flight['off_blocks']} to {flight['on_blocks']}.",
                next_step="If the recorder's clock was off, say by how much with --clock.",
            )
        if len(self._during()) > 1:
            self._trace.cut(blocks[0] - _AROUND_S, blocks[1] + _AROUND_S)

    def only(self) -> Row | None:
        """The one flight at that time; None where the book has none.

        Raises:
            DataRefused: there are several.
        """
        found = self._during()
        if len(found) > 1:
            listed = ", ".join(f"{row['flight_id']} ({row['off_blocks']})" for row in found[:10])
            raise DataRefused(
                f"{len(found)} flights of {self.aircraft} lie in this recording: {listed}.",
                next_step="Take it in for each of them, with --flight ID.",
            )
        return found[0] if found else None

    def _during(self) -> list[Row]:
        return BookFacts(self._book).flights_during(self.aircraft, self._started, self._ended)

    def serials(self, flight: Row | None) -> dict[str, str]:
        """The packs by their names in the mapping: as stated, else the one fitted in that position.

        Raises:
            DataRefused: the book knows no pack there.
        """
        at = (flight or {}).get("off_blocks") or self._started
        found: dict[str, str] = {}
        for pack in self._mapping.packs:
            serial = pack.serial_no or self._in_position(pack.label, at)
            if serial in found.values():
                raise DataRefused(
                    f"Two groups of the mapping are the pack '{serial}'.", next_step="Correct the mapping."
                )
            found[pack.label] = serial
        return found

    def _in_position(self, position: str, at: str) -> str:
        for serial in self._cases.fitted(self.aircraft, at):
            if self._cases.position(self.aircraft, serial, at) == position:
                return serial
        raise DataRefused(
            f"The book knows no pack in position '{position}' of {self.aircraft} at {at}.",
            next_step="Record the fitting first, or name the pack in the mapping: serial_no.",
            field="serial_no",
        )


def _columns(path: Path, mapping: RecordingMapping, trace: Trace, findings: Findings) -> Row:
    found = {
        **findings.times,
        **findings.flown,
        "packs": findings.packs,
        "phases": findings.phases,
        "notes": findings.notes,
    }
    return {
        "file_name": path.name,
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
        stamp = {"entered_by": by or Derived(book).setting("operator"), "entered_at": now()}
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
