"""The profile of a plan as a plot: charge over time with its band, what must remain, and the points."""

from __future__ import annotations

from math import nan
from typing import Any, Final

from logbook.planning.words import pack_name
from logbook.reports.plot import Axis, Band, Limit, Mark, Plot, Series

Row = dict[str, Any]
_POINTS: Final = (("no_return", "no return"), ("equal_time", "equal time"))


def plan_profile(answer: Row) -> Plot:
    """Charge of the pack that decides, from departure to landing.

    Args:
        answer: as `Planned.to_json` gives it.
    """
    pack = _deciding(answer)
    legs = answer.get("legs") or []
    if pack is None or not legs:
        return Plot(
            "Charge along the plan", Axis("time", "min"), Axis("charge", "%"), empty="No forecast to draw."
        )
    timed = all(leg["total_min"] is not None for leg in legs)
    x = [0.0] + [float(leg["total_min"]) if timed else float(number) for number, leg in enumerate(legs, 1)]
    ends = [next(p["soc_pct"] for p in leg["packs"] if p["serial_no"] == pack["serial_no"]) for leg in legs]
    start = float(pack["soc_departure_pct"])
    back = [
        next((p["turn_back_pct"] for p in leg["packs"] if p["serial_no"] == pack["serial_no"]), None)
        for leg in legs
    ]
    series = [Series("charge, middle", x, [start, *(end["mid"] for end in ends)])]
    # More than full cannot be had: beyond the scale it would only flatten the plot.
    turn_back = [nan, *(nan if value is None or value > 100 else value for value in back)]
    if any(value == value for value in turn_back):  # noqa: PLR0124 - a value that is a number equals itself
        series.append(Series("turn-back charge", x, turn_back, "points", "triangle", "warning"))
    return Plot(
        f"Charge of {pack_name(pack['serial_no'])}",
        Axis("time" if timed else "leg", "min" if timed else "", decimals=0),
        Axis("charge", "%", low=0, high=100, decimals=0),
        series,
        [
            Band(
                "low to high",
                x,
                [start, *(end["low"] for end in ends)],
                [start, *(end["high"] for end in ends)],
            )
        ],
        _limits(pack),
        _marks(answer, x[-1]) if timed else (),
    )


def _deciding(answer: Row) -> Row | None:
    known = [pack for pack in answer["packs"] if pack["margin_pct"] is not None]
    return min(known, key=lambda pack: pack["margin_pct"], default=None)


def _limits(pack: Row) -> list[Limit]:
    """The stricter of the reserve and the final reserve, and the other where there is one."""
    found = []
    if pack["reserve_soc_pct"] is not None:
        found.append(Limit("reserve", float(pack["reserve_soc_pct"]), "error"))
    final = pack["final_reserve_soc_pct"]
    if final is not None:
        found.append(Limit("final reserve", float(final["high"]), "warning"))
    return found


def _marks(answer: Row, last_min: float) -> list[Mark]:
    points = answer.get("points") or {}
    return [
        Mark(name, float(point["minutes"]))
        for key, name in _POINTS
        if (point := points.get(key))
        and point["minutes"] is not None
        and not point["beyond"]
        and point["minutes"] <= last_min
    ]
