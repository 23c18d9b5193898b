"""A recording of the aeroplane read into memory, with what is needed to keep it beside a flight."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from logbook.exchange.recording_mapping import RecordingMapping, read_recording_mapping
from logbook.exchange.recording_trace import Trace, read_trace


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


class ReadRecording(NamedTuple):
    """A recording that was read.

    Attributes:
        path: the raw file.
        mapping: how it was read, with the clock as it was put right.
        trace: what is on it.
        aircraft: registration; empty: as the mapping or the packs say.
        start: the moment from which its seconds count, where that was said of this file.
    """

    path: Path
    mapping: RecordingMapping
    trace: Trace
    aircraft: str = ""
    start: str = ""

    @property
    def name(self) -> str:
        """The file's name without its folder, as it is kept with the recording."""
        return self.path.name

    def copy(self) -> ReadRecording:
        """The same, of which the trace can be cut to one flight without harm to this one."""
        return self._replace(trace=self.trace.copy())


def read_recording(how: Reading) -> ReadRecording:
    """Reads a recording.

    Raises:
        UsageError: the mapping cannot be used, or does not fit the file.
        DataRefused: the file cannot be a recording.
        FileTrouble: it cannot be read.
    """
    mapping = (
        how.mapping if isinstance(how.mapping, RecordingMapping) else read_recording_mapping(how.mapping)
    )
    if how.offset_s is not None:
        mapping = mapping._replace(time=mapping.time._replace(offset_s=how.offset_s))
    trace = read_trace(how.path, mapping, how.start)
    return ReadRecording(how.path, mapping, trace, how.aircraft, how.start)
