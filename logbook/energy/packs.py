"""What is believed about each pack: capacity as flown, its fade, and how far its SOH scale is off.

Each pack has three unknowns in the joint state: L = ln(usable / nominal), fade of L for each equivalent cycle, and
lean, the lasting difference between what the SOH scale points at and L. Lean is what keeps the capacity honest:
hundreds of SOH readings with the same lasting error are not hundreds of measurements.
"""

from math import exp, log

from logbook.energy.record import PackFacts
from logbook.energy.worth import worths_of

CAPACITY, FADE, LEAN = range(3)
PLACES = 8
DRIFT_SD = (0.0020, 0.00001, 0.0008)
FADE_MEAN, FADE_SD = -0.0007, 0.0005
LEAN_SD = 0.04
SOH_SD = 0.012
GENERIC_ZERO, GENERIC_ZERO_SD = 0.6, 0.2
STATED_ZERO_SD = 0.03
GENERIC_NOMINAL_KWH = 12.0


class Scale:
    """Nominal capacity and SOH scale of one pack, with stand-ins for what is not stated."""

    __slots__ = (
        "full",
        "nominal_kwh",
        "nominal_stated",
        "serial_no",
        "unusable_pct",
        "worths",
        "zero",
        "zero_stated",
    )

    def __init__(self, facts: PackFacts) -> None:
        self.serial_no = facts.serial_no
        self.nominal_stated = facts.nominal_kwh is not None and facts.nominal_kwh > 0
        self.nominal_kwh = (
            float(facts.nominal_kwh) if self.nominal_stated and facts.nominal_kwh else GENERIC_NOMINAL_KWH
        )
        self.full = 1.0 if facts.soh_full_fraction is None else max(facts.soh_full_fraction, 0.05)
        self.zero_stated = facts.soh_zero_fraction is not None
        zero = GENERIC_ZERO * self.full if facts.soh_zero_fraction is None else facts.soh_zero_fraction
        self.zero = min(max(zero, 0.0), self.full)
        self.worths = worths_of(facts.curve)
        self.unusable_pct = facts.unusable_soc_pct or 0.0

    def stand_in(self, nominal_kwh: float) -> None:
        """What to take for the nominal capacity where none is stated [kWh]; the estimate stays wide."""
        if not self.nominal_stated:
            self.nominal_kwh = nominal_kwh

    def log_fraction(self, soh_pct: float, zero_shift: float = 0.0) -> tuple[float, float]:
        """ln(usable / nominal) that an SOH points at, and its slope by the usable fraction at SOH 0."""
        health = min(max(soh_pct, 0.0), 100.0) / 100
        fraction = max(self.zero + zero_shift + (self.full - self.zero - zero_shift) * health, 0.05)
        return log(fraction), (1 - health) / fraction

    def start(self, *, has_soh: bool) -> tuple[list[float], list[float]]:
        """Prior of the three unknowns when the pack is first seen."""
        spread = 0.30 if has_soh else 0.10
        lean = LEAN_SD
        if not self.nominal_stated:
            spread = lean = 0.5
        return [-0.04, FADE_MEAN, 0.0], [spread, FADE_SD, lean]

    def usable_kwh(self, capacity: float) -> float:
        """Usable capacity [kWh] of L."""
        return self.nominal_kwh * exp(min(max(capacity, -3.0), 1.5))
