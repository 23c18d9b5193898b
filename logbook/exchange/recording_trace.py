"""A recording in memory: one moment a second at most, with the energy of every row behind it.

Energy is added up over all rows (`energy/integral.py`) and noted at each moment as the sum so far, so that the energy
between any two moments is a difference. Ten rows a second for hours thus take the memory of one.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from copy import copy
from math import isnan, nan
from pathlib import Path
from typing import Final, NamedTuple

from logbook.energy.integral import PowerIntegral
from logbook.errors import DataRefused
from logbook.exchange.recording_file import CUT_SHORT, RecordingFile
from logbook.exchange.recording_mapping import RecordingMapping
from logbook.exchange.recording_rows import PackRow, Row, Rows

_MOST_LEFT_OUT: Final = 0.5
"""Of a recording of which more than this share could not be used, nothing is believed."""
_NEAR_S: Final = 60.0
"""A value further than this from a moment says nothing about it [s]."""
_STEP_DECIMALS: Final = 3


class Energy(NamedTuple):
    """What a pack gave between two moments.

    Attributes:
        out_kwh: given [kWh]; `back_kwh` taken back.
        covered_s: time over which power was known [s]; `missing_s` time without data.
        peak_kw: highest power [kW], None where none was known.
    """

    out_kwh: float
    back_kwh: float
    covered_s: float
    missing_s: float
    peak_kw: float | None

    @property
    def mean_kw(self) -> float | None:
        """Mean power over the time that is known, what was taken back subtracted [kW]."""
        if self.covered_s <= 0:
            return None
        return (self.out_kwh - self.back_kwh) * 3600 / self.covered_s


class PackTrace:
    """One pack over the recording, beside the moments of its trace.

    Attributes:
        label: its name in the mapping.
        serial_no: the pack, or empty.
        has_power: whether its power was recorded.
        soc_step_pct: smallest change of charge that was seen [%]; None where it never changed.
        temp_step_c: likewise of the highest temperature [°C].
    """

    def __init__(self, label: str, serial_no: str, longest_s: float, *, has_power: bool) -> None:
        self.label, self.serial_no, self.has_power = label, serial_no, has_power
        self.soc, self.hot, self.cold = array("d"), array("d"), array("d")
        self.soc_step_pct: float | None = None
        self.temp_step_c: float | None = None
        self._sum = PowerIntegral(longest_s)
        self._sums: tuple[array[float], ...] = (array("d"), array("d"), array("d"), array("d"))
        self._peaks = array("d")
        self._peak = nan
        self._latest: list[float | None] = [None, None, None]
        self._hottest: float | None = None

    def add(self, at: float, row: PackRow) -> None:
        """One row."""
        self._sum.add(at, row.kw)
        if row.kw is not None and not row.kw <= self._peak:
            self._peak = row.kw
        self.soc_step_pct = _smaller(self.soc_step_pct, self._latest[0], row.soc_pct)
        self.temp_step_c = _smaller(self.temp_step_c, self._latest[1], row.temp_high_c)
        for place, value in enumerate((row.soc_pct, row.temp_high_c, row.temp_low_c)):
            if value is not None:
                self._latest[place] = value
        if row.temp_high_c is not None and (self._hottest is None or row.temp_high_c > self._hottest):
            self._hottest = row.temp_high_c

    def mark(self, row: PackRow) -> None:
        """A moment: the sums so far, and the values of its row."""
        for kept, total in zip(
            self._sums,
            (self._sum.out_kwh, self._sum.back_kwh, self._sum.covered_s, self._sum.missing_s),
            strict=True,
        ):
            kept.append(total)
        self._peaks.append(self._peak)
        self._peak = nan
        self.soc.append(nan if row.soc_pct is None else row.soc_pct)
        self.hot.append(nan if self._hottest is None else self._hottest)
        self.cold.append(nan if row.temp_low_c is None else row.temp_low_c)
        self._hottest = None

    def end(self, at: float) -> None:
        """The recording is over."""
        self._sum.end(at)
        if self._sums[3]:
            self._sums[3][-1] = self._sum.missing_s

    def cut(self, kept: slice) -> None:
        """Keeps some of the moments."""
        self.soc, self.hot, self.cold, self._peaks = (
            values[kept] for values in (self.soc, self.hot, self.cold, self._peaks)
        )
        self._sums = tuple(values[kept] for values in self._sums)

    def energy(self, start: int, end: int) -> Energy:
        """What it gave from one moment to another, by their places."""
        out, back, covered, missing = (kept[end] - kept[start] for kept in self._sums)
        peaks = [value for value in self._peaks[start + 1 : end + 1] if not isnan(value)]
        return Energy(out, back, covered, missing, max(peaks, default=None))


class Trace:
    """A recording, thinned.

    Attributes:
        at: the moments [s since 1970]; beside them `altitude_ft` and `speed_kt`, not-a-number where unknown.
        packs: in the order of the mapping.
        digest: SHA-256 of the file.
        read: rows with values; `used` those in order; `left_out` the others, by reason.
        interval_s: mean time between rows, gaps left out [s]; of the whole file, also once it was cut.
        gaps: how many times rows were further apart than the mapping allows; `gap_s` how long all of them were [s].
    """

    def __init__(self, mapping: RecordingMapping) -> None:
        self.at, self.altitude_ft, self.speed_kt = array("d"), array("d"), array("d")
        self.longest_s = mapping.longest_s
        self.packs = [
            PackTrace(
                pack.label,
                pack.serial_no,
                mapping.longest_s,
                has_power=pack.power is not None or pack.current is not None,
            )
            for pack in mapping.packs
        ]
        self.digest = ""
        self.read = self.used = self.gaps = 0
        self.left_out: dict[str, int] = {}
        self.gap_s = 0.0
        self.interval_s: float | None = None

    def fill(self, rows: Iterable[Row]) -> None:
        """Takes in rows in order of time."""
        last: Row | None = None
        marked = False
        for row in rows:
            if last is not None and row.at - last.at > self.longest_s:
                self.gaps += 1
                self.gap_s += row.at - last.at
                if not marked:
                    self._mark(last)  # a gap lies between two moments of its own
            for pack, value in zip(self.packs, row.packs, strict=True):
                pack.add(row.at, value)
            marked = not self.at or row.at - self.at[-1] >= 1.0
            if marked:
                self._mark(row)
            last = row
        if last is not None and not marked:
            self._mark(last)
        for pack in self.packs:
            pack.end(self.at[-1] if self.at else 0.0)

    def _mark(self, row: Row) -> None:
        self.at.append(row.at)
        self.altitude_ft.append(nan if row.altitude_ft is None else row.altitude_ft)
        self.speed_kt.append(nan if row.speed_kt is None else row.speed_kt)
        for pack, value in zip(self.packs, row.packs, strict=True):
            pack.mark(value)

    def cut(self, start: float, end: float) -> None:
        """Keeps the moments between two times only: one flight of several. The counts stay those of the whole file."""
        kept = slice(bisect_left(self.at, start), bisect_right(self.at, end))
        self.at, self.altitude_ft, self.speed_kt = (
            values[kept] for values in (self.at, self.altitude_ft, self.speed_kt)
        )
        for pack in self.packs:
            pack.cut(kept)

    def copy(self) -> Trace:
        """The same moments, to be cut without harm to these."""
        other = copy(self)
        other.packs = [copy(pack) for pack in self.packs]
        return other

    def value_before(self, values: array[float], place: int) -> float | None:
        """The last known value at or before a moment, not more than a minute older."""
        for here in range(place, -1, -1):
            if self.at[place] - self.at[here] > _NEAR_S:
                return None
            if not isnan(values[here]):
                return values[here]
        return None

    def value_after(self, values: array[float], place: int) -> float | None:
        """The first known value at or after a moment, not more than a minute younger; else the last before."""
        for here in range(place, len(self.at)):
            if self.at[here] - self.at[place] > _NEAR_S:
                break
            if not isnan(values[here]):
                return values[here]
        return self.value_before(values, place)

    def gap_between(self, start: float, end: float) -> bool:
        """Whether rows are missing between two times."""
        first = max(bisect_left(self.at, start) - 1, 0)
        last = min(bisect_right(self.at, end), len(self.at) - 1)
        return any(
            self.at[here + 1] - self.at[here] > max(self.longest_s, 1.5) for here in range(first, last)
        )


def read_trace(path: Path, mapping: RecordingMapping, start: str = "") -> Trace:
    """Reads a recording.

    Args:
        path: the raw file.
        mapping: how to read it.
        start: the moment from which seconds count, ISO.

    Raises:
        FileTrouble: it cannot be read.
        UsageError: the mapping does not fit the file.
        DataRefused: it cannot be a recording, or most of it could not be used.
    """
    file = RecordingFile(path, mapping)
    try:
        rows = Rows(file, mapping, start)
        trace = Trace(mapping)
        trace.fill(rows)
        trace.digest = file.digest
    finally:
        file.close()
    trace.read, trace.used = rows.read, rows.used
    steps = trace.used - 1 - trace.gaps
    trace.interval_s = None if steps <= 0 else (trace.at[-1] - trace.at[0] - trace.gap_s) / steps
    trace.left_out = dict(sorted(rows.left_out.items()))
    lost = sum(trace.left_out.values())
    if trace.used < 2 or lost - trace.left_out.get(CUT_SHORT, 0) > _MOST_LEFT_OUT * trace.read:
        why = "; ".join(f"{count} with {reason}" for reason, count in trace.left_out.items())
        raise DataRefused(
            f"{path.name}: only {trace.used} of {trace.read} rows could be used{': ' if why else ''}{why}.",
            next_step="Look at its times, and at [time] in the mapping.",
        )
    return trace


def _smaller(step: float | None, before: float | None, now: float | None) -> float | None:
    """The smallest change so far."""
    if before is None or now is None:
        return step
    change = round(abs(now - before), _STEP_DECIMALS)
    if change == 0:
        return step
    return change if step is None else min(step, change)
