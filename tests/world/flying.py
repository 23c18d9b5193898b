"""One flight in the air: what was intended, what was flown, and what ends up on paper."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tests.world.aeroplane import Aeroplane, climb_fpm, density, level_kw
from tests.world.cells import Pack, draw
from tests.world.pilots import Pilot


class Air(NamedTuple):
    """The weather of one flight."""

    temp_c: float
    wind_dir: float
    wind_kt: float
    gust: float
    """How rough the air is (0 calm, 1 lively)."""


class Outing(NamedTuple):
    """Who flies what, how heavy, in which air."""

    pilot: Pilot
    kind: str
    mass_kg: float
    aboard: int
    air: Air


@dataclass
class Flown:
    """What really happened, before anybody wrote it down."""

    taxi_out_min: float = 0.0
    air_min: float = 0.0
    taxi_in_min: float = 0.0
    circuits: int = 0
    climb_ft: float = 0.0
    level_min: float = 0.0
    level_kw: float = 0.0
    highest_ft: float = 0.0
    energy_kwh: float = 0.0


class Sky:
    """The aeroplane with its packs, flown by one pilot in one piece of air."""

    def __init__(
        self,
        plane: Aeroplane,
        packs: list[Pack],
        shares: list[float] | None,
        outing: Outing,
        *,
        field_ft: float,
        rng: np.random.Generator,
    ) -> None:
        self.plane, self.packs, self.shares = plane, packs, shares
        self.pilot, self.kind, self.mass_kg, self.air = outing.pilot, outing.kind, outing.mass_kg, outing.air
        self.rng, self.field_ft = rng, field_ft
        pilot = self.pilot
        self.flown = Flown(highest_ft=field_ft)
        self.altitude_ft = field_ft
        # How this flight differs from the pilot's usual: speed held, trim, flaps late, a heavy foot.
        self.mood = float(np.exp(rng.normal(0, 0.036 * pilot.spread))) * (1 + pilot.skill())

    def power(self, kw: float, minutes: float) -> None:
        draw(self.packs, max(kw, 0.3), minutes * 60, self.shares)
        self.flown.energy_kwh += max(kw, 0.3) * minutes / 60

    def taxi(self, minutes: float) -> None:
        self.power(self.plane.taxi_kw * self.rng.uniform(0.8, 1.25), minutes)

    def climb(self, feet: float, *, counted: bool) -> None:
        rho = density(self.altitude_ft + feet / 2, self.air.temp_c)
        fpm = climb_fpm(self.plane, self.mass_kg, rho, self.air.gust)
        minutes = feet / fpm * self.pilot.climb * self.mood * float(np.exp(self.rng.normal(0, 0.04)))
        self.power(self.plane.climb_kw, minutes)
        self.flown.air_min += minutes
        self.altitude_ft += feet
        self.flown.highest_ft = max(self.flown.highest_ft, self.altitude_ft)
        if counted:
            self.flown.climb_ft += feet

    def level(self, minutes: float, factor: float, *, counted: bool) -> None:
        rho = density(self.altitude_ft, self.air.temp_c)
        kw = level_kw(self.plane, self.plane.cruise_kt, self.mass_kg, rho, self.air.gust)
        kw *= factor * self.pilot.level[self.kind] * self.mood
        self.power(kw, minutes)
        self.flown.air_min += minutes
        if counted:
            self.flown.level_min += minutes
            self.flown.level_kw += kw * minutes

    def descend(self, feet: float) -> None:
        minutes = feet / self.rng.uniform(480, 620)
        self.power(self.plane.cruise_kt * 0.055 * self.rng.uniform(0.5, 1.5), minutes)
        self.flown.air_min += minutes
        self.altitude_ft = max(self.altitude_ft - feet, self.field_ft)

    def take_off(self) -> None:
        self.power(self.plane.climb_kw * 1.05, 0.35)
        self.flown.air_min += 0.1

    def circuit(self) -> None:
        self.take_off()
        self.climb(self.plane.circuit_ft, counted=False)
        extra = self.rng.gamma(1.2, 0.22) if self.rng.random() < 0.5 else 0.0  # extended downwind for traffic
        around = self.plane.circuit_level_min * self.pilot.circuit * float(np.exp(self.rng.normal(0, 0.05)))
        self.level(around + extra, 0.88, counted=False)
        self.descend(self.plane.circuit_ft)
        self.flown.circuits += 1

    def charge_left(self) -> float:
        return min(p.soc for p in self.packs)


def fly(sky: Sky, cut_at: float) -> Flown:
    """Fly a flight of the sky's kind; the pilot turns back when the weaker pack nears ``cut_at`` (0..1)."""
    rng, kind = sky.rng, sky.kind
    flown = sky.flown
    flown.taxi_out_min = float(max(sky.pilot.taxi_min + rng.normal(0, 1.6), 2.5))
    sky.taxi(flown.taxi_out_min)
    if kind == "circuits":
        for _ in range(int(rng.integers(3, 9))):
            if sky.charge_left() < cut_at + 0.07:
                break
            sky.circuit()
    else:
        _depart(sky, cut_at)
    flown.taxi_in_min = float(max(0.55 * sky.pilot.taxi_min + rng.normal(0, 1.0), 1.5))
    sky.taxi(flown.taxi_in_min)
    flown.level_kw = flown.level_kw / flown.level_min if flown.level_min else 0.0
    return flown


def _depart(sky: Sky, cut_at: float) -> None:
    rng, kind = sky.rng, sky.kind
    sky.take_off()
    top = {"local": rng.uniform(1200, 3200), "cross-country": rng.uniform(1500, 3800)}.get(
        kind, rng.uniform(1200, 3000)
    )
    sky.climb(top, counted=True)
    sky.level(rng.uniform(0.6, 1.8), 1.06, counted=False)  # leaving the circuit, settling down
    minutes = {
        "local": rng.uniform(8, 26),
        "cross-country": rng.uniform(16, 36),
        "ferry": rng.uniform(12, 26),
        "check": rng.uniform(6, 18),
    }[kind]
    setting = 1.0 if kind in ("local", "check") else float(rng.choice([0.94, 1.0, 1.08], p=[0.2, 0.6, 0.2]))
    done = 0.0
    while done < minutes and sky.charge_left() > cut_at + 0.12:
        part = min(4.0, minutes - done)
        sky.level(
            part, setting * (1 if kind != "local" else float(np.exp(rng.normal(0, 0.04)))), counted=True
        )
        done += part
        if kind in ("local", "check") and rng.random() < 0.25 and sky.charge_left() > cut_at + 0.2:
            feet = rng.uniform(300, 900)  # air work: lost height is climbed again
            sky.descend(feet)
            sky.climb(feet, counted=True)
    if rng.random() < 0.3:
        sky.level(rng.gamma(1.3, 1.3), 0.9, counted=False)  # holding, orbits, a wide join
    sky.descend(sky.altitude_ft - sky.field_ft)
    if kind in ("local", "check") and rng.random() < 0.25:
        for _ in range(int(rng.integers(1, 4))):
            if sky.charge_left() < cut_at + 0.07:
                break
            sky.circuit()
