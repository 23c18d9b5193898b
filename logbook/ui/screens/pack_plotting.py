"""The plots and the estimates of one pack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.reports.pack_plots import capacity_plot, cells_plot, charge_plot, heat_plot
from logbook.ui.widgets.estimate_bar import EstimateLine

if TYPE_CHECKING:
    from logbook.reports.plot import Plot
    from logbook.services.pack_view import PackView


def plots_of(view: PackView | None) -> list[Plot]:
    """Capacity, line of charge, temperature, cells; without a view an empty one."""
    if view is None:
        return [capacity_plot((), None)]
    heat, seen = view.detail["temperature"], view.detail["observations"]
    allowed = seen["limits"]
    return [
        capacity_plot(view.detail["capacity"]["history"], view.kwh_at_limit, view.breaks),
        charge_plot(view.ledger),
        heat_plot(view.warmest, heat["caution_c"], heat["limit_c"], view.measures),
        cells_plot(seen["rows"], allowed["cells_apart_caution_mv"], allowed["cells_apart_limit_mv"]),
    ]


def estimates(view: PackView) -> list[EstimateLine]:
    """Usable capacity as flown, from all evidence; and by the SOH scale alone; on one scale, to be compared."""
    capacity, row = view.detail["capacity"], view.row
    flown, n = capacity["usable_kwh"], capacity["n"]
    found = []
    if flown is None:
        why = "; ".join(capacity["why"]) or "too few records"
        found.append(EstimateLine("Usable as flown", "kWh", because=why))
    else:
        found.append(EstimateLine("Usable as flown", "kWh", flown["low"], flown["mid"], flown["high"], n))
    low, mid, high = (row[f"usable_kwh_{end}"] for end in ("low", "mid", "high"))
    if mid is None:
        found.append(EstimateLine("by SOH scale", "kWh", because=row["usable_basis"]))
    else:
        found.append(EstimateLine("by SOH scale", "kWh", low, mid, high, int(row["soh_pct"] is not None)))
    ends = tuple(end for line in found for end in (line.low, line.high) if end is not None)
    return [line._replace(span=ends) for line in found]
