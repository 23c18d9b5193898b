"""What a flown flight teaches: rates, capacities, people, scatter, the gauges, and whether use has changed."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from logbook.energy import parameters as names
from logbook.energy.knowledge import Knowledge
from logbook.energy.packs import FADE
from logbook.energy.prediction import Forecasted, PackForecast
from logbook.energy.record import members_of
from logbook.energy.scatter import weight_of
from logbook.energy.state import Array
from logbook.energy.usable import FLOWN_FOR_MIN

LEDGER_DOUBT_PCT = 2.5
APART_SD = 4.0
"""Beyond this many standard deviations between two packs, one of the readings is left out."""
LEAST_GAUGE_VARIANCE = 1 / 6
"""Rounding two readings to 1 % alone gives this [points²]."""
RUN_LIMIT = 3.2 * (0.1 / 1.9) ** 0.5
"""A mean of the last ten or so standardised residuals beyond this happens once in some hundred such means by chance."""


class _Seen(NamedTuple):
    """The readings of a flight that are learned from."""

    packs: list[PackForecast]
    residuals: Array
    """Drop found less drop forecast [points], shape (packs,)."""
    rows: Array
    spread: Array
    total: Array
    """Covariance of the residuals, shape (packs, packs)."""

    def only(self, stay: list[int]) -> "_Seen":
        """Some of the readings."""
        square = np.ix_(stay, stay)
        packs = [self.packs[i] for i in stay]
        return _Seen(packs, self.residuals[stay], self.rows[stay], self.spread[square], self.total[square])


def learn_flight(known: Knowledge, done: Forecasted, following: Mapping[str, float]) -> None:
    """Learn from a flight that is over.

    Args:
        known: What is known of the aeroplane; changed in place.
        done: The flight and its forecast.
        following: First charge known of each pack after the flight [%], by serial number.
    """
    known.flights += 1
    known.reader.learn(done.flight, done.legs)
    idle = _impossible(done)
    kept: list[int] = []
    residuals: list[float] = []
    for index, pack in enumerate(done.packs):
        if pack.actual is None:
            continue
        expected = pack.departure_pct - pack.drop
        error = expected - pack.actual
        known.scatter.record(done.legs.amounts.kind, error / pack.sd)
        after = following.get(pack.reading.serial_no)
        # A landing charge unlike the start of the next charge, and less like the forecast, was written down wrong.
        doubted = after is not None and abs(after - pack.actual) > LEDGER_DOUBT_PCT
        if doubted and after is not None and abs(expected - after) < abs(error):
            error = expected - after
        if pack.reading.counts and not idle:
            kept.append(index)
            residuals.append(error)
    _age(known, done)
    if kept:
        _update(known, done, kept, np.array(residuals))
    _remember(known, done, following, told=bool(kept))


def _impossible(done: Forecasted) -> bool:
    """Whether no gauge fell although the aeroplane flew: such readings say nothing of what flying costs."""
    used = [
        float(pack.reading.soc_departure_pct or 0.0) - pack.actual
        for pack in done.packs
        if pack.actual is not None
    ]
    return bool(used) and max(used) <= 0 and done.legs.amounts.air_min >= FLOWN_FOR_MIN


def _age(known: Knowledge, done: Forecasted) -> None:
    """Each equivalent cycle takes a little of the capacity: L += fade × cycles."""
    p = known.state.p
    drops = {one: pack.drop for pack in done.packs for one in members_of(pack.reading)}
    for serial, drop in drops.items():
        first = known.packs.at[serial]
        cycles = min(drop, 100.0) / 100
        known.state.x[first] += cycles * known.state.x[first + FADE]
        p[first, :] += cycles * p[first + FADE, :]
        p[:, first] += cycles * p[:, first + FADE]


def _update(known: Knowledge, done: Forecasted, kept: list[int], residuals: Array) -> None:
    state = known.state
    rows, spread = done.rows, done.spread
    if len(kept) < len(done.packs):
        rows, spread = rows[kept], spread[np.ix_(kept, kept)]
    if rows.shape[1] < state.size:
        rows = np.hstack([rows, np.zeros((len(kept), state.size - rows.shape[1]))])
    total = rows @ state.p @ rows.T + spread
    seen = _without_outlier(known, _Seen([done.packs[i] for i in kept], residuals, rows, spread, total))
    even = np.full(len(seen.packs), 1.0 / len(seen.packs))
    common, variance = float(even @ seen.residuals), float(even @ seen.total @ even)
    z2 = common * common / variance
    weight = weight_of(z2)
    members = [one for pack in seen.packs for one in members_of(pack.reading)]
    firsts = [known.packs.at[one] for one in members]
    before = [float(state.p[first, first]) for first in firsts]
    state.observe(seen.rows, seen.residuals, seen.spread / max(weight, 1e-4))
    for serial, first, was in zip(members, firsts, before, strict=True):
        known.note(serial, "flights", 1 / float(state.p[first, first]) - 1 / was)
    known.scatter.learn(done.legs.amounts.kind, z2, weight)
    if len(seen.packs) >= 2 and weight > 0.5:
        _learn_gauge(known, seen)
    _watch(known, common / variance**0.5)
    typical = sum(pack.drop for pack in seen.packs) / len(seen.packs)
    known.today.learn(done.flight.off_blocks, (common + done.legs.amounts.today * typical) / variance**0.5)


def _without_outlier(known: Knowledge, seen: _Seen) -> _Seen:
    """Leave out one pack whose residual disagrees with the others' far beyond the gauges' error."""
    if len(seen.packs) < 2:
        return seen
    residuals, total = seen.residuals, seen.total
    sd = float(np.sqrt(max(total[0, 0] + total[1, 1] - 2 * total[0, 1], 1e-9)))
    if float(residuals.max() - residuals.min()) < APART_SD * sd:
        return seen
    middle = float(np.median(residuals)) if len(seen.packs) > 2 else 0.0
    worst = int(np.argmax(np.abs(residuals - middle)))
    serial = seen.packs[worst].reading.serial_no
    again = known.flights - known.left_out.get(serial, -99) <= 2
    known.left_out[serial] = known.flights
    if again:  # twice in a row is no slip of the pen: this pack is not what it was taken for
        for one in members_of(seen.packs[worst].reading):
            first = known.packs.at[one]
            known.state.p[first, first] += 0.05**2
        return seen._replace(total=seen.rows @ known.state.p @ seen.rows.T + seen.spread)
    return seen.only([i for i in range(len(seen.packs)) if i != worst])


def _learn_gauge(known: Knowledge, seen: _Seen) -> None:
    """The difference between two packs' residuals is the gauges' own error; the flight's scatter cancels."""
    apart = float(seen.residuals[0] - seen.residuals[1])
    z2 = apart * apart / float(seen.total[0, 0] + seen.total[1, 1] - 2 * seen.total[0, 1])
    if z2 < 12:
        weight = min(0.998 * known.gauge_weight + 1, 400.0)
        known.gauge = max(known.gauge * (1 + (z2 - 1) / weight), LEAST_GAUGE_VARIANCE)
        known.gauge_weight = weight


def _watch(known: Knowledge, z: float) -> None:
    """A run of residuals of one sign says that use has changed: let the rates move."""
    known.run_of_sign = 0.9 * known.run_of_sign + 0.1 * min(max(z, -3.0), 3.0)
    if abs(known.run_of_sign) > RUN_LIMIT:
        known.state.loosen((names.CLIMB, names.LEVEL, names.CIRCUIT, names.GROUND, names.DEPARTURE), 5.0)
        known.run_of_sign = 0.0
        known.changed_at = known.flights


def _remember(known: Knowledge, done: Forecasted, following: Mapping[str, float], *, told: bool) -> None:
    """Last charges, capacity history, how often each term was flown, and the largest of everything."""
    at = done.flight.on_blocks or done.flight.off_blocks
    for pack in done.packs:
        serial = pack.reading.serial_no
        landing = following.get(serial, pack.actual)
        if landing is not None:
            known.last_soc[serial] = (float(landing), known.flights)
    for serial in dict.fromkeys(one for pack in done.packs for one in members_of(pack.reading)):
        first = known.packs.at[serial]
        point = (at, float(known.state.x[first]), float(known.state.p[first, first]))
        known.history.setdefault(serial, []).append(point)
    a = done.legs.amounts
    known.timed_circuits += a.circuits > 0
    known.largest.stretch(a, max((pack.drop for pack in done.packs), default=0.0))
    if not told:
        return  # what it cost is not known: it is no observation of energy
    known.measured += 1
    if a.handler:
        known.flown_by[a.handler] = known.flown_by.get(a.handler, 0) + 1
    amounts = (a.kft, a.level_min, a.circuits, a.starts, a.departs)
    for name, amount in zip(names.RATE_NAMES, amounts, strict=True):
        known.flown_with[name] += amount > 0
