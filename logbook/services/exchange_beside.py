"""What screens ask of tracks and recordings: shown beside the flight form, kept beside a flight, taken in by themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.store.database import Book

if TYPE_CHECKING:
    from logbook.exchange.recording_mapping import RecordingMapping
    from logbook.services.plain_form import PlainForm
    from logbook.services.proposal import Proposal
    from logbook.services.recording_read import Reading, ReadRecording
    from logbook.services.recordings_of_file import FileFlight


class FilesBeside:
    """Tracks and recordings of one open book."""

    def __init__(self, book: Book, operator: str | None) -> None:
        self._book, self._operator = book, operator

    def proposals(
        self, path: Path, offset_s: int | None, *, aircraft: str = "", mapping: str = "", start: str = ""
    ) -> list[Proposal]:
        """What a track or a recording says of each flight on it; arguments and errors as of `propose.proposals`."""
        from logbook.services.propose import proposals

        return proposals(self._book, path, offset_s, aircraft=aircraft, mapping=mapping, start=start)

    def start_form(self, path: Path, day: str = "") -> PlainForm:
        """Asks from when the seconds of a recording count; a time alone is meant of `day`, else of the file's own day."""
        from logbook.services.recording_start import day_of, start_form

        return start_form(path.name, day or day_of(path))

    def mapping_names(self, aircraft: str) -> list[str]:
        """The names of the mappings the book knows by which a recording of that aeroplane might be read."""
        from logbook.services.recording_mappings import mapping_choices

        return [one.name for one in mapping_choices(self._book, aircraft)]

    def keep_recordings(
        self, flight_id: str, references: Sequence[str], read: Mapping[str, ReadRecording]
    ) -> list[str]:
        """Keeps recordings beside a saved flight; a line for each. Arguments as of `recording_beside.keep_beside`."""
        from logbook.services.recording_beside import keep_beside

        return keep_beside(self._book, flight_id, references, read, self._operator)

    def in_the_book(self, aircraft: str, proposal: Proposal, but: str) -> tuple[str, str] | None:
        """A flight of that aeroplane the book has at that time, as id and words; `but` does not count."""
        from logbook.services.proposal_beside import in_the_book, told

        found = in_the_book(self._book, aircraft, proposal.began, proposal.ended, but)
        return None if found is None else (str(found["flight_id"]), told(found))

    def recording_how(self, path: Path, mapping: str) -> tuple[RecordingMapping, list[str]] | None:
        """How a recording is to be read, and of which aeroplanes it may be; None where the mapping is none of a recording.

        Args:
            path: the file.
            mapping: as typed: the name of a mapping the book knows, or the path of a mapping file; empty: one that fits.

        Raises:
            LogbookError: the mapping cannot be read.
        """
        from logbook.services.recordings_of_file import aeroplanes_of, chosen_mapping, mapping_of_file

        found = chosen_mapping(self._book, mapping) if mapping else mapping_of_file(self._book, path)
        return None if found is None else (found, aeroplanes_of(self._book, found))

    def take_recording(self, how: Reading, *, trial: bool) -> list[FileFlight]:
        """Keeps a recording beside each flight on it that the book has; with `trial` only says what would happen.

        Raises:
            LogbookError: as `read_recording`.
        """
        from logbook.services.recording_read import read_recording
        from logbook.services.recordings_of_file import flights_of_file

        return flights_of_file(self._book, read_recording(how), dry_run=trial, by=self._operator)
