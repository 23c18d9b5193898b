"""Points of no return and of equal time on the planned track, on the pessimistic forecast with the reserve kept.

The closed forms of `points` hold for one straight leg without climb. Here the same conditions are searched along the
track as planned, however it bends: from every place the way home is straight, in the wind and at the power of the way
home. In a steady wind the cost of coming home is a convex function of the place, so along one straight leg the need
(so far + home) is convex too and is greatest at an end of the leg: checking the ends misses nothing.
"""

from functools import partial
from typing import NamedTuple

from logbook.planning.answer import Points, RoutePoint
from logbook.planning.case import Case
from logbook.planning.legs import Leg
from logbook.planning.need import Need, need_of_leg
from logbook.planning.root import crossing
from logbook.planning.route import HOME, NEAR_NM, Position

MORE_WIND = 1.4
"""Sensitivity: the wind is taken this much stronger, too."""
FARTHEST_NM = 500.0
"""A point of no return farther out than this beyond the plan is not told."""


class Stretch(NamedTuple):
    """One leg on the way out, with what came before it."""

    leg: Leg
    start: Position
    before: Need
    before_nm: float
    before_min: float | None

    def at(self, fraction: float) -> tuple[Position, Need, float, float | None]:
        """Place, need, distance and minutes after a part of the leg; more than 1 is beyond its end."""
        leg = self.leg
        place = self.start.moved(leg.track_deg or 0.0, fraction * leg.distance_nm)
        need = self.before.plus(need_of_leg(leg, fraction))
        minutes = None
        if self.before_min is not None and leg.minutes is not None:
            minutes = self.before_min + fraction * leg.minutes
        return place, need, self.before_nm + fraction * leg.distance_nm, minutes


def stretches_out(case: Case) -> tuple[Stretch, ...]:
    """The tracked legs up to the place farthest from home, where nothing before them has an unknown track."""
    stretches: list[Stretch] = []
    farthest, keep = NEAR_NM, 0
    before, before_nm = Need(), 0.0
    before_min: float | None = 0.0
    start = HOME
    for leg in case.legs:
        if leg.at is None:
            break
        if leg.distance_nm:
            stretches.append(Stretch(leg, start, before, before_nm, before_min))
            away = leg.at.to(HOME)[0]
            if away > farthest:
                farthest, keep = away, len(stretches)
        before = before.plus(need_of_leg(leg))
        before_nm += leg.distance_nm
        if leg.kind != "ground":
            before_min = None if before_min is None or leg.minutes is None else before_min + leg.minutes
        start = leg.at
    return tuple(stretches[:keep])


def no_return(case: Case, out: tuple[Stretch, ...]) -> RoutePoint | None:
    """The farthest place on the way out from which one can still come home with the reserve kept."""

    def margin(stretch: Stretch, fraction: float) -> float:
        place, need, _, _ = stretch.at(fraction)
        home = case.way_home(place, stretch.leg)
        return -1e6 if home is None else case.margin(need.plus(home))

    for stretch in out:
        if margin(stretch, 1.0) < 0:
            return _cut(stretch, crossing(partial(margin, stretch), 0.0, 1.0, 0.002))
    last = out[-1]
    most = 1 + FARTHEST_NM / last.leg.distance_nm
    found = crossing(partial(margin, last), 1.0, most, 0.05 / last.leg.distance_nm)
    return None if found is None else _cut(last, found, beyond=True)


def _cut(stretch: Stretch, fraction: float | None, *, beyond: bool = False) -> RoutePoint:
    if fraction is None:
        return RoutePoint(
            stretch.before_nm,
            stretch.before_min,
            "no way out: home is out of reach from the start of this leg",
        )
    _, _, distance_nm, minutes = stretch.at(fraction)
    over = distance_nm - stretch.before_nm - stretch.leg.distance_nm
    words = f"{distance_nm:.0f} NM out"
    if beyond:
        words += f", {over:.0f} NM beyond the farthest point of the plan"
    elif minutes is not None:
        words += f", {minutes:.0f} min after take-off by the plan"
    return RoutePoint(distance_nm, minutes, words, beyond)


def equal_time(case: Case, out: tuple[Stretch, ...]) -> RoutePoint | None:
    """Where flying home costs as much energy as flying on to the far end of the way out."""
    cost = [case.power_weight(stretch.leg.power_kw) * (stretch.leg.minutes or 0.0) for stretch in out]
    for number, stretch in enumerate(out):
        after = sum(cost[number + 1 :])

        def margin(
            part: float, stretch: Stretch = stretch, here: float = cost[number], after: float = after
        ) -> float:
            home = case.way_home(stretch.at(part)[0], stretch.leg)
            back = (
                1e6
                if home is None
                else sum(case.power_weight(level.power_kw) * level.minutes for level in home.level)
            )
            return (1 - part) * here + after - back

        if margin(1.0) < 0:
            found = crossing(margin, 0.0, 1.0, 0.001)
            return None if found is None else _cut(stretch, found)
    return None


def route_points(case: Case, more_wind: Case | None, why_more_wind_fails: str = "") -> Points:
    """Both points, at the wind of the plan and at 1.4 times that wind.

    Args:
        case: the plan.
        more_wind: the same plan with its legs resolved in 1.4 times the wind, or ``None`` where it cannot be flown.
        why_more_wind_fails: the reason then.
    """
    wind = case.setting.wind
    out = stretches_out(case)
    if not out:
        return Points(
            wind.words(),
            why_not="No leg leads away with a track and a distance, so there is no point to give.",
        )
    if case.way_home(out[-1].leg.at or HOME, out[-1].leg) is None:
        return Points(wind.words(), why_not="The way home cannot be flown at that airspeed in that wind.")
    stronger = stretches_out(more_wind) if more_wind is not None else ()
    words = wind.times(MORE_WIND).words() if wind.speed_kt else "still air"
    return Points(
        wind=wind.words(),
        no_return=no_return(case, out),
        equal_time=equal_time(case, out),
        no_return_more_wind=no_return(more_wind, stronger) if more_wind is not None and stronger else None,
        equal_time_more_wind=equal_time(more_wind, stronger) if more_wind is not None and stronger else None,
        more_wind=why_more_wind_fails or words,
    )
