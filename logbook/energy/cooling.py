"""When a pack is cool (or warm) enough: to charge, or to fly.

Newton's law of cooling with one time constant τ for each pack:

    T(t) = T_air + (T₀ − T_air) · exp(−t / τ)                                                    (1)

τ is learned from pairs of readings between which the pack only stood: after stop, and at the next charge or departure.
Its posterior is kept on a grid, so few or contradictory pairs give a wide interval and never a failure.
See docs/packs/temperature.md.
"""

from collections.abc import Iterable, Sequence
from math import exp, log
from typing import NamedTuple

from logbook.energy.estimate import Z90, Estimate

USUAL_TAU_MIN = 180.0
USUAL_TAU_SPREAD = 0.7
"""Prior: ln τ ~ N(ln 180 min, 0.7²) (common practice, no source): 90 % between about 1 and 9½ hours."""
READING_SD_C = 0.7
"""Of one whole-degree reading of one sensor in a pack that is not of one temperature [°C]."""
AIR_SD_C = 2.0
"""How far the air about a standing pack may be from the temperature on record [°C]."""
AIR_UNKNOWN_C, AIR_UNKNOWN_SD_C = 15.0, 8.0
FARTHEST_MIN = 24 * 60
"""Nothing is said beyond a day: the air does not stay the same that long [min]."""
LEAST_EXCESS_C = 3.0
_GRID = tuple(USUAL_TAU_MIN * exp(-2.4 + 0.08 * step) for step in range(61))


class Standing(NamedTuple):
    """Two readings of one pack between which it only stood."""

    minutes: float
    first_c: float
    later_c: float
    air_c: float | None = None
    """Air temperature where it stood [°C]."""


class Cooling(NamedTuple):
    """What is known of the time constant of a pack."""

    weights: tuple[float, ...]
    """Chance of each time constant of the grid; they add up to 1."""
    n: int
    """Pairs that said anything about it."""

    @property
    def tau_min(self) -> Estimate:
        """The time constant [min]."""
        low, mid, high = _quantiles(_GRID, self.weights)
        how = f"{self.n} pairs of readings" if self.n else "no pairs of readings yet: a usual pack, widely"
        return Estimate(low, mid, high, self.n, how)


class Enough(NamedTuple):
    """When a pack comes to a temperature."""

    minutes: Estimate | None
    """From the first reading [min]; ``None``: not within a day, as far as can be said."""
    words: str


class Answer(NamedTuple):
    """Whether something may be done with a pack now."""

    verdict: str
    """yes, no or cannot tell."""
    temperature_c: Estimate
    """The temperature it was judged by."""
    when: Enough | None
    """When it may, if not now."""
    words: str


def cooling_of(pairs: Iterable[Standing]) -> Cooling:
    """Learns the time constant of a pack. One pass over the pairs; none at all gives the prior.

    Pairs whose first reading is within 3 °C of the air say nothing about it and are left out.
    """
    logs = [-0.5 * (log(tau / USUAL_TAU_MIN) / USUAL_TAU_SPREAD) ** 2 for tau in _GRID]
    used = 0
    for pair in pairs:
        if pair.air_c is None or pair.minutes <= 0 or abs(pair.first_c - pair.air_c) < LEAST_EXCESS_C:
            continue
        used += 1
        for index, tau in enumerate(_GRID):
            left = exp(-pair.minutes / tau)
            expected = pair.air_c + (pair.first_c - pair.air_c) * left
            variance = READING_SD_C**2 * (1 + left**2) + (AIR_SD_C * (1 - left)) ** 2
            # Student t with four degrees of freedom: one wrong entry must not decide.
            square = (pair.later_c - expected) ** 2 / variance
            logs[index] -= 2.5 * log(1 + square / 4) + 0.5 * log(variance)
    best = max(logs)
    raw = [exp(value - best) for value in logs]
    total = sum(raw)
    return Cooling(tuple(weight / total for weight in raw), used)


def temperature_after(cooling: Cooling, first_c: float, minutes: float, air_c: float | None) -> Estimate:
    """Temperature of a standing pack some time after a reading [°C].

    Args:
        cooling: Of the pack.
        first_c: The reading [°C].
        minutes: Since then [min].
        air_c: Air temperature [°C]; unknown widens the answer very much.
    """
    values, weights = [], []
    for air, chance in _airs(air_c):
        for tau, weight in zip(_GRID, cooling.weights, strict=True):
            values.append(air + (first_c - air) * exp(-max(minutes, 0.0) / tau))
            weights.append(weight * chance)
    low, mid, high = _quantiles(values, weights)
    slack = Z90 * READING_SD_C
    return Estimate(low - slack, mid, high + slack, cooling.n, "cooling towards the air")


def enough_at(cooling: Cooling, first_c: float, limit_c: float, air_c: float | None) -> Enough:
    """How long until a standing pack comes to a limit, from above or from below.

    Args:
        cooling: Of the pack.
        first_c: The reading it starts from [°C].
        limit_c: Temperature to come to [°C].
        air_c: Air temperature [°C].
    """
    if first_c == limit_c:
        return Enough(Estimate(0.0, 0.0, 0.0, cooling.n, ""), "It is at the limit.")
    waits, weights = [], []
    for air, chance in _airs(air_c):
        for tau, weight in zip(_GRID, cooling.weights, strict=True):
            waits.append(_wait(first_c, limit_c, air, tau))
            weights.append(weight * chance)
    low, mid, high = _quantiles(waits, weights)
    if mid >= FARTHEST_MIN:
        where = "the air is too warm for that" if first_c > limit_c else "the air is too cold for that"
        if air_c is None:
            where = "the air temperature is not known"
        elif (first_c - limit_c) * (limit_c - air_c) > 0:
            where = "it takes more than a day"
        return Enough(None, f"Not within a day, as far as can be said: {where}.")
    how = cooling.tau_min.how + ("; may take more than a day" if high >= FARTHEST_MIN else "")
    return Enough(
        Estimate(low, mid, high, cooling.n, how), f"in about {_span(mid)} ({_span(low)} to {_span(high)})"
    )


def may_now(
    cooling: Cooling,
    read_c: float,
    minutes_ago: float,
    limits_c: tuple[float | None, float | None],
    air_c: float | None = None,
) -> Answer:
    """Whether a pack may be charged now, by its temperature.

    Args:
        cooling: Of the pack.
        read_c: Last reading [°C].
        minutes_ago: Its age [min]; an older reading is carried forward by equation (1).
        limits_c: Least and most temperature allowed [°C]; ``None``: no such limit.
        air_c: Air temperature [°C].
    """
    now = Estimate(read_c, read_c, read_c, 1, "as read")
    if minutes_ago > 0:
        now = temperature_after(cooling, read_c, minutes_ago, air_c)
    least, most = limits_c
    shown = f"{now.mid:.0f} °C" if minutes_ago <= 0 else f"{now.low:.0f} to {now.high:.0f} °C by now"
    if least is None and most is None:
        return Answer("cannot tell", now, None, f"{shown}; no temperature limit is set to charge.")
    for limit, sign, name in ((most, 1, "most"), (least, -1, "least")):
        if limit is None or max(sign * (end - limit) for end in (now.low, now.high)) <= 0:
            continue
        outside = min(sign * (end - limit) for end in (now.low, now.high)) > 0
        when = _wait_from(cooling, (read_c, now.mid), minutes_ago, (limit, sign), air_c) if outside else None
        verdict = "no" if outside else "cannot tell"
        words = f"{shown}; {name} to charge is {limit:g} °C"
        words += f": {when.words}" if when else ": read it again."
        return Answer(verdict, now, when, words)
    return Answer("yes", now, None, f"{shown}; within the limits to charge.")


def _wait_from(
    cooling: Cooling,
    read_and_now_c: tuple[float, float],
    minutes_ago: float,
    limit_and_side: tuple[float, int],
    air_c: float | None,
) -> Enough:
    """How long from now until a pack that is outside a limit comes back to it.

    A pack that was within the limit when it was read has left it since: the way back begins where it is now, for the
    moment at which it passed the limit lies in the past and leads the wrong way.
    """
    (read_c, now_c), (limit, side) = read_and_now_c, limit_and_side
    if side * (read_c - limit) > 0:
        return _from_now(enough_at(cooling, read_c, limit, air_c), minutes_ago)
    return enough_at(cooling, now_c, limit, air_c)


def _from_now(wait: Enough, minutes_ago: float) -> Enough:
    """A wait counted from the reading, as one counted from now."""
    if wait.minutes is None or minutes_ago <= 0:
        return wait
    low, mid, high = (max(end - minutes_ago, 0.0) for end in wait.minutes[:3])
    left = Estimate(low, mid, high, wait.minutes.n, wait.minutes.how)
    return Enough(left, f"in about {_span(mid)} ({_span(low)} to {_span(high)})")


def _airs(air_c: float | None) -> list[tuple[float, float]]:
    """Air temperatures to reckon with and the chance of each: seven points of a normal distribution."""
    centre, sd = (air_c, AIR_SD_C) if air_c is not None else (AIR_UNKNOWN_C, AIR_UNKNOWN_SD_C)
    chances = [exp(-0.5 * z * z) for z in (-1.8, -1.2, -0.6, 0.0, 0.6, 1.2, 1.8)]
    total = sum(chances)
    return [(centre + sd * (-1.8 + 0.6 * i), chance / total) for i, chance in enumerate(chances)]


def _wait(first_c: float, limit_c: float, air_c: float, tau: float) -> float:
    """Minutes until the limit, by equation (1); FARTHEST_MIN if it is not reached within a day."""
    ahead, there = first_c - air_c, limit_c - air_c
    if ahead * there <= 0 or abs(there) >= abs(ahead):
        return float(FARTHEST_MIN)
    return min(tau * log(ahead / there), float(FARTHEST_MIN))


def _quantiles(values: Sequence[float], weights: Sequence[float]) -> tuple[float, float, float]:
    """The 5, 50 and 95 % points of weighted values; weights add up to 1."""
    ends = []
    ordered = sorted(zip(values, weights, strict=True))
    for share in (0.05, 0.5, 0.95):
        sum_so_far = 0.0
        found = ordered[-1][0]
        for value, weight in ordered:
            sum_so_far += weight
            if sum_so_far >= share:
                found = value
                break
        ends.append(found)
    return ends[0], ends[1], ends[2]


def _span(minutes: float) -> str:
    whole = round(minutes)
    if whole >= FARTHEST_MIN:
        return "more than a day"
    return f"{whole} min" if whole < 90 else f"{whole // 60}:{whole % 60:02d} h"
