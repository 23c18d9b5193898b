"""From amounts to SOC drops of the packs, and a flight's forecast from earlier records only."""

from collections.abc import Sequence
from math import exp, log
from typing import NamedTuple

import numpy as np

from logbook.energy import parameters as names
from logbook.energy.amounts import Amounts
from logbook.energy.evidence import Reading
from logbook.energy.knowledge import Knowledge
from logbook.energy.model import Energy, drop_of, energy
from logbook.energy.record import WHOLE, FlightFacts, ReadingFacts, members_of
from logbook.energy.state import Array

TYPICAL_DROP_PCT = 45.0
"""Scatter is proportional to the drop at this drop; larger ones scatter relatively less, smaller ones more."""
MOST_DROP_PCT = 500.0
LEDGER_DOUBT_PCT = 4.0


class PackForecast(NamedTuple):
    """Landing charge of one pack before it was known, and what became of it [%]."""

    reading: ReadingFacts
    departure_pct: float
    drop: float
    sd: float
    quantile: float
    actual: float | None


class Forecasted(NamedTuple):
    """A flight as forecast from earlier records only."""

    flight: FlightFacts
    legs: Reading
    packs: tuple[PackForecast, ...]
    energy: Energy
    rows: Array
    """Derivatives of the drops, shape (packs, unknowns)."""
    spread: Array
    """Covariance of the drops beyond that of the unknowns, shape (packs, packs)."""


class Loaded(NamedTuple):
    """One gauge under load: serial number, position, departure charge [%], temperature [°C], packs it shows if not one."""

    serial_no: str
    position: str | None
    departure_pct: float
    temp_c: float | None
    packs: tuple[str, ...] = ()


class Drops(NamedTuple):
    """SOC drops expected of the packs of one flight."""

    energy: Energy
    points: Array
    """Shape (packs,)."""
    rows: Array
    """Derivatives by the unknowns, shape (packs, unknowns)."""
    spread: Array
    """Covariance beyond that of the unknowns, shape (packs, packs)."""

    def sd(self, covariance: Array) -> Array:
        """Standard deviation of each drop [points], given the covariance of the unknowns."""
        known = ((self.rows @ covariance) * self.rows).sum(1)
        total: Array = np.sqrt(np.maximum(known, 0.0) + np.diag(self.spread))
        return total


def predict(known: Knowledge, flight: FlightFacts) -> Forecasted:
    """Forecast a flight, given what was flown but never its landing charge."""
    legs = known.reader.read(flight, float(known.state.x[names.PHI_OTHER]))
    typical_sd = known.scatter.variance(legs.amounts.kind) ** 0.5
    today = known.today.expected(flight.off_blocks) * typical_sd
    if today:
        legs = legs._replace(amounts=legs.amounts._replace(today=today))
    whole = [reading for reading in flight.readings if reading.soc_departure_pct is not None]
    starts = [_departure(known, reading, whole) for reading in whole]
    loaded = [
        Loaded(reading.serial_no, reading.position, start, reading.temp_departure_c, reading.packs)
        for reading, start in zip(whole, starts, strict=True)
    ]
    expected = drops(known, legs.amounts, loaded)
    quantile = known.scatter.quantile(legs.amounts.kind)
    sds = expected.sd(known.state.p)
    packs = tuple(
        PackForecast(reading, start, float(points), float(sd), quantile, reading.soc_landing_pct)
        for reading, start, points, sd in zip(whole, starts, expected.points, sds, strict=True)
    )
    return Forecasted(flight, legs, packs, expected.energy, expected.rows, expected.spread)


def drops(known: Knowledge, amounts: Amounts, packs: Sequence[Loaded], cost: Energy | None = None) -> Drops:
    """SOC drops expected of the packs.

    Args:
        known: What is known of the aeroplane.
        amounts: What is flown.
        packs: The packs that carry it.
        cost: Its energy, where that was put together leg by leg.
    """
    where, effects = known.person(amounts.handler)
    firsts = [[known.pack_at(one) for one in members_of(pack)] for pack in packs]
    state = known.state
    core = state.x[: names.CORE].tolist()
    if cost is None:
        cost = energy(core, amounts, known.dropped, effects)
    shares = _shares(known, packs, firsts)
    points, moved = np.empty(len(packs)), np.empty(len(packs))
    rows = np.zeros((len(packs), state.size))
    for index, (pack, members) in enumerate(zip(packs, firsts, strict=True)):
        leans_at = known.positions.get(pack.position) if pack.position is not None else None
        lean = float(state.x[leans_at]) if leans_at is not None else 0.0
        above = known.slow_soh.get(pack.serial_no, (0.0, 0.0))[1]
        held = [
            known.scale(one).usable_kwh(float(state.x[first]) + core[names.OPINION] * above)
            for one, first in zip(members_of(pack), members, strict=True)
        ]
        together = sum(held)
        even = 100 * cost.kwh * (1 + lean) * shares.parts[index] / together
        cold = 0.0 if pack.temp_c is None else min(max(20.0 - pack.temp_c, 0.0) / 10, 5.0)
        drop = drop_of(even, core, pack.departure_pct, cold, known.scale(members_of(pack)[0]).worths)
        points[index] = seen = min(drop.points, MOST_DROP_PCT)
        moved[index] = seen * drop.stretch
        row = rows[index]
        row[: names.CORE] = cost.slopes
        row[names.CURVE], row[names.COLD] = drop.curve_slope, drop.cold_slope
        for first, kwh in zip(members, held, strict=True):
            row[first] = -kwh / together
        row[names.OPINION] = -above
        shares.enter(row, index, firsts)
        if leans_at is not None:
            row[leans_at] = 1 / (1 + lean)
        if where is not None:
            row[where : where + 3] = 1.0, cost.circuit_part, cost.level_part
        row *= moved[index]
    return Drops(cost, points, rows, _spread(known, amounts, cost, moved))


class _Shares(NamedTuple):
    """Share of the load of each pack, and how it depends on the unknowns."""

    parts: list[float]
    power: float
    slopes: list[float]
    """d ln share / d SHARE; empty where the load is shared evenly."""

    def enter(self, row: Array, index: int, firsts: Sequence[Sequence[int]]) -> None:
        """Add this pack's share to its row of logarithmic derivatives."""
        if not self.slopes:
            return
        row[names.SHARE] = self.slopes[index]
        for other, ((first, *_), part) in enumerate(zip(firsts, self.parts, strict=True)):
            row[first] += self.power * ((1.0 if other == index else 0.0) - part)


def _shares(known: Knowledge, packs: Sequence[Loaded], firsts: Sequence[Sequence[int]]) -> _Shares:
    """share_i = c_i^s / Σ c_j^s: even for s = 0, by capacity for s = 1.

    Where not all packs were read, even; one figure for the whole aeroplane carries all of it.
    """
    if any(pack.serial_no == WHOLE for pack in packs):
        even = 1.0 / max(len(known.positions), len(packs) - 1, 1)
        return _Shares([1.0 if pack.serial_no == WHOLE else even for pack in packs], 0.0, [])
    count = max(len(known.positions), len(packs), 1)
    if len(packs) < count or count == 1:
        return _Shares([1.0 / count] * len(packs), 0.0, [])
    x = known.state.x
    power = min(max(float(x[names.SHARE]), -0.5), 1.5)
    sizes = [
        log(known.scale(pack.serial_no).nominal_kwh) + float(x[first])
        for pack, (first, *_) in zip(packs, firsts, strict=True)
    ]
    weights = [exp(power * (size - sizes[0])) for size in sizes]
    total = sum(weights)
    parts = [weight / total for weight in weights]
    middle = sum(part * size for part, size in zip(parts, sizes, strict=True))
    return _Shares(parts, power, [size - middle for size in sizes])


def _spread(known: Knowledge, amounts: Amounts, cost: Energy, points: Array) -> Array:
    """Scatter of how flights are flown, common to the packs, and each gauge's own error."""
    common = known.scatter.variance(amounts.kind) + (cost.extra_sd_kwh / cost.kwh) ** 2
    scaled = points * np.sqrt((points + TYPICAL_DROP_PCT) / np.maximum(2 * points, 1.0))
    spread: Array = common * scaled[:, None] * scaled[None, :]
    spread.reshape(-1)[:: len(points) + 1] += known.gauge
    return spread


def _departure(known: Knowledge, reading: ReadingFacts, together: Sequence[ReadingFacts]) -> float:
    """Charge before start; the ledger's, where only this pack's entry disagrees with it."""
    stated = float(reading.soc_departure_pct or 0.0)
    last = known.last_soc.get(reading.serial_no)
    if last is None or abs(last[0] - stated) <= LEDGER_DOUBT_PCT or len(together) < 2:
        return stated
    for other in together:
        if other is reading:
            continue
        seen = known.last_soc.get(other.serial_no)
        if seen is None or seen[1] != last[1] or abs(seen[0] - float(other.soc_departure_pct or 0.0)) > 2:
            return stated
    return last[0]
