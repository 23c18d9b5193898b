"""The packs as they will be at departure: as last recorded, unless the plan says otherwise."""

from collections.abc import Sequence
from typing import NamedTuple

from logbook.domain.plan import PlanInput
from logbook.errors import DataRefused

COLD_C = 5.0
"""Below this a pack may not give climb power near empty (measured on cells: at 0 °C, 14 to 18 % stay unused at a
steady power; a caution, not a formula)."""


class FittedPack(NamedTuple):
    """One pack in its position, or all behind one gauge (without a serial number), as last recorded. ``None`` is unknown."""

    serial_no: str
    position: str = ""
    soc_pct: float | None = None
    soh_pct: float | None = None
    temp_c: float | None = None
    unusable_soc_pct: float | None = None
    takeoff_min_temp_c: float | None = None
    takeoff_max_temp_c: float | None = None
    soc_as_of: str = ""
    """When the charge was last recorded, in words for people; empty when it was typed for this plan."""
    packs: tuple[str, ...] = ()
    """Packs that one figure for the whole aeroplane stands for, where the book knows them."""


def at_departure(plan: PlanInput, fitted: Sequence[FittedPack]) -> tuple[FittedPack, ...]:
    """The fitted packs with what the plan says of them put in place.

    Raises:
        DataRefused: no packs are fitted, or the plan names one that is not.
    """
    if not fitted:
        raise DataRefused(
            f"No packs are fitted to {plan.aircraft}.",
            next_step="Record which pack is fitted in which position first, or give one charge for the whole aeroplane.",
            field="packs",
        )
    typed = {pack.serial_no: pack for pack in plan.packs}
    strangers = sorted(set(typed) - {pack.serial_no for pack in fitted})
    if strangers:
        raise DataRefused(
            f"Pack {strangers[0]} is not fitted to {plan.aircraft}.",
            next_step=f"Fitted are: {', '.join(pack.serial_no for pack in fitted if pack.serial_no) or 'none'}.",
            field="packs",
        )
    merged = []
    for pack in fitted:
        said = typed.get(pack.serial_no)
        if said is None:
            merged.append(pack)
            continue
        merged.append(
            pack._replace(
                soc_pct=pack.soc_pct if said.soc_departure_pct is None else said.soc_departure_pct,
                soh_pct=pack.soh_pct if said.soh_pct is None else said.soh_pct,
                temp_c=pack.temp_c if said.temp_departure_c is None else said.temp_departure_c,
                soc_as_of=pack.soc_as_of if said.soc_departure_pct is None else "",
            )
        )
    return tuple(merged)
