"""The mappings by which recordings were read so far, kept in the book: the next card of that aeroplane needs none to be named."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from logbook.errors import UsageError
from logbook.exchange.recording_mapping import RecordingMapping, recording_mapping_of
from logbook.store.database import Book
from logbook.store.settings import Settings

SETTING: Final = "recording_mappings"
_MOST: Final = 30
"""The oldest are forgotten beyond this many."""


class KnownMapping(NamedTuple):
    """A mapping that read a recording of an aeroplane."""

    aircraft: str
    mapping: RecordingMapping


def known_mappings(book: Book) -> list[KnownMapping]:
    """Every mapping the book knows, for each aeroplane, the one that was used last first."""
    return list(_readable(_kept(book)))


def mapping_for(book: Book, aircraft: str) -> RecordingMapping | None:
    """The mapping by which a recording of that aeroplane was read last; None where none was."""
    return next((known.mapping for known in known_mappings(book) if known.aircraft == aircraft), None)


def mapping_choices(book: Book, aircraft: str) -> list[RecordingMapping]:
    """The mappings that could read a recording of that aeroplane, one of each name; those that name another are left out."""
    found: dict[str, RecordingMapping] = {}
    known = known_mappings(book)
    for one in sorted(known, key=lambda one: one.aircraft != aircraft):
        if one.mapping.aircraft in ("", aircraft):
            found.setdefault(one.mapping.name, one.mapping)
    return list(found.values())


def remember(book: Book, mapping: RecordingMapping, aircraft: str) -> None:
    """Keeps a mapping as the one used last for that aeroplane. Nothing is written where it is that already.

    Without the moment from which seconds count: that is of one file, and the next card would be read at its times.
    """
    kept = _kept(book)
    entry = {"aircraft": aircraft, "told": _of_any_file(mapping)}
    others = [
        one
        for one in kept
        if isinstance(one, dict) and (one.get("aircraft"), _name(one)) != (aircraft, mapping.name)
    ]
    wanted = [entry, *others][:_MOST]
    if wanted != kept:
        with book.writing():
            Settings(book).set(SETTING, wanted)


def _of_any_file(mapping: RecordingMapping) -> dict[str, Any]:
    return mapping.told | {
        "time": {name: word for name, word in mapping.told["time"].items() if name != "start"}
    }


def _kept(book: Book) -> list[Any]:
    kept = Settings(book).value(SETTING)
    return kept if isinstance(kept, list) else []


def _name(entry: dict[str, Any]) -> Any:
    told = entry.get("told")
    return told.get("name") if isinstance(told, dict) else None


def _readable(entries: list[Any]) -> Iterator[KnownMapping]:
    """Those that can still be used: another tool may have written into the file."""
    for entry in entries:
        if not isinstance(entry, dict) or not isinstance(entry.get("told"), dict):
            continue
        try:
            mapping = recording_mapping_of(entry["told"])
        except UsageError:
            continue
        yield KnownMapping(str(entry.get("aircraft", "")), mapping)
