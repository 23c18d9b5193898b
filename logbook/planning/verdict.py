"""Fits, does not fit, or cannot tell, with the one figure that decides, in a sentence."""

from collections.abc import Sequence

from logbook.planning.answer import DOES_NOT_FIT, FITS
from logbook.planning.fitted import FittedPack
from logbook.planning.judge import Judged, Limits, minutes_after
from logbook.planning.words import (
    minutes_down,
    minutes_up,
    pack_name,
    percent_down,
    percent_middle,
    percent_up,
)


def verdict_of(judged: Judged) -> str:
    """The verdict alone."""
    return FITS if judged.fits else DOES_NOT_FIT


def because(judged: Judged, limits: Limits, where: str = "lands") -> str:
    """The figure that decides: weaker pack, pessimistic end, against the stricter reserve.

    Args:
        judged: the landing that decides.
        limits: what it was held against.
        where: `lands`, or `reaches the alternate`.
    """
    pack, judgement = judged.outlook.packs[judged.weaker], judged.packs[judged.weaker]
    name = pack_name(pack.serial_no) if len(judged.packs) > 1 or not pack.serial_no else "the pack"
    has = percent_down(max(pack.soc_pct.low, 0.0))
    if judgement.by_minutes and limits.final is not None:
        left = minutes_after(judged.outlook, limits.final.power_kw, limits.unusable_pct)
        needed = f"{minutes_up(limits.final.minutes)} at {limits.final.power_kw:g} kW"
        figure = (
            f"{name} {where} with {has} or more, {minutes_down(left.low)} at {limits.final.power_kw:g} kW"
        )
        against = f"the final reserve of {needed} ({percent_up(judgement.needed_pct)})"
    else:
        figure = f"{name} {where} with {has} or more"
        against = f"the reserve of {percent_up(judgement.needed_pct)}"
    if judged.fits:
        return f"Fits: {figure}, and keeps {against}."
    even = ""
    if pack.soc_pct.mid < judgement.needed_pct:
        even = f" Even the middle forecast is {percent_middle(max(pack.soc_pct.mid, 0.0), judgement.needed_pct)}."
    return f"Does not fit: at the pessimistic end {figure.replace(' or more', '')}, below {against}.{even}"


def cannot_tell(packs: Sequence[FittedPack], limits: Limits | None, missing: Sequence[str]) -> str | None:
    """Why nothing can be told, with what to do, or ``None`` where it can.

    Args:
        packs: the packs at departure.
        limits: what to judge by; ``None`` asks about the forecast alone.
        missing: what the forecast lacks: capacity, rates.
    """
    without = [pack.serial_no for pack in packs if pack.soc_pct is None]
    reasons = []
    if without:
        reasons.append(f"the departure charge of {_packs(without)} is unknown; read the gauge and enter it")
    reasons += missing
    if limits is not None and not limits.any:
        reasons.append(
            "no reserve is set for this aeroplane; enter a reserve in percent or a final reserve in minutes"
        )
    if not reasons:
        return None
    return f"Cannot tell: {'; '.join(reasons)}."


def _packs(serials: Sequence[str]) -> str:
    return pack_name(serials[0]) if len(serials) == 1 else f"packs {', '.join(serials)}"
