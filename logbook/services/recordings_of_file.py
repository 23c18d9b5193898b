"""A recording taken in without a form: each flight on it, and whether the book has that flight."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from logbook.errors import DataRefused, LogbookError
from logbook.exchange.mapping_words import read_toml
from logbook.exchange.recording_mapping import RecordingMapping, recording_mapping_of
from logbook.exchange.recording_parts import parts_of
from logbook.services.import_recording import Taken, take_in
from logbook.services.proposal_beside import told
from logbook.services.propose import fits
from logbook.services.recording_beside import measured
from logbook.services.recording_finder import Finder
from logbook.services.recording_mappings import known_mappings
from logbook.services.recording_read import ReadRecording
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book


class FileFlight(NamedTuple):
    """One flight on a recording.

    Attributes:
        fate: `new`, `same`, `read anew` (the book had another reading of this file), `no flight` (the book has none then), or
            `refused`.
        flight_id: the flight; empty where the book has none.
        about: the flight in one line.
        words: what was measured and what could not be told, or why it is refused.
    """

    fate: str
    flight_id: str
    about: str
    words: str


def mapping_of_file(book: Book, path: Path) -> RecordingMapping | None:
    """The mapping used last of those that fit a file; None where none does."""
    return next((known.mapping for known in known_mappings(book) if fits(path, known.mapping)), None)


def chosen_mapping(book: Book, text: str) -> RecordingMapping | None:
    """The mapping that was typed: a name the book knows, or a file; None where that file is no mapping of a recording.

    Raises:
        UsageError: it cannot be used.
        FileTrouble: it cannot be read.
    """
    for known in known_mappings(book):
        if known.mapping.name.casefold() == text.casefold():
            return known.mapping
    path = Path(text).expanduser()
    words = read_toml(path)
    return recording_mapping_of(words, path.stem) if words.get("kind") == "recording" else None


def aeroplanes_of(book: Book, mapping: RecordingMapping) -> list[str]:
    """The aeroplanes a recording may be of, likeliest first; one where the mapping says so itself.

    That a mapping read a recording of an aeroplane before is no proof: several may have such a recorder.
    """
    if mapping.aircraft:
        return [mapping.aircraft]
    facts = BookFacts(book)
    used = [known.aircraft for known in known_mappings(book) if known.mapping.name == mapping.name]
    electric = [name for name in facts.fleet() if facts.aircraft(name).get("positions")]
    return sorted(electric, key=lambda name: used.index(name) if name in used else len(used))


def flights_of_file(book: Book, read: ReadRecording, *, dry_run: bool, by: str | None) -> list[FileFlight]:
    """Keeps a recording beside each of its flights that the book has.

    Args:
        book: the open book.
        read: the recording; it is left as it is.
        dry_run: says what would happen and writes nothing.
        by: who takes it in.

    Raises:
        DataRefused: it cannot be of that aeroplane.
    """
    found: list[FileFlight] = []
    seen: set[str] = set()
    for trace in parts_of(read.trace, over_ground=read.mapping.over_ground):
        part = read._replace(trace=trace)
        flights = Finder(book, part).during()
        for flight in flights:
            if flight["flight_id"] not in seen:
                seen.add(flight["flight_id"])
                found.append(_kept(book, read, flight, dry_run=dry_run, by=by))
        if not flights:
            found.append(_without(book, part))
    return found


def _kept(
    book: Book, read: ReadRecording, flight: dict[str, object], *, dry_run: bool, by: str | None
) -> FileFlight:
    """The recording beside one flight of the book."""
    flight_id = str(flight["flight_id"])
    try:
        taken = take_in(book, read.copy(), flight_id=flight_id, dry_run=dry_run, by=by)
    except DataRefused as error:
        return FileFlight("refused", flight_id, told(flight), str(error))
    return FileFlight(taken.fate, flight_id, told(flight), _words(taken))


def _without(book: Book, part: ReadRecording) -> FileFlight:
    """A flight of the recording that the book does not have: nothing is recorded."""
    try:
        taken = take_in(book, part.copy(), dry_run=True)
    except LogbookError as error:
        return FileFlight("refused", "", part.name, str(error))
    words = "The book has no flight then. Log it: F7 there takes what the recording says."
    return FileFlight(taken.fate, "", taken.proposal.about, words)


def _words(taken: Taken) -> str:
    energy = measured(taken.findings).removeprefix(": ")
    return " ".join([f"{energy}." if energy else "No energy was recorded.", *taken.findings.notes])
