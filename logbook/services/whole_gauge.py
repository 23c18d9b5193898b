"""One gauge for the whole aeroplane: what is known of all its packs together."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.rules.case import Limits


def limits_together(packs: Sequence[Limits], positions: int, silent: Limits) -> Limits:
    """What holds for the one figure of an aeroplane whose packs are fitted.

    Nominal capacities add; any other figure holds where all packs say the same.

    Args:
        packs: the limits of each fitted pack.
        positions: how many packs the aeroplane carries; with fewer or more fitted, as far as the book knows, capacity
            is unknown.
        silent: the aeroplane's own limits, where its packs differ or are not known.
    """
    if not packs or len(packs) != positions:
        return silent
    same = {
        name: values[0]
        for name, *values in zip(Limits._fields, *packs, strict=True)
        if all(value == values[0] for value in values)
    }
    capacities = [pack.nominal_kwh for pack in packs if pack.nominal_kwh is not None]
    nominal = sum(capacities) if len(capacities) == positions else None
    return silent._replace(**same)._replace(nominal_kwh=nominal)
