"""Packs of simulated cells on one bus, their ageing, their computer, and the charger."""

from dataclasses import dataclass, field, replace

import numpy as np

SERIES_VOLT = 3.62


def open_volt(soc: float) -> float:
    """Open-circuit voltage of a cell [V] at a state of charge 0..1, with the knee near empty."""
    s = min(max(soc, 0.0), 1.0)
    return float(3.35 + 0.62 * s + 0.18 * s**6 - 0.32 * np.exp(-18 * s))


@dataclass
class Pack:
    """One pack: true state, and what its computer believes."""

    serial_no: str
    nominal_kwh: float
    ohm: float
    """Resistance when new, at 25 °C and half full [Ω]."""
    zero: float
    """True fraction of nominal that the computer calls SOH 0."""
    fresh: float = 1.0
    """Fraction of nominal when new."""
    fade_per_cycle: float = 0.0007
    series: int = 96
    soc: float = 1.0
    cycles: float = 0.0
    days: float = 0.0
    temp_c: float = 15.0
    belief: float = 0.0
    """Capacity the computer believes in, as a fraction of nominal."""
    wander: float = 0.0
    shown: float = 100.0
    """Indicated SOC, not rounded [%]."""
    bend: float = 0.0
    """By what fraction the voltage is lower once the pack is half empty: cells of another chemistry."""
    out_kwh: float = 0.0
    """Energy given so far [kWh]."""
    rng: np.random.Generator = field(default_factory=np.random.default_rng)

    def __post_init__(self) -> None:
        self.belief = self.belief or self.fraction()

    def volt(self) -> float:
        """Open-circuit voltage of the pack [V]."""
        return self.series * open_volt(self.soc) * (1 - self.bend / (1 + np.exp((self.soc - 0.5) / 0.03)))

    def fraction(self) -> float:
        """True capacity as a fraction of nominal, at room temperature."""
        return float(
            self.fresh
            - self.fade_per_cycle * (0.75 * self.cycles + 4.5 * self.cycles**0.5)
            - 0.012 * (self.days / 365) ** 0.6
        )

    def amp_hours(self) -> float:
        """Charge that the pack gives from full to empty at its temperature [Ah]."""
        cold = max(0.0, 15 - self.temp_c)
        return self.nominal_kwh * 1000 / (self.series * SERIES_VOLT) * self.fraction() * (1 - 0.0012 * cold)

    def resistance(self) -> float:
        """Present resistance [Ω]."""
        cold = np.exp(0.022 * (25 - self.temp_c))
        return float(
            self.ohm * cold * (1 + 0.9 * (1 - self.fraction()) * 2) * (1 + 0.5 * np.exp(-10 * self.soc))
        )

    def soh(self) -> float:
        """Indicated SOH, not rounded [%]."""
        return float(np.clip(100 * (self.belief - self.zero) / (1 - self.zero), 0, 100))

    def learn(self) -> None:
        """After a flight: the belief follows the truth slowly, and wanders."""
        self.wander = 0.985 * self.wander + self.rng.normal(0, 0.0028)
        self.belief += 0.04 * (self.fraction() + self.wander - self.belief) + self.rng.normal(0, 0.0012)

    def age_days(self, days: float) -> None:
        self.days += days


def draw(packs: list[Pack], kw: float, seconds: float, shares: list[float] | None) -> None:
    """Take a power from the packs for a while: from one common bus, or by fixed shares."""
    step = min(seconds, 20.0)
    left = seconds
    while left > 1e-6:
        dt = min(step, left)
        emf = [p.volt() for p in packs]
        ohms = [p.resistance() for p in packs]
        if shares is None:
            a = sum(e / r for e, r in zip(emf, ohms, strict=True))
            b = sum(1 / r for r in ohms)
            volt = (a + max(a * a - 4 * b * kw * 1000, 1.0) ** 0.5) / (2 * b)
            amps = [(e - volt) / r for e, r in zip(emf, ohms, strict=True)]
        else:
            amps = [
                (e - max(e * e - 4 * r * s * kw * 1000, 1.0) ** 0.5) / (2 * r)
                for e, r, s in zip(emf, ohms, shares, strict=True)
            ]
        for pack, amp, r in zip(packs, amps, ohms, strict=True):
            part = amp * dt / 3600 / pack.amp_hours()
            pack.soc = max(pack.soc - part, 0.0)
            pack.cycles += abs(part)
            pack.out_kwh += amp * (pack.volt() - amp * r) * dt / 3.6e6
            pack.temp_c += amp * amp * r * dt / (pack.nominal_kwh * 5.2 * 1000 * 1.3)
        left -= dt


def indicate(pack: Pack, soc_before: float) -> None:
    """Update the indicated SOC after a flight: counted charge over the believed capacity, half corrected, and drift."""
    true_drop = 100 * (soc_before - pack.soc)
    opinion = pack.fraction() / pack.belief
    seen = true_drop * (1 + 0.4 * (opinion - 1)) + pack.rng.normal(0, 0.72)
    pack.shown = float(np.clip(pack.shown - seen, 0.0, 100.0))


def fill(pack: Pack, target: float, kw: float) -> tuple[float, float]:
    """Charge to a target SOC 0..1. Returns the energy into the pack [kWh] and the minutes."""
    energy, minutes = 0.0, 0.0
    while pack.soc < target - 1e-4:
        taper = 1.0 if pack.soc < 0.88 else max(0.12, (1.0 - pack.soc) / 0.12)
        power = kw * taper
        emf, r = pack.volt(), pack.resistance()
        amp = (-emf + (emf * emf + 4 * r * power * 1000) ** 0.5) / (2 * r)
        part = min(amp * 120 / 3600 / pack.amp_hours(), target - pack.soc)
        hours = part * pack.amp_hours() / amp
        energy += power * hours
        minutes += hours * 60
        pack.soc += part
    return energy, minutes


def energy_by_tenths(pack: Pack, kw: float) -> list[float]:
    """A capacity check of a copy of a pack: energy [kWh] it gives at a steady power in each tenth, full to empty."""
    checked = replace(pack, soc=1.0, temp_c=20.0, out_kwh=0.0)
    found = []
    for tenth in range(10):
        before = checked.out_kwh
        while checked.soc > 0.9 - 0.1 * tenth + 1e-9:
            draw([checked], kw, 2.0, None)
            checked.temp_c = 20.0
        found.append(checked.out_kwh - before)
    return found
