"""How a recording of the aeroplane (CSV) is to be read: a mapping file (TOML) with fixed functions only, nothing guessed.

See `docs/recordings.md` for the words of such a mapping and an example.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final, NamedTuple

from logbook.exchange.mapping import ORDERS, TWICE
from logbook.exchange.mapping_words import (
    ENCODINGS,
    known_zone,
    one_of,
    only,
    read_toml,
    separator_of,
    table_of,
    whole_of,
)
from logbook.exchange.recording_quantities import (
    PackColumns,
    Quantity,
    number_of,
    over_ground,
    pack_of,
    quantity_of,
    refused,
    text_of,
)

CLOCKS: Final = ("iso", "seconds", "date and time")
_TOP: Final = frozenset(
    {"kind", "name", "aircraft", "file", "time", "gaps", "altitude", "speed", "packs"},
)
_FILE: Final = frozenset({"separator", "encoding", "decimal", "skip_lines", "missing"})
_TIME: Final = frozenset(
    {"column", "as", "date", "order", "zone", "twice", "century", "start", "clock_offset_s"}
)
MOST_OFFSET_S: Final = 1e8
"""A clock may be off by three years: one that starts at some factory's date is more than wrong."""


class TimeColumn(NamedTuple):
    """How the time of a row is told.

    Attributes:
        column: of the time.
        how: one of `CLOCKS`.
        date: the column of the day.
        order: of day, month and year, such as `dmy`.
        zone: of times without an offset; empty: not stated.
        twice: what a local time means that occurs twice.
        century: added to years of two digits; 0 refuses them.
        start: the moment from which seconds count, ISO; empty: stated with the command.
        offset_s: added to the recorder's clock [s].
    """

    column: str
    how: str
    date: str
    order: str
    zone: str
    twice: str
    century: int
    start: str
    offset_s: float


class RecordingMapping(NamedTuple):
    """A mapping of a recording, read and checked.

    Attributes:
        name: kept with the recording.
        aircraft: registration, or empty.
        separator: between cells; likewise `encoding`, `decimal`, `skip_lines`.
        missing: words that stand for "no value" beside an empty cell.
        time: how the time of a row is told.
        longest_s: rows further apart than this are a gap [s].
        altitude: above mean sea level.
        speed: of the aeroplane.
        over_ground: the speed is that over the ground, so that it tells when the aeroplane moved.
        packs: the columns of each pack.
        told: its words, from which it can be read again; its name is one of them.
    """

    name: str
    aircraft: str
    separator: str
    encoding: str
    decimal: str
    skip_lines: int
    missing: frozenset[str]
    time: TimeColumn
    longest_s: float
    altitude: Quantity | None
    speed: Quantity | None
    over_ground: bool
    packs: tuple[PackColumns, ...]
    told: dict[str, Any]

    def sources(self) -> list[str]:
        """Every column of the file that is looked at."""
        found = [self.time.column, *([self.time.date] if self.time.date else [])]
        whole = (self.altitude, self.speed)
        found += [quantity.column for quantity in whole if quantity is not None]
        return found + [quantity.column for pack in self.packs for quantity in pack.quantities()]

    @property
    def units(self) -> str:
        """The units and signs it states, in words that are kept with the recording."""
        told = [f"{q.name} {q.unit}" for q in (self.altitude, self.speed) if q is not None]
        if self.speed is not None:
            told[-1] += " over the ground" if self.over_ground else " through the air"
        for pack in self.packs:
            columns = []
            for quantity in pack.quantities():
                sign = ""
                if quantity.name in ("current", "power"):
                    sign = f" (discharge {'positive' if quantity.factor > 0 else 'negative'})"
                columns.append(f"{quantity.name} {quantity.unit}{sign}")
            told.append(f"{pack.label}: {', '.join(columns)}")
        return "; ".join(told)


def read_recording_mapping(path: Path) -> RecordingMapping:
    """Reads a mapping file.

    Raises:
        UsageError: it says something that no such mapping can say; with the word that is wrong.
        FileTrouble: it cannot be read.
    """
    return recording_mapping_of(read_toml(path), path.stem)


def recording_mapping_of(told: dict[str, Any], name: str = "mapping") -> RecordingMapping:
    """A mapping from its parsed form; `name` is used where it gives itself none.

    Raises:
        UsageError: as `read_recording_mapping`.
    """
    only(told, _TOP, "the mapping")
    if told.get("kind") != "recording":
        raise refused('it is none of a recording: it needs kind = "recording"')
    file, gaps = table_of(told, "file"), table_of(told, "gaps")
    only(file, _FILE, "[file]")
    only(gaps, frozenset({"longest_s"}), "[gaps]")
    packs = table_of(told, "packs")
    altitude, speed = quantity_of(told, "altitude"), quantity_of(told, "speed")
    mapping = RecordingMapping(
        name=text_of(told, "name") or name,
        aircraft=text_of(told, "aircraft"),
        separator=separator_of(file),
        encoding=one_of(str(file.get("encoding", "utf-8")).lower(), ENCODINGS, "encoding"),
        decimal=one_of(file.get("decimal", "."), (".", ","), "decimal"),
        skip_lines=whole_of(file, "skip_lines", 1000),
        missing=_words(file),
        time=_time(table_of(told, "time")),
        longest_s=number_of(gaps, "longest_s", 0.05, 300.0),
        altitude=altitude,
        speed=speed,
        over_ground=speed is not None and over_ground(told["speed"]),
        packs=tuple(pack_of(label, table_of(packs, label)) for label in packs),
        told=told | {"name": text_of(told, "name") or name},
    )
    _refuse_half_told(mapping)
    return mapping


def _refuse_half_told(mapping: RecordingMapping) -> None:
    columns = mapping.sources()
    twice = next((column for column in columns if columns.count(column) > 1), None)
    if twice is not None:
        raise refused(f"the column '{twice[:60]}' is named twice")
    if not mapping.packs and mapping.speed is None:
        raise refused("it names neither a pack nor a speed")
    serials = [pack.serial_no for pack in mapping.packs if pack.serial_no]
    if len(serials) != len(set(serials)):
        raise refused("a serial number occurs twice")


def _time(told: dict[str, Any]) -> TimeColumn:
    only(told, _TIME, "[time]")
    time = TimeColumn(
        column=text_of(told, "column"),
        how=one_of(told.get("as"), CLOCKS, "as"),
        date=text_of(told, "date"),
        order=ORDERS[one_of(told["order"], tuple(ORDERS), "order")] if "order" in told else "",
        zone=text_of(told, "zone"),
        twice=one_of(told.get("twice", "refuse"), TWICE, "twice"),
        century=whole_of(told, "century", 9900),
        start=text_of(told, "start"),
        offset_s=number_of(told, "clock_offset_s", -MOST_OFFSET_S, MOST_OFFSET_S, absent=0.0),
    )
    if not time.column:
        raise refused("[time] names no column")
    if time.how == "date and time" and not (time.date and time.order and time.zone):
        raise refused("date and time need [time] date (its column), order and zone")
    if time.how != "date and time" and (time.date or time.order or time.century):
        raise refused(f"[time] as = '{time.how}' has no date, order or century")
    if time.start and time.how != "seconds":
        raise refused("[time] start is for seconds only")
    if time.zone:
        known_zone(time.zone)
    return time


def _words(file: dict[str, Any]) -> frozenset[str]:
    words = file.get("missing", [])
    if not isinstance(words, list) or len(words) > 20 or not all(isinstance(word, str) for word in words):
        raise refused("'missing' is no list of words")
    return frozenset(word.strip() for word in words)
