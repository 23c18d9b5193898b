"""A recorder aboard the simulated aeroplane: a row every so often, with a noisy sensor, beside what each pack really gave.

The truth is kept by stretch of flight (phase, seconds, mean power of each pack), before anything is sampled, rounded or lost.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from pathlib import Path
from typing import Any

import numpy as np

from logbook.exchange.recording_mapping import RecordingMapping, recording_mapping_of
from tests.world.aeroplane import draw_aeroplane
from tests.world.cells import Pack
from tests.world.flying import Air, Flown, Outing, Sky, fly
from tests.world.pilots import draw_pilots

NOISE_KW = 0.3
"""Standard deviation of the power sensor of each pack [kW]."""
_STANDING_S = 60.0
_TAXI_KT, _LIFT_OFF_KT = 8.0, 45.0
_ROLL_MIN, _TAKE_OFF_MIN = 0.25, 0.35
"""Of the minutes at take-off power the first are on the ground (`Sky.take_off`: 0.1 of 0.35 in the air)."""


@dataclass(frozen=True)
class Stretch:
    """What really happened for a while: phase, from and to [s], power of each pack [kW], altitude [ft], speed [kt]."""

    phase: str
    start: float
    end: float
    kw: tuple[float, ...]
    feet: tuple[float, float]
    knots: tuple[float, float]
    soc: tuple[tuple[float, float], ...]

    @property
    def seconds(self) -> float:
        return self.end - self.start

    def energy(self, pack: int, start: float = -np.inf, end: float = np.inf) -> float:
        """What a pack gave in it, or in the part between two times [kWh]."""
        covered = max(0.0, min(end, self.end) - max(start, self.start))
        return self.kw[pack] * covered / 3600


class RecordedSky(Sky):
    """A sky that remembers what was flown, and when."""

    stretches: list[Stretch]
    _phase, _knots, _rolls = "ground", (0.0, 0.0), 0

    def power(self, kw: float, minutes: float) -> None:
        before = [(pack.out_kwh, pack.soc) for pack in self.packs]
        super().power(kw, minutes)
        if minutes <= 0:
            return
        start = self.stretches[-1].end if self.stretches else _STANDING_S
        mean = tuple((p.out_kwh - out) * 60 / minutes for p, (out, _) in zip(self.packs, before, strict=True))
        soc = tuple((was, p.soc) for p, (_, was) in zip(self.packs, before, strict=True))
        feet = (self.altitude_ft, self.altitude_ft)
        self.stretches.append(Stretch(self._phase, start, start + minutes * 60, mean, feet, self._knots, soc))

    def _end_at(self, feet: float) -> None:
        last = self.stretches.pop()
        self.stretches.append(Stretch(**{**vars(last), "feet": (last.feet[0], feet)}))

    def taxi(self, minutes: float) -> None:
        self._phase, self._knots = "ground", (_TAXI_KT, _TAXI_KT)
        super().taxi(minutes)

    def climb(self, feet: float, *, counted: bool) -> None:
        self._phase, self._knots = "climb", (self.plane.climb_kt, self.plane.climb_kt)
        super().climb(feet, counted=counted)
        self._end_at(self.altitude_ft)

    def level(self, minutes: float, factor: float, *, counted: bool) -> None:
        self._phase, self._knots = "level", (self.plane.cruise_kt, self.plane.cruise_kt)
        super().level(minutes, factor, counted=counted)

    def descend(self, feet: float) -> None:
        self._phase, self._knots = "descent", (self.plane.climb_kt, self.plane.climb_kt)
        super().descend(feet)
        self._end_at(self.altitude_ft)

    def take_off(self) -> None:
        """The first one rolls from taxi speed on the ground; a touch-and-go stays fast."""
        self._phase, self._knots = "climb", (_LIFT_OFF_KT, _LIFT_OFF_KT)
        super().take_off()
        whole = self.stretches[-1]
        if not self._rolls:
            lifts = whole.start + whole.seconds * _ROLL_MIN / _TAKE_OFF_MIN
            middle = tuple(a + (b - a) * _ROLL_MIN / _TAKE_OFF_MIN for a, b in whole.soc)
            roll = {
                "phase": "ground",
                "end": lifts,
                "knots": (_TAXI_KT, 29.0),
                "soc": tuple((a, m) for (a, _), m in zip(whole.soc, middle, strict=True)),
            }
            air = {"start": lifts, "soc": tuple((m, b) for (_, b), m in zip(whole.soc, middle, strict=True))}
            self.stretches[-1:] = [Stretch(**{**vars(whole), **part}) for part in (roll, air)]
        self._rolls += 1

    def circuit(self) -> None:
        first = len(self.stretches)
        super().circuit()
        for here in range(first, len(self.stretches)):
            one = self.stretches[here]
            if one.phase != "ground":
                self.stretches[here] = Stretch(**{**vars(one), "phase": "circuits"})


@dataclass(frozen=True)
class Recorded:
    """One flight as it really was, with the packs' serial numbers."""

    serials: tuple[str, ...]
    stretches: tuple[Stretch, ...]
    flown: Flown

    def energy(self, pack: int, start: float = -np.inf, end: float = np.inf) -> float:
        """What a pack really gave between two times [kWh]."""
        return sum(one.energy(pack, start, end) for one in self.stretches)

    def by_phase(self, pack: int) -> dict[str, float]:
        """What a pack really gave in each phase [kWh]."""
        found: dict[str, float] = {}
        for one in self.stretches:
            found[one.phase] = found.get(one.phase, 0.0) + one.energy(pack)
        return found

    def merged(self) -> list[list[Stretch]]:
        """Stretches of one phase that follow each other, together."""
        return [list(group) for _, group in groupby(self.stretches, key=lambda one: one.phase)]

    def noise_kwh(self, pack: int, every_s: float) -> float:
        """One standard deviation of a pack's energy as it can be recorded [kWh].

        Each row is off by the sensor's noise, and a step of power lies anywhere between two rows, where a straight line
        is drawn: off by up to half of it, evenly (variance a twelfth).
        """
        rows = (self.stretches[-1].end - self.stretches[0].start) / every_s
        steps = sum((b.kw[pack] - a.kw[pack]) ** 2 for a, b in pairwise(self.stretches))
        steps += self.stretches[0].kw[pack] ** 2 + self.stretches[-1].kw[pack] ** 2
        return float(every_s * (rows * NOISE_KW**2 + steps / 12) ** 0.5 / 3600)


def simulate(seed: int, kind: str) -> Recorded:
    """One flight of an invented trainer with two packs."""
    rng = np.random.default_rng(seed)
    plane, pilot = draw_aeroplane(rng), draw_pilots(rng)[0]
    packs = [Pack(f"SIM-{n}", 12.0, 0.12 * rng.uniform(0.9, 1.1), 0.5, temp_c=18.0, rng=rng) for n in (1, 2)]
    outing = Outing(pilot, kind, plane.mass_kg, 2, Air(12.0, 270.0, 8.0, float(rng.gamma(2.0, 0.22))))
    sky = RecordedSky(plane, packs, None, outing, field_ft=640.0, rng=rng)
    sky.stretches = []
    flown = fly(sky, cut_at=0.32)
    return Recorded(tuple(pack.serial_no for pack in packs), tuple(sky.stretches), flown)


def rows_of(flight: Recorded, every_s: float, seed: int) -> Iterator[tuple[float, ...]]:
    """What the recorder writes: seconds, altitude [ft], speed [kt], then charge [%] and power [kW] of each pack."""
    rng = np.random.default_rng(seed)
    end = flight.stretches[-1].end + _STANDING_S
    here, count = 0, len(flight.serials)
    for t in np.arange(0.0, end, every_s):
        while here < len(flight.stretches) - 1 and t >= flight.stretches[here].end:
            here += 1
        one = flight.stretches[here]
        stands = not one.start <= t < one.end
        share = float(np.clip((t - one.start) / one.seconds, 0, 1))
        feet, knots = (a + (b - a) * share for a, b in (one.feet, one.knots))
        values: list[float] = [float(t), round(feet + rng.normal(0, 3)), 0.0 if stands else round(knots, 1)]
        for pack in range(count):
            was, becomes = one.soc[pack]
            values.append(round(100 * (was + (becomes - was) * share)))
            kw = 0.0 if stands else one.kw[pack]
            values.append(round(kw + rng.normal(0, NOISE_KW), 1))
        yield tuple(values)


def mapping_for(flight: Recorded) -> RecordingMapping:
    """How such a file is read."""
    packs: dict[str, Any] = {
        serial: {
            "serial_no": serial,
            "soc": f"soc {serial}",
            "power": {"column": f"kw {serial}", "unit": "kW", "discharge": "positive"},
        }
        for serial in flight.serials
    }
    return recording_mapping_of({
        "kind": "recording",
        "name": "simulated",
        "time": {"column": "t", "as": "seconds", "start": "2031-05-09T08:00:00Z"},
        "gaps": {"longest_s": 10},
        "altitude": {"column": "alt", "unit": "ft"},
        "speed": {"column": "gs", "unit": "kt", "of": "ground"},
        "packs": packs,
    })  # fmt: skip


def write(
    path: Path, flight: Recorded, *, every_s: float, seed: int, gaps: Sequence[tuple[float, float]] = ()
) -> Path:
    """Writes the file, without the rows inside gaps [s]."""
    header = ["t", "alt", "gs", *(f"{word} {serial}" for serial in flight.serials for word in ("soc", "kw"))]
    lines = [",".join(header)]
    lines += [
        ",".join(f"{value:g}" for value in row)
        for row in rows_of(flight, every_s, seed)
        if not any(start < row[0] < end for start, end in gaps)
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
