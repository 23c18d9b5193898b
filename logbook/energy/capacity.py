"""Usable capacity of a pack, as flown: now, at any date, and what told us.

The filter's L = ln(usable / nominal) with its variance, never reported tighter than ``FLOOR_SD``: flights alone identify
only energy divided by capacity, so the common scale rests on nominal capacity, handbook and SOH scale.
``docs/energy/capacity.md``.
"""

from bisect import bisect_right
from collections.abc import Sequence
from math import exp
from typing import NamedTuple

import numpy as np

from logbook.energy.estimate import Z90, Estimate
from logbook.energy.filter import Filter
from logbook.energy.packs import CAPACITY, DRIFT_SD, FADE, LEAN
from logbook.energy.record import WHOLE

FLOOR_SD = 0.025


class Source(NamedTuple):
    """One sort of evidence about a pack's capacity."""

    name: str
    """nominal, soh, charges, flights or checks."""
    n: int
    share: float
    """Of the information in the estimate (0..1; the shares add to 1)."""


class CapacityPoint(NamedTuple):
    """Capacity at one moment of the record [kWh]: as it was known then (filtered) and as it looks today (smoothed)."""

    at: int
    filtered: Estimate
    smoothed: Estimate


class Capacity(NamedTuple):
    """What is known of one pack's capacity."""

    serial_no: str
    usable_kwh: Estimate
    sources: tuple[Source, ...]
    fade_per_cycle: Estimate
    """Change of ln(usable) for one equivalent cycle."""
    soh_lean: Estimate
    """How far the SOH scale points above the capacity as flown (relative)."""
    why: tuple[str, ...]


def capacity(
    filter_: Filter, serial_no: str, as_of: int | None = None, soh_pct: float | None = None
) -> Capacity:
    """Usable capacity of a pack.

    Args:
        filter_: What is known of the aeroplane.
        serial_no: Any pack; one never flown is answered from nominal capacity and SOH scale.
        as_of: Instant [POSIX minutes]; by default now.
        soh_pct: Indicated SOH, used where the pack was never flown.
    """
    filter_.settle()
    scale = filter_.scale(serial_no)
    found = filter_.packs.look(serial_no)
    n = sum(filter_.counts.get(serial_no, {}).values())
    if found is None:
        mean, sd = scale.start(has_soh=False)
        level, spread = mean[CAPACITY], sd[CAPACITY]
        if soh_pct is not None:
            level = scale.log_fraction(soh_pct)[0]
            spread = (0.05**2 + (0.0 if scale.zero_stated else 0.2 * (1 - soh_pct / 100)) ** 2) ** 0.5
        fade, lean = (
            Estimate(mean[FADE] - Z90 * sd[FADE], mean[FADE], mean[FADE] + Z90 * sd[FADE]),
            Estimate(0, 0, 0),
        )
    else:
        x, p = found
        level, spread = float(x[CAPACITY]), float(p[CAPACITY, CAPACITY]) ** 0.5
        fade = _around(float(x[FADE]), float(p[FADE, FADE]) ** 0.5, n)
        lean = _around(float(x[LEAN]), float(p[LEAN, LEAN]) ** 0.5, n)
    if as_of is not None:
        level, spread = _at(filter_.history.get(serial_no, []), as_of, level, spread)
    how = "as flown: kWh per % × 100, from " + (
        ", ".join(filter_.counts.get(serial_no, {})) or "nominal capacity"
    )
    usable = usable_estimate(scale.nominal_kwh, level, spread, n, how)
    return Capacity(serial_no, usable, _sources(filter_, serial_no), fade, lean, _why(filter_, serial_no))


def capacity_together(filter_: Filter, serials: Sequence[str]) -> Capacity:
    """Usable capacity of several packs behind one gauge: the sum, with how their errors go together.

    What flights say of such packs they say of the sum, so it is known better than any of them.
    """
    filter_.settle()
    asked = filter_.copied()
    firsts = [asked.pack_at(serial) + CAPACITY for serial in serials]
    x, p = asked.state.x, asked.state.p
    held = np.array(
        [asked.scale(s).usable_kwh(float(x[first])) for s, first in zip(serials, firsts, strict=True)]
    )
    total = float(held.sum())
    parts = held / total
    spread = float(parts @ p[np.ix_(firsts, firsts)] @ parts) ** 0.5
    each = [capacity(filter_, serial) for serial in serials]
    n = min(one.usable_kwh.n for one in each)
    usable = usable_estimate(total, 0.0, spread, n, "the sum of its packs; " + each[0].usable_kwh.how)
    why = dict.fromkeys(reason for one in each for reason in one.why)
    return each[0]._replace(serial_no=WHOLE, usable_kwh=usable, why=tuple(why))


def capacity_history(filter_: Filter, serial_no: str) -> list[CapacityPoint]:
    """Capacity after each flight, filtered and smoothed."""
    filter_.settle()
    points = filter_.history.get(serial_no, [])
    nominal = filter_.scale(serial_no).nominal_kwh
    smooth = _smoothed(points)
    return [
        CapacityPoint(
            at,
            usable_estimate(nominal, level, var**0.5, n, "known then"),
            usable_estimate(nominal, s, v**0.5, n, "known now"),
        )
        for n, ((at, level, var), (s, v)) in enumerate(zip(points, smooth, strict=True), start=1)
    ]


def usable_estimate(nominal_kwh: float, level: float, sd: float, n: int, how: str) -> Estimate:
    """Low, mid, high [kWh] of a capacity known as L ± sd, no tighter than the record can know it."""
    half = Z90 * max(sd, FLOOR_SD)
    level, half = min(max(level, -3.0), 1.5), min(half, 2.0)
    return Estimate(
        nominal_kwh * exp(level - half), nominal_kwh * exp(level), nominal_kwh * exp(level + half), n, how
    )


def _smoothed(points: Sequence[tuple[int, float, float]]) -> list[tuple[float, float]]:
    """Backward pass over one pack's capacity alone (Rauch, Tung and Striebel), as a random walk."""
    out: list[tuple[float, float]] = []
    q = DRIFT_SD[CAPACITY] ** 2
    for _, level, variance in reversed(points):
        if not out:
            out.append((level, variance))
            continue
        ahead, ahead_var = out[-1]
        gain = variance / (variance + q)
        out.append(
            (
                level + gain * (ahead - level),
                min(max(variance + gain**2 * (ahead_var - variance - q), 0.0), variance),
            )
        )
    return out[::-1]


def _at(
    points: Sequence[tuple[int, float, float]], as_of: int, level: float, sd: float
) -> tuple[float, float]:
    if not points:
        return level, sd
    index = bisect_right([at for at, *_ in points], as_of)
    if index == 0:
        return points[0][1], (points[0][2] + 0.03**2) ** 0.5
    return points[index - 1][1], points[index - 1][2] ** 0.5


def _sources(filter_: Filter, serial_no: str) -> tuple[Source, ...]:
    gains = filter_.gains.get(serial_no, {})
    counts = filter_.counts.get(serial_no, {})
    scale = filter_.scale(serial_no)
    prior = 1 / scale.start(has_soh="soh" in gains)[1][CAPACITY] ** 2
    total = prior + sum(gains.values())
    told = [Source("nominal", 0, prior / total)]
    told += [Source(name, counts[name], gains[name] / total) for name in sorted(gains)]
    return tuple(told)


def _why(filter_: Filter, serial_no: str) -> tuple[str, ...]:
    scale = filter_.scale(serial_no)
    reasons = []
    if not scale.nominal_stated:
        reasons.append("nominal capacity is not stated: kWh are only a scale, forecasts rest on the flights")
    if not scale.zero_stated:
        reasons.append("what SOH 0 means is not stated: taken as 0.6 ± 0.2 of nominal")
    if serial_no not in filter_.counts:
        reasons.append("no record of this pack yet")
    return tuple(reasons)


def _around(mid: float, sd: float, n: int) -> Estimate:
    return Estimate(mid - Z90 * sd, mid, mid + Z90 * sd, n)
