"""From the lines of a recording to rows of values in our units, in order of time; what was left out is counted and named."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from logbook.errors import DataRefused, UsageError
from logbook.exchange import conversions
from logbook.exchange.recording_file import RecordingFile
from logbook.exchange.recording_mapping import RecordingMapping
from logbook.exchange.recording_quantities import PackColumns, Quantity

REPEATED: Final = "the time of the row before once more"
BACKWARD: Final = "a time before that of an earlier row"
AHEAD: Final = "a time far ahead, which the next row took back"
NO_TIME: Final = "no time"
_JUMP_S: Final = 60.0
"""A row so far after the one before is believed once the next row comes after it [s]."""
_MOST_HOURS: Final = 24

_ISO: Final = re.compile(
    r"(\d{4})-(\d{2})-(\d{2})[T ](\d{2}):(\d{2}):(\d{2})(?:[.,](\d{1,9}))?(Z|[+-]\d{2}:?\d{2})?"
)
_CLOCK: Final = re.compile(r"(\d{1,2}):(\d{2}):(\d{2})(?:[.,](\d{1,9}))?")
_PLAIN: Final = re.compile(r"[+-]?\d{1,15}(?:\.\d{1,15})?")


class PackRow(NamedTuple):
    """One pack in one row; None where the recorder wrote nothing.

    Attributes:
        soc_pct: charge [%].
        kw: power it gave [kW], negative where it took back.
        temp_high_c: highest temperature [°C]; `temp_low_c` the lowest.
    """

    soc_pct: float | None
    kw: float | None
    temp_high_c: float | None
    temp_low_c: float | None


class Row(NamedTuple):
    """One row: time since 1970 [s], altitude [ft], speed [kt], and its packs in the order of the mapping."""

    at: float
    altitude_ft: float | None
    speed_kt: float | None
    packs: tuple[PackRow, ...]


class Rows:
    """The rows of a recording in order of time.

    Attributes:
        read: how many rows had values.
        used: how many of them are in order.
        left_out: rows that were left out, by reason.
    """

    def __init__(self, file: RecordingFile, mapping: RecordingMapping, start: str = "") -> None:
        """Prepares to read.

        Args:
            file: open.
            mapping: how to read it.
            start: the moment from which seconds count, ISO; goes before that of the mapping.

        Raises:
            UsageError: the time cannot be told by what is stated.
        """
        self.read = self.used = 0
        self.left_out = file.left_out
        self._file, self._mapping = file, mapping
        self._place = {name: at for at, name in enumerate(file.header)}
        self._clock = Clock(mapping, start)
        self._time_at = self._place[mapping.time.column]
        self._day_at = self._place[mapping.time.date] if mapping.time.date else -1

    def __iter__(self) -> Iterator[Row]:
        first: float | None = None
        for row in self._in_order():
            first = row.at if first is None else first
            if row.at - first > _MOST_HOURS * 3600:
                raise DataRefused(
                    f"{self._file.name}, line {self._file.line}: more than {_MOST_HOURS} hours after its first row.",
                    next_step="Cut the recording to one day; look whether its clock was set in between.",
                )
            self.used += 1
            yield row

    def _in_order(self) -> Iterator[Row]:
        """Rows that move on; one that jumps far ahead waits until the next says whether it was right."""
        last: float | None = None
        held: Row | None = None
        for row in self._rows():
            if held is not None:
                if row.at > held.at:
                    yield held
                    last, held = held.at, None
                elif row.at < held.at and (last is None or row.at > last):
                    self._leave_out(AHEAD if last is not None else BACKWARD)
                    held = None
            if row.at == (held.at if held is not None else last):
                self._leave_out(REPEATED)
            elif last is not None and row.at < last:
                self._leave_out(BACKWARD)
            elif last is None or row.at - last > _JUMP_S:
                held = row
            else:
                yield row
                last = row.at
        if held is not None:
            yield held

    def _leave_out(self, why: str) -> None:
        self.left_out[why] = self.left_out.get(why, 0) + 1

    def _rows(self) -> Iterator[Row]:
        plain = [self._reader(q) for q in (self._mapping.altitude, self._mapping.speed)]
        packs = [self._pack_reader(pack) for pack in self._mapping.packs]
        missing = self._mapping.missing
        offset = self._mapping.time.offset_s
        for line, cells in self._file:
            self.read += 1
            try:
                told = cells[self._time_at].strip()
                if not told or told in missing:
                    self._leave_out(NO_TIME)
                    continue
                day = cells[self._day_at] if self._day_at >= 0 else ""
                yield Row(
                    self._clock.at(told, day) + offset,
                    plain[0](cells),
                    plain[1](cells),
                    tuple(pack(cells) for pack in packs),
                )
            except ValueError as error:
                raise DataRefused(
                    f"{self._file.name}, line {line}: {error}.",
                    next_step="Correct it there; a word for 'no value' is named under [file] missing.",
                ) from None

    def _reader(self, quantity: Quantity | None) -> Callable[[list[str]], float | None]:
        if quantity is None:
            return lambda _: None
        at, decimal, missing = self._place[quantity.column], self._mapping.decimal, self._mapping.missing
        _, column, factor, offset, least, most, unit = quantity

        def value(cells: list[str]) -> float | None:
            text = cells[at].strip()
            if not text or text in missing:
                return None
            if decimal == "." and _PLAIN.fullmatch(text):
                number = float(text)
            else:
                number = conversions.number(text, decimal, "")
            found = number * factor + offset
            if not least <= found <= most:
                raise ValueError(f"'{column[:40]}' shows {text[:40]} {unit}, which cannot be")
            return found

        return value

    def _pack_reader(self, pack: PackColumns) -> Callable[[list[str]], PackRow]:
        soc, power, high, low, volt, ampere = (
            self._reader(q)
            for q in (pack.soc, pack.power, pack.temp_high, pack.temp_low, pack.voltage, pack.current)
        )
        by_current = pack.current is not None

        def values(cells: list[str]) -> PackRow:
            kw = power(cells)
            if by_current:
                volts, amperes = volt(cells), ampere(cells)
                kw = None if volts is None or amperes is None else volts * amperes / 1000
            return PackRow(soc(cells), kw, high(cells), low(cells))

        return values


class Clock:
    """Reads the time of a row as seconds since 1970."""

    def __init__(self, mapping: RecordingMapping, start: str = "") -> None:
        """Looks whether the time can be told.

        Raises:
            UsageError: seconds without a start, or a start that is no moment.
        """
        self._time = mapping.time
        self._zone = ZoneInfo(self._time.zone) if self._time.zone else None
        self._decimal = mapping.decimal
        self._minutes: dict[tuple[str, int, int], float] = {}
        self._start = 0.0
        if start and self._time.how != "seconds":
            raise UsageError("--start is for recordings that count seconds.", next_step="Leave it out.")
        if self._time.how == "seconds":
            told = start or self._time.start
            if not told:
                raise UsageError(
                    "The recording counts seconds, and nothing says from when.",
                    next_step="Add --start 2031-05-09T08:30:00Z, or [time] start to the mapping.",
                )
            try:
                self._start = self._iso(told)
            except ValueError as error:
                raise UsageError(
                    f"The start of the recording: {error}.", next_step="Write 2031-05-09T08:30:00Z."
                ) from None

    def at(self, text: str, day: str) -> float:
        """The moment of a row [s since 1970], before the clock's offset.

        Args:
            text: the cell of the time.
            day: the cell of the day, where there is one.

        Raises:
            ValueError: it is no such time.
        """
        if self._time.how == "iso":
            return self._iso(text)
        if self._time.how == "seconds":
            seconds = conversions.number(text, self._decimal, "")
            if abs(seconds) > 1e9:
                raise ValueError(f"'{text[:40]}' is no number of seconds since the start")
            return self._start + seconds
        match = _CLOCK.fullmatch(text)
        if match is None:
            raise ValueError(f"'{text[:40]}' is not a time of day with seconds")
        minute = self._minute(day, int(match[1]), int(match[2]))
        return minute + _seconds(match[3], match[4])

    def _iso(self, text: str) -> float:
        match = _ISO.fullmatch(text.strip())
        if match is None:
            raise ValueError(f"'{text[:40]}' is not a time such as 2031-05-09T08:30:00Z")
        year, month, day, hour, minute = (int(part) for part in match.groups()[:5])
        seconds = _seconds(match[6], match[7])
        if match[8] is None:
            return self._minute(f"{year:04d}-{month:02d}-{day:02d}", hour, minute) + seconds
        key = (text[:10] + match[8], hour, minute)
        if key not in self._minutes:
            zone = "+00:00" if match[8] == "Z" else match[8]
            try:
                moment = datetime.fromisoformat(
                    f"{match[1]}-{match[2]}-{match[3]}T{match[4]}:{match[5]}{zone}"
                )
                self._keep(key, moment.timestamp())
            except (ValueError, OverflowError):
                raise ValueError(f"there is no such moment as '{text[:40]}'") from None
        return self._minutes[key] + seconds

    def _minute(self, day: str, hour: int, minute: int) -> float:
        """A minute of the local clock [s since 1970]; each is worked out once."""
        key = (day, hour, minute)
        if key not in self._minutes:
            if self._zone is None:
                raise ValueError("a time without an offset needs [time] zone in the mapping")
            if hour > 23 or minute > 59:
                raise ValueError(f"'{hour}:{minute:02d}' is not a time of day")
            try:
                order = self._time.order or "ymd"
                on = (
                    date.fromisoformat(day)
                    if not self._time.date
                    else conversions.day(day, order, self._time.century)
                )
                moment = conversions.instant(on, hour, minute, self._zone, self._time.twice)
            except OverflowError:
                raise ValueError(f"there is no such moment as '{day[:40]}'") from None
            self._keep(key, moment.replace(tzinfo=UTC).timestamp())
        return self._minutes[key]

    def _keep(self, key: tuple[str, int, int], seconds: float) -> None:
        if len(self._minutes) > 10_000:
            self._minutes.clear()
        self._minutes[key] = seconds


def _seconds(whole: str, fraction: str | None) -> float:
    seconds = int(whole)
    if seconds > 60:  # 60: a leap second
        raise ValueError(f"'{whole}' is no number of seconds")
    return float(f"{seconds}.{fraction or 0}")
