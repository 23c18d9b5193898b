"""One plan made ready for questions: its legs, limits and forecaster in one place."""

from collections.abc import Sequence
from typing import NamedTuple

from logbook.planning.judge import Judged, Limits, judge
from logbook.planning.legs import Leg, Setting, cruise_airspeed
from logbook.planning.need import Level, Need, need_of
from logbook.planning.outlook import Forecaster
from logbook.planning.route import HOME, NEAR_NM, Position
from logbook.planning.wind import Wind, course

_MOST_ASKED = 8
_SETTLED_PCT = 0.02
"""Where a stated curve is asked again and again: how often at most, and when it has settled [points]."""


class Case(NamedTuple):
    """A plan, resolved. Every question of planning is a need held against the limits here."""

    forecaster: Forecaster
    limits: Limits
    setting: Setting
    legs: tuple[Leg, ...]
    diversion: Need | None = None

    @property
    def flown(self) -> Need:
        """What the legs ask for, up to the planned landing."""
        return need_of(self.legs)

    @property
    def whole(self) -> Need:
        """What decides: the legs, and the diversion where one is planned."""
        return self.flown if self.diversion is None else self.flown.plus(self.diversion)

    def judged(
        self, need: Need, *, departures_pct: Sequence[float] | None = None, mass_kg: float | None = None
    ) -> Judged:
        """A need held against the limits."""
        outlook = self.forecaster.ahead(need, departures_pct=departures_pct, mass_kg=mass_kg)
        return judge(outlook, self.limits)

    def margin(self, need: Need) -> float:
        """Margin of the pack that decides [points]."""
        return self.judged(need).margin_pct

    def least_start(self, need: Need) -> tuple[float, ...]:
        """Least charge of each pack from which a need keeps what must remain, pessimistic [%].

        More than 100 means: not even full. Asked first from full, then once more from the answer, because kWh per %
        changes with the charge; until it stays the same where a pack states how.
        """
        start = [100.0] * len(self.limits.unusable_pct)
        slope, before = [1.0] * len(start), list(start)
        margins: list[float] = []
        for asked in range(_MOST_ASKED):
            judged = self.judged(need, departures_pct=start)
            found = [pack.margin_pct for pack in judged.packs]
            curved = any(pack.worths is not None for pack in judged.outlook.packs)
            if curved and asked:
                ends = zip(slope, start, before, found, margins, strict=True)
                slope = [_slope(*end) for end in ends]
            before, margins = start, found
            start = [soc - margin / rise for soc, margin, rise in zip(start, found, slope, strict=True)]
            if asked and (not curved or max(map(abs, found)) < _SETTLED_PCT):
                break
        return tuple(start)

    def way_home(self, at: Position, leg: Leg) -> Need | None:
        """What flying straight home from a position asks for; ``None`` where airspeed or wind allow none.

        Args:
            at: where from.
            leg: the leg under way: its wind and power hold for the way home unless the plan states others.
        """
        distance_nm, track_deg = at.to(HOME)
        if distance_nm < NEAR_NM:
            return Need()
        plan, aircraft = self.setting.plan, self.setting.aircraft
        power_kw = plan.return_power_kw or leg.power_kw
        tas_kt = plan.return_tas_kt
        if tas_kt is None and plan.return_power_kw is None:
            tas_kt = leg.tas_kt
        tas_kt = tas_kt or cruise_airspeed(aircraft, power_kw)[0]
        if not tas_kt:
            return None
        home = course(track_deg, tas_kt, self.wind_of(leg))
        if home is None:
            return None
        return Need(level=(Level(60 * distance_nm / home.groundspeed_kt, power_kw),))

    def wind_of(self, leg: Leg) -> Wind:
        """The wind on a leg; climbs and descents have that of the plan."""
        return leg.wind if leg.kind == "level" else self.setting.wind.times(self.setting.wind_factor)

    def power_weight(self, power_kw: float | None) -> float:
        """Cost of a level minute at a power against one at the usual power, for the point of equal time."""
        cruise_kw = self.setting.aircraft.cruise_power_kw
        return 1.0 if power_kw is None or not cruise_kw else power_kw / cruise_kw


def _slope(known: float, now: float, before: float, margin: float, margin_before: float) -> float:
    """How fast a margin rises with the charge at the start, from the last two askings; kept where no curve goes."""
    if abs(now - before) < _SETTLED_PCT:
        return known
    return min(max((margin - margin_before) / (now - before), 1 / 3), 3.0)
