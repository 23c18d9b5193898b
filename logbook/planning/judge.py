"""Whether a landing keeps the reserve: in percent, and in minutes at a power; the stricter speaks, the weaker pack decides."""

from typing import NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.worth import charge_after, points_between
from logbook.planning.outlook import Outlook
from logbook.planning.reserve import FinalReserve
from logbook.planning.words import WHOLE_AEROPLANE


class Limits(NamedTuple):
    """What must remain after landing."""

    reserve_pct: float | None
    """The operator's least landing charge of each pack [%]."""
    final: FinalReserve | None
    """The final reserve of the case that applies."""
    unusable_pct: tuple[float, ...]
    """Of each pack [%]."""

    @property
    def any(self) -> bool:
        """Whether there is anything to judge by."""
        return self.reserve_pct is not None or self.final is not None


class PackJudged(NamedTuple):
    """One pack against its limits."""

    final_pct: Estimate | None
    """What the final reserve asks of this pack [%], high at its least capacity."""
    needed_pct: float
    by_minutes: bool
    """True when the final reserve in minutes is the stricter."""
    margin_pct: float
    """Pessimistic landing charge less what is needed [points]."""


class Judged(NamedTuple):
    """An outlook against the limits."""

    outlook: Outlook
    packs: tuple[PackJudged, ...]
    weaker: int
    """Which pack decides."""

    @property
    def margin_pct(self) -> float:
        """Of the pack that decides [points]."""
        return self.packs[self.weaker].margin_pct

    @property
    def fits(self) -> bool:
        """Whether every pack keeps what is needed, at the pessimistic end."""
        return self.margin_pct >= 0


def judge(outlook: Outlook, limits: Limits) -> Judged:
    """Holds an outlook against the limits.

    needed = max(reserve, unusable + 100 × share × minutes × power / 60 / usable at its low end);
    margin = landing charge at its low end − needed. Where a pack states what each tenth of its charge is worth, what lies
    above the unusable charge is counted so.
    """
    judged = []
    for pack, unusable in zip(outlook.packs, limits.unusable_pct, strict=True):
        final_pct = None
        if limits.final is not None:
            points = 100 * pack.share * limits.final.energy_kwh
            low, mid, high = (
                charge_after(pack.worths, unusable, -points / held) for held in reversed(pack.usable_kwh[:3])
            )
            final_pct = Estimate(low, mid, high, pack.usable_kwh.n, limits.final.words())
        policy = max(limits.reserve_pct or 0.0, unusable)
        needed = policy if final_pct is None else max(policy, final_pct.high)
        by_minutes = final_pct is not None and final_pct.high > policy
        judged.append(PackJudged(final_pct, needed, by_minutes, pack.low_pct - needed))
    weaker = min(range(len(judged)), key=lambda at: judged[at].margin_pct)
    return Judged(outlook, tuple(judged), weaker)


def minutes_after(outlook: Outlook, power_kw: float, unusable_pct: tuple[float, ...]) -> Estimate:
    """Minutes left after landing until the first pack is down to its unusable charge, at a power [min].

    min over packs of points(SOC, unusable) × usable / (share × power), points as in `energy.worth`; the low end takes the low charge and the low capacity
    together, as `judge` does: a pack that holds less than thought lands emptier, too.
    """
    per_pack = []
    for pack, unusable in zip(outlook.packs, unusable_pct, strict=True):
        draw_kw = max(pack.share, 1e-6) * power_kw
        charges, held = pack.soc_pct[:3], pack.usable_kwh[:3]
        per_pack.append(
            [
                0.6 * max(points_between(pack.worths, soc, unusable), 0.0) * kwh / draw_kw
                for soc, kwh in zip(charges, held, strict=True)
            ]
        )
    low, mid, high = (min(ends) for ends in zip(*per_pack, strict=True))
    n = min(pack.usable_kwh.n for pack in outlook.packs)
    first = "the pack that empties first" if outlook.packs[0].serial_no else f"the {WHOLE_AEROPLANE}"
    return Estimate(low, mid, high, n, f"{first}, at {power_kw:g} kW")
