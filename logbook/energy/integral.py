"""Energy from power over time: what a pack gave and took back, and for how long nobody knows.

The trapezoid rule over rows that follow each other closely enough. Where power changes its sign between two rows, the line
between them is cut at zero, so that energy given and energy taken back never cancel. Over a longer gap nothing is
integrated: its length is counted instead, and the energy is then "at least".
"""

from __future__ import annotations

_SECONDS_PER_HOUR = 3600.0


class PowerIntegral:
    """A running sum over one pack's power.

    Attributes:
        out_kwh: energy given [kWh].
        back_kwh: energy taken back [kWh], counted apart.
        covered_s: time over which power was known [s].
        missing_s: time in gaps [s].
        gaps: how many gaps.
        peak_kw: the highest power of any row [kW]; None where none was known.
    """

    def __init__(self, longest_s: float) -> None:
        """Begins a sum.

        Args:
            longest_s: rows further apart than this are a gap [s].
        """
        self.out_kwh = self.back_kwh = self.covered_s = self.missing_s = 0.0
        self.gaps = 0
        self.peak_kw: float | None = None
        self._longest_s = longest_s
        self._at: float | None = None
        self._kw: float | None = None

    def add(self, at: float, kw: float | None) -> None:
        """The next row.

        Args:
            at: when [s]; later than the row before.
            kw: power the pack gave [kW], negative where it took back; None where it is not known.
        """
        if kw is None:
            if self._at is None:
                self._at = at  # the gap at the beginning counts from the first row
            return
        if self._at is not None:
            self._between(self._kw, kw, at - self._at)
        self._at, self._kw = at, kw
        self.peak_kw = kw if self.peak_kw is None else max(self.peak_kw, kw)

    def end(self, at: float) -> None:
        """The last row of the recording: power that was not known until then is a gap [s]."""
        if self._at is not None and at - self._at > self._longest_s:
            self._gap(at - self._at)
            self._at = at

    def _gap(self, seconds: float) -> None:
        self.missing_s += seconds
        self.gaps += 1

    def _between(self, before: float | None, after: float, seconds: float) -> None:
        if seconds > self._longest_s:
            self._gap(seconds)
            return
        if before is None:
            return
        self.covered_s += seconds
        out, back = _areas(before, after)
        self.out_kwh += out * seconds / _SECONDS_PER_HOUR
        self.back_kwh += back * seconds / _SECONDS_PER_HOUR


def _areas(before: float, after: float) -> tuple[float, float]:
    """Mean power given and mean power taken back on a straight line from one power to another [kW]."""
    if before >= 0 and after >= 0:
        return (before + after) / 2, 0.0
    if before <= 0 and after <= 0:
        return 0.0, -(before + after) / 2
    high, low = max(before, after), -min(before, after)
    return high * high / (high + low) / 2, low * low / (high + low) / 2
