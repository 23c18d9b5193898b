"""Plots of one pack: capacity over time, its line of charge, how warm it got, how far its cells are apart."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from logbook.measures import USUAL, Measures
from logbook.reports.plot import Axis, Band, Limit, Mark, Plot, Series, Shape, day_number

Row = Mapping[str, Any]
DAYS: Final = 56
"""The line of charge is drawn for so many days before its last reading."""
_DATE: Final = Axis("date", dated=True)
_SHAPES: Final[tuple[Shape, ...]] = ("cross", "square", "diamond", "triangle", "ring")


def capacity_plot(
    history: Sequence[Row], kwh_at_limit: float | None, breaks: Iterable[tuple[str, str]] = ()
) -> Plot:
    """Usable capacity as flown over time with its interval, and where the SOH limit lies on the SOH scale.

    Args:
        history: points with `at` and `usable_kwh` low, mid, high [kWh], in order of time.
        kwh_at_limit: usable capacity at the SOH limit [kWh]; None where there is none.
        breaks: moments at which the estimates start anew, and why.
    """
    x = [day_number(point["at"]) for point in history]
    low, mid, high = ([point["usable_kwh"][end] for point in history] for end in ("low", "mid", "high"))
    limits = [] if kwh_at_limit is None or not x else [Limit("at the SOH limit", kwh_at_limit, "error")]
    marks = [Mark(f"starts anew: {why}", day_number(at)) for at, why in breaks] if x else []
    return Plot(
        "Usable capacity as flown",
        _DATE,
        Axis("usable", "kWh", decimals=1),
        [Series("usable", x, mid)] if x else (),
        [Band("nine times in ten", x, low, high)] if x else (),
        limits,
        marks,
        empty="No flight or charge yet from which capacity can be learned.",
    )


def charge_plot(ledger: Sequence[Row]) -> Plot:
    """The line of charge of the last weeks, interrupted where it breaks; each break by its likely cause.

    Args:
        ledger: rows of `ledger_of`, in order of time.
    """
    known = [row for row in ledger if row["soc_pct"] is not None and row["source"] != "not-read"]
    since = day_number(known[-1]["at"]) - DAYS if known else 0.0
    x: list[float] = []
    y: list[float] = []
    broken: dict[str, tuple[list[float], list[float]]] = {}
    for row in known:
        at = day_number(row["at"])
        if at < since:
            continue
        if row["gap_cause"]:
            x, y = [*x, at], [*y, math.nan]
            xs, ys = broken.setdefault(f"gap: {row['gap_cause']}", ([], []))
            xs.append(at)
            ys.append(row["soc_pct"])
        x.append(at)
        y.append(row["soc_pct"])
    gaps = [
        Series(cause, *points, "points", _SHAPES[number % len(_SHAPES)], "warning")
        for number, (cause, points) in enumerate(sorted(broken.items()))
    ]
    return Plot(
        f"Charge, last {DAYS // 7} weeks of the record",
        _DATE,
        Axis("charge", "%", low=0.0, high=100.0),
        [Series("charge", x, y), *gaps] if x else (),
        empty="The charge of this pack was never read.",
    )


def heat_plot(
    warmest: Sequence[tuple[str, str, float]],
    caution_c: float | None,
    limit_c: float | None,
    measures: Measures = USUAL,
) -> Plot:
    """The highest temperature of each flight, with caution and limit.

    Args:
        warmest: flight id, off blocks, highest temperature [°C], in order of time.
        caution_c: where caution begins [°C]; None where it is not stated.
        limit_c: the limit in flight [°C]; None where it is not stated.
        measures: the units figures are shown in.
    """
    over = [one for one in warmest if limit_c is not None and one[2] > limit_c]
    fine = [one for one in warmest if one not in over]
    series = [Series("highest", *_heat(fine, measures), "points")]
    if over:
        series.append(Series("over the limit", *_heat(over, measures), "points", "cross", "error"))
    limits = [Limit("caution", measures.turned(caution_c, "°C"))] if caution_c is not None else []
    limits += [Limit("limit", measures.turned(limit_c, "°C"), "error")] if limit_c is not None else []
    return Plot(
        "Highest temperature of each flight",
        _DATE,
        Axis("highest", measures.unit("°C")),
        series if warmest else (),
        limits=limits if warmest else (),
        empty="No flight with a temperature of this pack yet.",
    )


def _heat(rows: Sequence[tuple[str, str, float]], measures: Measures) -> tuple[list[float], list[float]]:
    return [day_number(at) for _, at, _ in rows], [measures.turned(value, "°C") for _, _, value in rows]


def cells_plot(
    observations: Sequence[Row], caution_mv: float | None = None, limit_mv: float | None = None
) -> Plot:
    """How far the highest and the lowest cell were apart, each time somebody looked.

    Args:
        observations: rows with `at` and `cells_apart_mv` [mV], in order of time.
        caution_mv: where caution begins [mV]; None where it is not stated.
        limit_mv: the most that is allowed [mV]; None where it is not stated.
    """
    known = [row for row in observations if row["cells_apart_mv"] is not None]
    x = [day_number(row["at"]) for row in known]
    y = [row["cells_apart_mv"] for row in known]
    limits = [] if caution_mv is None else [Limit("caution", caution_mv)]
    limits += [] if limit_mv is None else [Limit("limit", limit_mv, "error")]
    return Plot(
        "Cells apart: highest less lowest",
        _DATE,
        Axis("apart", "mV", low=0.0),
        [Series("line", x, y, tone="grey"), Series("read", x, y, "points")] if known else (),
        limits=limits if known else (),
        empty="No observation with cell voltages yet: a adds one.",
    )
