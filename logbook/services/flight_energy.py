"""What a flight took out of all its packs together."""

from __future__ import annotations

from logbook.energy.estimate import Estimate
from logbook.rules.case import FlightCase


def total_energy(case: FlightCase) -> Estimate | None:
    """Energy of the flight over all packs [kWh]; None where any pack's is unknown."""
    known = [pack.energy_kwh for pack in case.packs if pack.energy_kwh is not None]
    if not known or len(known) != len(case.packs) or case.unread:
        return None
    mid = sum(energy.mid for energy in known)
    half = sum(((energy.high - energy.low) / 2) ** 2 for energy in known) ** 0.5
    return Estimate(mid - half, mid, mid + half, min(energy.n for energy in known), known[0].how)
