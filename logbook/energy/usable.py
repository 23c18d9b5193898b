"""From percent to kWh, for one pack: plain arithmetic, no numpy, quick to import.

The SOH scale is the maker's own. What it calls 100 and 0 are fractions of the nominal capacity
(``full`` and ``zero``), and usable capacity lies on the straight line between them:

    usable = nominal × (zero + (full − zero) × SOH / 100)                                     (1)

"SOH is the fraction of capacity left" is the special case zero = 0, full = 1. It is not assumed:
where the manual does not say what SOH 0 means, ``zero`` is taken as 0.6 ± 0.2 and the answer says so.
"""

from collections.abc import Sequence
from math import sqrt
from typing import Final, NamedTuple

from logbook.energy.estimate import Z90, Estimate
from logbook.energy.worth import Worths, points_between

FLOWN_FOR_MIN = 5
"""After so long in the air [min] a gauge in whole percent shows less (common practice, no source)."""
GAUGE_SD_PCT: Final = 0.85
"""Standard deviation of an indicated SOC drop about the true one, rounding included (common practice, no source)."""

UNKNOWN_ZERO = 0.6
UNKNOWN_ZERO_SD = 0.2
SCALE_SD = 0.05
"""What even a stated scale may be off by, as a fraction of nominal: the packs differ and the gauge lags."""


def usable_from_soh(
    nominal_kwh: float | None,
    soh_pct: float | None,
    zero_fraction: float | None = None,
    full_fraction: float | None = None,
) -> Estimate | None:
    """Usable capacity that the indicated SOH points at [kWh], equation (1).

    Args:
        nominal_kwh: What the maker rates the new pack at [kWh]; without it there is no answer (``None``).
        soh_pct: State of health as indicated [%]; unknown is taken as anything from 100 down to 50.
        zero_fraction: Fraction of nominal at SOH 0; unknown is 0.6 ± 0.2.
        full_fraction: Fraction of nominal at SOH 100; unknown is 1.
    """
    if nominal_kwh is None or nominal_kwh <= 0:
        return None
    full = 1.0 if full_fraction is None else full_fraction
    zero = min(UNKNOWN_ZERO, full) if zero_fraction is None else zero_fraction
    health = 0.85 if soh_pct is None else min(max(soh_pct, 0.0), 100.0) / 100
    mid = zero + (full - zero) * health
    sd = SCALE_SD * mid
    how = "nominal capacity and SOH scale"
    if zero_fraction is None:
        sd = sqrt(sd**2 + (UNKNOWN_ZERO_SD * (1 - health)) ** 2)
        how += "; what SOH 0 means is not stated, taken as 0.6 ± 0.2 of nominal"
    if soh_pct is None:
        sd = sqrt(sd**2 + (0.1 * (full - zero)) ** 2)
        how += "; SOH not read"
    low = max(mid - Z90 * sd, 0.02 * mid)
    return Estimate(low * nominal_kwh, mid * nominal_kwh, (mid + Z90 * sd) * nominal_kwh, 0, how)


def energy_of_drop(
    usable_kwh: Estimate,
    soc_from_pct: float,
    soc_to_pct: float,
    worths: Worths | None = None,
) -> Estimate:
    """Energy a pack gave while its charge fell [kWh]; negative where the charge rose.

    The gauge's error of the drop and the width of the capacity are carried through:
    relative variances add (GUM, JCGM 100:2008, 5.1.2).

    Args:
        usable_kwh: Capacity of the pack on that day [kWh].
        soc_from_pct: Charge before [%].
        soc_to_pct: Charge after [%].
        worths: What a percent is worth in each tenth, where that is stated.
    """
    drop = points_between(worths, soc_from_pct, soc_to_pct)
    mid = usable_kwh.mid * drop / 100
    sd_gauge = usable_kwh.mid * GAUGE_SD_PCT / 100
    half = sqrt(((usable_kwh.high - usable_kwh.low) / 2 * drop / 100) ** 2 + (Z90 * sd_gauge) ** 2)
    what = "SOC drop" if worths is None else "SOC drop by the stated energy of each tenth"
    return Estimate(mid - half, mid, mid + half, usable_kwh.n, f"{what} × usable capacity ({usable_kwh.how})")


class PackNow(NamedTuple):
    """One pack at one moment: its charge, what it holds, and its share of the load (0..1; the shares add to 1)."""

    soc_pct: float
    usable_kwh: Estimate
    unusable_soc_pct: float = 0.0
    share: float = 1.0
    worths: Worths | None = None


def minutes_left(packs: Sequence[PackNow], power_kw: float) -> Estimate | None:
    """Minutes until the first pack is down to its unusable charge, at a steady power [min].

    min over packs of points(SOC, unusable) × usable / (share × power), points being SOC − unusable unless a pack states
    what each tenth of its charge is worth (``energy/worth.py``). ``None`` without packs or power.
    """
    if not packs or power_kw <= 0:
        return None
    per_pack = []
    for pack in packs:
        fraction = max(points_between(pack.worths, pack.soc_pct, pack.unusable_soc_pct), 0.0) / 100
        per_hour = max(pack.share, 1e-6) * power_kw
        per_pack.append([60 * fraction * kwh / per_hour for kwh in pack.usable_kwh[:3]])
    low, mid, high = (min(column) for column in zip(*per_pack, strict=True))
    weakest_n = min(pack.usable_kwh.n for pack in packs)
    return Estimate(low, mid, high, weakest_n, f"the pack that empties first at {power_kw:g} kW")
