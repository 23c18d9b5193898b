"""How a student managed energy over time, as two plots: both errors of the landing charge, and the margin over the reserve."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from logbook.reports.plot import Axis, Limit, Plot, Series, Shape, Tone, day_number

Flight = Mapping[str, Any]


def error_plot(flights: Sequence[Flight]) -> Plot:
    """What came less what was expected: the student's own estimate, and the program's forecast of the same flight.

    Args:
        flights: as `services.student.student_of` gives them, in order of time.
    """
    series = [
        series
        for series in (
            _series("own estimate", flights, "estimate_error_pct", "ring"),
            _series("program's forecast", flights, "program_error_pct", "cross", "grey"),
        )
        if series is not None
    ]
    return Plot(
        "Landing charge, came less expected",
        Axis("day", dated=True),
        Axis("off", "points", decimals=0),
        series,
        limits=[Limit("as expected", 0.0, "grey")] if series else (),
        empty="No flight with an estimate and a landing charge yet.",
    )


def margin_plot(flights: Sequence[Flight]) -> Plot:
    """How far the weaker pack landed above the reserve in force.

    A landing below it has a sign of its own: in a low window one or two points below share a row with the line.
    """
    margin = [
        series
        for series in (
            _series("margin", flights, "margin_pct", "dot", wanted=lambda margin: margin >= 0),
            _series("below", flights, "margin_pct", "cross", "error", wanted=lambda margin: margin < 0),
        )
        if series is not None
    ]
    return Plot(
        "Margin over the reserve",
        Axis("day", dated=True),
        Axis("margin", "points", decimals=0),
        margin,
        limits=[Limit("reserve", 0.0, "error")] if margin else (),
        empty="No flight with a landing charge and a reserve yet.",
    )


def _series(
    label: str,
    flights: Sequence[Flight],
    name: str,
    shape: Shape,
    tone: Tone = "accent",
    *,
    wanted: Callable[[float], bool] = lambda _: True,
) -> Series | None:
    """The known values of one figure, of those that are wanted."""
    known = [
        (x, flight[name])
        for x, flight in zip(_moments(flights), flights, strict=True)
        if flight[name] is not None and wanted(flight[name])
    ]
    if not known:
        return None
    return Series(label, [x for x, _ in known], [float(y) for _, y in known], "points", shape, tone)


def _moments(flights: Sequence[Flight]) -> list[float]:
    """Where each flight stands [days]; several of one day stand beside each other in their order."""
    per_day = Counter(flight["date"] for flight in flights)
    seen: Counter[str] = Counter()
    found = []
    for flight in flights:
        day = flight["date"]
        found.append(day_number(day) + seen[day] / per_day[day])
        seen[day] += 1
    return found
