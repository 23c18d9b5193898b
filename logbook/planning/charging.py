"""How long a charge takes, from the pace at which the packs usually charge.

The pace [points of SOC a minute] falls towards full, so it is given in bands of SOC. Nothing is assumed: without a
pace for a band the time cannot be told.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from logbook.errors import DataRefused


class PaceBand(NamedTuple):
    """A band of SOC and the pace at which it fills."""

    soc_from_pct: float
    soc_to_pct: float
    points_per_min: float


def minutes_to_charge(soc_from_pct: float, soc_to_pct: float, pace: Sequence[PaceBand]) -> float | None:
    """Minutes from one charge to a higher one [min].

    Args:
        soc_from_pct: charge before [%].
        soc_to_pct: charge wanted [%]; at or below the charge before it takes 0 minutes.
        pace: bands that do not overlap, in any order.
    Returns: ``None`` where some part of the way has no pace.

    Raises:
        DataRefused: a band is empty, has no pace, or overlaps another.
    """
    bands = sorted(pace)
    _check(bands)
    if soc_to_pct <= soc_from_pct:
        return 0.0
    minutes, covered = 0.0, 0.0
    for band in bands:
        points = min(band.soc_to_pct, soc_to_pct) - max(band.soc_from_pct, soc_from_pct)
        if points > 0:
            minutes += points / band.points_per_min
            covered += points
    return minutes if covered >= soc_to_pct - soc_from_pct - 1e-6 else None


def _check(bands: Sequence[PaceBand]) -> None:
    for band in bands:
        if band.points_per_min <= 0 or band.soc_to_pct <= band.soc_from_pct:
            raise DataRefused(
                "A charging pace needs a rising band of SOC and more than 0 points a minute.",
                next_step="Correct the band.",
                field="charging_pace",
            )
    for below, above in pairwise(bands):
        if above.soc_from_pct < below.soc_to_pct - 1e-9:
            raise DataRefused(
                f"Two charging bands overlap at {above.soc_from_pct:g} %.",
                next_step="Let each band begin where the one below ends.",
                field="charging_pace",
            )
