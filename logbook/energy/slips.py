"""Legs that the clock shows to be impossible, and the single entry that most likely slipped."""

from typing import NamedTuple

from logbook.energy.clock import CIRCUITS, KFT, Clock
from logbook.energy.legs import Legs

IMPOSSIBLE_Z = 4.5
LIKELY_KFT, LIKELY_KFT_SD = 2.3, 1.2


class Repair(NamedTuple):
    """One entry, as recorded, and the value that makes the clock agree."""

    field: str
    recorded: float
    fits: float

    def applied(self, legs: Legs) -> Legs:
        """The legs with this entry changed."""
        if self.field == "climb_ft":
            return legs._replace(kft=self.fits / 1000)
        if self.field == "level_min":
            return legs._replace(level_min=self.fits)
        return legs._replace(circuits=self.fits)


def repair(
    legs: Legs, clock: Clock, residual_min: float, sd_min: float, *, circuit_flight: bool
) -> Repair | None:
    """The likeliest single slip of the pen.

    Args:
        legs: As recorded.
        clock: How long things usually take.
        residual_min: Air time less what the legs explain.
        sd_min: Its usual spread.
        circuit_flight: Whether only circuits were flown.
    """
    x = clock.state.x
    per_kft, per_circuit = max(float(x[KFT]), 0.5), max(float(x[CIRCUITS]), 2.0)
    circuits = round(legs.circuits + residual_min / per_circuit)
    if circuit_flight and legs.circuits > 0:
        return Repair("circuits", legs.circuits, float(circuits)) if circuits > 0 else None
    candidates: list[tuple[float, Repair]] = []
    kft = legs.kft + residual_min / per_kft
    if legs.kft > 0 and kft > 0.2:
        ten_times = abs(legs.kft / 10 - kft) * per_kft < 2 * sd_min
        unlikely = abs(kft - LIKELY_KFT) / LIKELY_KFT_SD - (2.0 if ten_times else 0.0)
        candidates.append((unlikely, Repair("climb_ft", 1000 * legs.kft, 1000 * kft)))
    level = legs.level_min + residual_min
    if level > 0:
        exchanged = float(f"{int(legs.level_min):02d}"[::-1])
        tens = min(abs(abs(residual_min) - 10), abs(abs(residual_min) - 20))
        neat = min(abs(level - exchanged), tens) < 1.5 * sd_min
        candidates.append((-0.5 if neat else 0.5, Repair("level_min", legs.level_min, level)))
    if (
        legs.circuits > 0
        and circuits >= 0
        and abs(residual_min - (circuits - legs.circuits) * per_circuit) < 2 * sd_min
    ):
        candidates.append((1.0, Repair("circuits", legs.circuits, float(circuits))))
    return min(candidates)[1] if candidates else None
