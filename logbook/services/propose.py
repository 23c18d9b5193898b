"""Which file proposes what: the one door for everything that can be shown beside the flight form.

What a file is, is seen from the file: XML is a track, rows of cells are a recording of the aeroplane, read by a mapping.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from logbook.errors import DataRefused, FileTrouble, LogbookError, UsageError
from logbook.exchange.recording_file import RecordingFile
from logbook.exchange.recording_mapping import RecordingMapping, read_recording_mapping
from logbook.services.proposal import RECORDING, TRACK, Proposal
from logbook.services.propose_track import propose_track
from logbook.services.recording_mappings import mapping_choices, mapping_for
from logbook.services.recording_read import Reading
from logbook.services.recording_start import NeedsStart, counts_from_nowhere
from logbook.store.book_facts import BookFacts
from logbook.store.database import Book

ENDINGS: Final = (".gpx", ".csv", ".txt")
"""Of files that are offered while a path is typed, in small letters; any other may be named whole."""
_LOOKED_AT: Final = 2**14
_SEPARATORS: Final = (b",", b";", b"\t", b"|")
_UTF_16: Final = (b"\xff\xfe", b"\xfe\xff")


class NeedsMapping(UsageError):
    """A recording of which nothing says how it is to be read.

    Attributes:
        choices: the mappings the book knows whose columns the file has.
    """

    def __init__(self, problem: str, choices: tuple[RecordingMapping, ...]) -> None:
        step = (
            "Choose one of those the book knows, or name a mapping file."
            if choices
            else "Name a mapping file (TOML); the page on recordings says how one is written."
        )
        super().__init__(problem, next_step=step, field="mapping")
        self.choices = choices


def proposals(
    book: Book,
    path: Path,
    offset_s: int | None = None,
    *,
    aircraft: str = "",
    mapping: str = "",
    start: str = "",
) -> list[Proposal]:
    """A proposal for each flight in a file, in order.

    Args:
        book: the open book; its places give names, its fittings packs.
        path: the file.
        offset_s: added to the clock of the file [s]; None: nothing, or as the mapping says.
        aircraft: the aeroplane that flew, for a recording.
        mapping: of a recording: the name of a mapping the book knows, or the path of a mapping file; empty: the one by
            which a recording of that aeroplane was read last.
        start: of a recording that counts seconds: from when, ISO.

    Raises:
        FileTrouble: it cannot be read.
        NeedsMapping: it is a recording, and nothing says how to read it.
        NeedsStart: it counts seconds, and nothing says from when.
        UsageError: the mapping cannot be used, or does not fit the file.
        DataRefused: it is neither, holds no flight, or is of another aeroplane.
    """
    if kind_of(path) == TRACK:
        return propose_track(BookFacts(book), path, offset_s or 0)
    from logbook.services.propose_recording import propose_recording

    chosen = _named(book, mapping, aircraft) if mapping else _usual(book, path, aircraft)
    if counts_from_nowhere(chosen) and not start:
        raise NeedsStart(chosen)
    start = start if chosen.time.how == "seconds" else ""
    return propose_recording(book, Reading(path, chosen, offset_s, start, aircraft))


def kind_of(path: Path) -> str:
    """Whether a file is a `track` or a `recording`, by its first bytes; one whose name ends in .gpx is meant as a track.

    Raises:
        FileTrouble: it cannot be read.
        DataRefused: it can be neither.
    """
    try:
        with path.open("rb") as file:
            begin = file.read(_LOOKED_AT)
    except OSError as error:
        raise FileTrouble(f"{path} cannot be read: {error.strerror}.", next_step="Check its name.") from error
    plain = begin.replace(b"\0", b"") if begin[:2] in _UTF_16 else begin
    if path.suffix.lower() == ".gpx" or plain.removeprefix(b"\xef\xbb\xbf").lstrip()[:1] == b"<":
        return TRACK
    if b"\0" in plain or not any(sign in plain for sign in _SEPARATORS):
        raise DataRefused(
            f"{path.name} is neither a track nor a recording.",
            next_step="Name a GPX file, or the recorder's CSV file.",
        )
    return RECORDING


def _usual(book: Book, path: Path, aircraft: str) -> RecordingMapping:
    """The mapping by which a recording of that aeroplane was read last, where it fits this file."""
    last = mapping_for(book, aircraft)
    if last is not None and fits(path, last):
        return last
    found = tuple(one for one in mapping_choices(book, aircraft) if fits(path, one))
    if last is None:
        raise NeedsMapping(f"No recording of {aircraft or 'this aeroplane'} was read yet.", found)
    raise NeedsMapping(f"{path.name} has other columns than the mapping '{last.name}', used last.", found)


def _named(book: Book, text: str, aircraft: str) -> RecordingMapping:
    """A mapping the book knows by that name, else the file at that path."""
    bare = text.strip()
    for one in mapping_choices(book, aircraft):
        if one.name.casefold() == bare.casefold():
            return one
    try:
        return read_recording_mapping(Path(bare).expanduser())
    except RuntimeError:
        raise UsageError("There is no home folder.", next_step="Type the whole path.") from None


def fits(path: Path, mapping: RecordingMapping) -> bool:
    """Whether a file has the columns a mapping names."""
    try:
        RecordingFile(path, mapping).close()
    except LogbookError:
        return False
    return True
