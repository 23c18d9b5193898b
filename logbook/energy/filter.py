"""One step per event: forecast a flight from what is known, then learn from it.

An extended Kalman filter over all unknowns of one aeroplane (``parameters``, ``packs``, people, chargers), with robust
weights, scatter learned by kind, and the clock as second witness. Learning from a flight waits until the next flight or
question: by then the start of the next charge has told whether the landing charge was written down right.
"""

from collections.abc import Sequence
from math import exp, log
from typing import NamedTuple

import numpy as np

from logbook.energy import parameters as names
from logbook.energy.amounts import Amounts
from logbook.energy.charging import learn_session
from logbook.energy.evidence import Reader, Reading
from logbook.energy.model import Energy, drop_of, energy
from logbook.energy.packs import CAPACITY, DRIFT_SD, FADE, LEAN, PLACES, SOH_SD, STATED_ZERO_SD, Scale
from logbook.energy.record import (
    AircraftFacts,
    BreakFacts,
    ChargeFacts,
    CheckFacts,
    FlightFacts,
    PackFacts,
    ReadingFacts,
)
from logbook.energy.scatter import Scatter, weight_of
from logbook.energy.state import Array, Group, State

GAUGE_SD_PCT = 0.85
GAUGE_WEIGHT = 60.0
PERSON_SD = (0.045, 0.04, 0.04)
PERSON_DRIFT = (0.0005, 0.0004, 0.0004)
POSITION_SD = 0.02
TYPICAL_DROP_PCT = 45.0
CORE_DRIFT = (
    0.0008,
    0.0008,
    0.0008,
    0.001,
    0.001,
    0.0015,
    0.0015,
    0.0005,
    0.0005,
    0.0,
    0.0,
    0.0002,
    0.0,
    0.0,
    0.0005,
    0.001,
    0.0,
    0.0,
)
Session = tuple[ChargeFacts, ...]


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


class Filter:
    """Everything learned about one aeroplane so far."""

    def __init__(self, aircraft: AircraftFacts, packs: Sequence[PackFacts] = ()) -> None:
        self.aircraft = aircraft
        self.scales = {facts.serial_no: Scale(facts) for facts in packs}
        self.positions = {name: names.CORE + index for index, name in enumerate(aircraft.positions)}
        count = max(len(aircraft.positions), 1)
        nominal = [scale.nominal_kwh for scale in self.scales.values()]
        together = count * (sum(nominal) / len(nominal) if nominal else 12.0)
        begin = names.start(aircraft, together)
        self.dropped, self.reasons = begin.dropped, begin.reasons
        zero_sd = STATED_ZERO_SD if all(s.zero_stated for s in self.scales.values()) else 0.2
        mean, sd = list(begin.mean), list(begin.sd)
        sd[names.ZERO] = zero_sd
        self.state = State(
            mean + [0.0] * len(self.positions),
            sd + [POSITION_SD] * len(self.positions),
            [*CORE_DRIFT, *[0.0005] * len(self.positions)],
        )
        if self.positions:
            cut = slice(names.CORE, names.CORE + len(self.positions))
            even = np.eye(count) - 1.0 / count  # shares add to one
            self.state.p[cut, cut] = POSITION_SD**2 * even
        self.packs = Group(self.state, PLACES, DRIFT_SD)
        self.people = Group(self.state, 16, PERSON_DRIFT)
        self.chargers = Group(self.state, 5, (0.001, 0.0, 0.0))
        self.reader = Reader(aircraft)
        self.scatter = Scatter()
        self.gauge = GAUGE_SD_PCT**2
        self.gauge_weight = GAUGE_WEIGHT
        self.flights = 0
        self.last_soh: dict[str, tuple[float, int]] = {}
        self.last_soc: dict[str, tuple[float, int]] = {}
        self.pending: Forecasted | None = None
        self.after: list[Session | CheckFacts | BreakFacts] = []
        self.run_of_sign = 0.0
        self.changed_at: int | None = None
        self.left_out: dict[str, int] = {}
        """For each pack: flight in which its reading was last left out."""
        self.gains: dict[str, dict[str, float]] = {}
        self.counts: dict[str, dict[str, int]] = {}
        self.history: dict[str, list[tuple[int, float, float]]] = {}
        """For each pack: instant, L and its variance after each flight."""
        self.flown_by: dict[str, int] = {}
        self.flown_with: dict[str, int] = dict.fromkeys(names.RATE_NAMES, 0)
        self.largest = {
            "drop": 0.0,
            "kft": 0.0,
            "level": 0.0,
            "circuits": 0.0,
            "coldest": 50.0,
            "hottest": -50.0,
            "ln_mass": 0.0,
        }

    # -- one event -----------------------------------------------------------------------------------------------

    def step(self, event: FlightFacts | Session | CheckFacts | BreakFacts) -> Forecasted | None:
        """Take the next event in time; a flight is answered with its forecast."""
        if not isinstance(event, FlightFacts):
            self.after.append(event)
            return None
        self.settle(event)
        self.state.wander()
        self._prepare(event)
        forecast = self._forecast(event)
        self.pending = forecast
        return forecast

    def settle(self, following: FlightFacts | None = None) -> None:
        """Learn from everything that has happened so far."""
        pending, self.pending = self.pending, None
        if pending is not None:
            self._learn(pending, self._next_charge(pending, following))
        for event in self.after:
            if isinstance(event, CheckFacts):
                self._check(event)
            elif isinstance(event, BreakFacts):
                self._break(event)
            else:
                learn_session(self, event)
        self.after.clear()

    # -- packs ---------------------------------------------------------------------------------------------------

    def scale(self, serial_no: str) -> Scale:
        """What is stated about a pack; a pack nobody described gets stand-ins."""
        found = self.scales.get(serial_no)
        if found is None:
            found = self.scales[serial_no] = Scale(PackFacts(serial_no))
        return found

    def pack_at(self, serial_no: str, *, has_soh: bool = True) -> int:
        """Index of a pack's unknowns."""
        return self.packs.place(serial_no, *self.scale(serial_no).start(has_soh=has_soh))

    def note(self, serial_no: str, source: str, gain: float) -> None:
        """Keep count of what each source told about a pack's capacity."""
        gains = self.gains.setdefault(serial_no, {})
        gains[source] = gains.get(source, 0.0) + max(gain, 0.0)
        counts = self.counts.setdefault(serial_no, {})
        counts[source] = counts.get(source, 0) + 1

    def _prepare(self, flight: FlightFacts) -> None:
        for reading in flight.readings:
            first = self.pack_at(reading.serial_no, has_soh=reading.soh_pct is not None)
            if reading.soh_pct is not None and reading.counts:
                self.learn_soh(reading.serial_no, first, reading.soh_pct)

    def learn_soh(self, serial_no: str, first: int, soh_pct: float) -> None:
        """SOH as noisy evidence: ln(zero + (full − zero) × SOH) = L + lean + noise."""
        last = self.last_soh.get(serial_no)
        if last is not None and last[0] == soh_pct and self.flights - last[1] < 8:
            return
        self.last_soh[serial_no] = (soh_pct, self.flights)
        state = self.state
        pointed, slope = self.scale(serial_no).log_fraction(soh_pct, float(state.x[names.ZERO]))
        at = (first + CAPACITY, first + LEAN, names.ZERO)
        residual = pointed - float(state.x[at[0]]) - float(state.x[at[1]])
        before = float(state.p[at[0], at[0]])
        variance = SOH_SD**2
        z2 = residual**2 / (state.variance_of(at, (1.0, 1.0, -slope)) + variance)
        state.observe_one(at, (1.0, 1.0, -slope), residual, variance / max(weight_of(z2), 1e-3))
        self.note(serial_no, "soh", 1 / float(state.p[at[0], at[0]]) - 1 / before)

    def _check(self, check: CheckFacts) -> None:
        if check.kwh <= 0:
            return
        first = self.pack_at(check.serial_no) + CAPACITY
        # A bench discharge gives 6 to 14 % less than the same pack gives on the upper half in flight.
        target = log(check.kwh / self.scale(check.serial_no).nominal_kwh) + 0.09
        before = float(self.state.p[first, first])
        residual = target - float(self.state.x[first])
        z2 = residual**2 / (before + 0.04**2)
        self.state.observe_one((first,), (1.0,), residual, 0.04**2 / max(weight_of(z2), 1e-3))
        self.note(check.serial_no, "checks", 1 / float(self.state.p[first, first]) - 1 / before)

    def _break(self, event: BreakFacts) -> None:
        first = self.pack_at(event.serial_no)
        for part, more in ((CAPACITY, 0.10), (LEAN, 0.05)):
            self.state.p[first + part, first + part] += more**2
        self.last_soh.pop(event.serial_no, None)

    # -- forecast ------------------------------------------------------------------------------------------------

    def person(self, handler: str | None) -> tuple[int | None, tuple[float, float, float]]:
        """Where a person's effects are kept, and what they are."""
        if not handler:
            return None, (0.0, 0.0, 0.0)
        first = self.people.place(handler, (0.0, 0.0, 0.0), PERSON_SD)
        x = self.state.x
        return first, (float(x[first]), float(x[first + 1]), float(x[first + 2]))

    def cost(self, amounts: Amounts) -> Energy:
        """Energy of a flight as the unknowns stand, without learning from it."""
        _, effects = self.person(amounts.handler)
        return energy(self.state.x[: names.CORE].tolist(), amounts, self.dropped, effects)

    def drops(
        self,
        amounts: Amounts,
        readings: Sequence[tuple[str, str | None, float, float | None]],
        cost: Energy | None = None,
    ) -> tuple[Energy, Array, Array, Array]:
        """SOC drops expected of the packs.

        Args:
            amounts: What is flown.
            readings: Serial number, position, departure charge [%], temperature [°C] of each pack.
            cost: Its energy, where that was put together leg by leg.

        Returns:
            Energy, drops (m,), their derivatives (m, n), and covariance beyond the unknowns' (m, m).
        """
        where, effects = self.person(amounts.handler)
        firsts = [self.pack_at(serial) for serial, *_ in readings]
        state = self.state
        core = state.x[: names.CORE].tolist()
        cost = energy(core, amounts, self.dropped, effects) if cost is None else cost
        shares, share_slopes = self._shares([serial for serial, *_ in readings], firsts)
        drops = np.empty(len(readings))
        rows = np.zeros((len(readings), state.size))
        for index, ((serial, position, departure, temp), first) in enumerate(
            zip(readings, firsts, strict=True)
        ):
            scale = self.scale(serial)
            share_at = self.positions.get(position) if position is not None else None
            lean = float(state.x[share_at]) if share_at is not None else 0.0
            points = 100 * cost.kwh * (1 + lean) * shares[index] / scale.usable_kwh(float(state.x[first]))
            cold = max(20.0 - temp, 0.0) / 10 if temp is not None else 0.0
            drop = drop_of(points, core, departure, min(cold, 5.0), scale.relative)
            seen = min(drop.points, 500.0)
            row = rows[index]
            row[: names.CORE] = cost.slopes
            row[names.CURVE], row[names.COLD] = drop.curve_slope, drop.cold_slope
            row[first] = -1.0
            self._share_slopes(row, index, firsts, shares, share_slopes)
            if share_at is not None:
                row[share_at] = 1 / (1 + lean)
            if where is not None:
                row[where], row[where + 1], row[where + 2] = 1.0, cost.circuit_part, cost.level_part
            row *= seen
            drops[index] = seen
        return cost, drops, rows, self._spread(amounts, cost, drops)

    def _shares(self, serials: Sequence[str], firsts: Sequence[int]) -> tuple[list[float], list[float]]:
        """Share of the load of each pack, and its slope by ``SHARE`` (logarithmic).

        share_i = c_i^s / Σ c_j^s: even for s = 0, by capacity for s = 1. Where not all packs were read, even.
        """
        count = max(len(self.positions), len(serials), 1)
        if len(serials) < count or count == 1:
            return [1.0 / count] * len(serials), []
        x = self.state.x
        power = min(max(float(x[names.SHARE]), -0.5), 1.5)
        sizes = [
            log(self.scale(serial).nominal_kwh) + float(x[first])
            for serial, first in zip(serials, firsts, strict=True)
        ]
        weights = [exp(power * (size - sizes[0])) for size in sizes]
        total = sum(weights)
        shares = [weight / total for weight in weights]
        middle = sum(share * size for share, size in zip(shares, sizes, strict=True))
        return shares, [size - middle for size in sizes]

    def _share_slopes(
        self, row: Array, index: int, firsts: Sequence[int], shares: Sequence[float], slopes: Sequence[float]
    ) -> None:
        if not slopes:
            return
        power = float(self.state.x[names.SHARE])
        row[names.SHARE] = slopes[index]
        for other, (first, share) in enumerate(zip(firsts, shares, strict=True)):
            row[first] += power * ((1.0 if other == index else 0.0) - share)

    def _spread(self, amounts: Amounts, cost: Energy, drops: Array) -> Array:
        common = self.scatter.variance(amounts.kind) + (cost.extra_sd_kwh / cost.kwh) ** 2
        scaled = drops * np.sqrt((drops + TYPICAL_DROP_PCT) / np.maximum(2 * drops, 1.0))
        spread: Array = common * scaled[:, None] * scaled[None, :]
        spread.reshape(-1)[:: len(drops) + 1] += self.gauge
        return spread

    def _forecast(self, flight: FlightFacts) -> Forecasted:
        legs = self.reader.read(flight)
        whole = [r for r in flight.readings if r.soc_departure_pct is not None]
        starts = [self._departure(r, whole) for r in whole]
        cost, drops, rows, spread = self.drops(
            legs.amounts,
            [(r.serial_no, r.position, s, r.temp_departure_c) for r, s in zip(whole, starts, strict=True)],
        )
        if whole:
            total = (
                np.einsum("ij,jk,ik->i", rows, self.state.p, rows)
                if len(whole) > 3
                else ((rows @ self.state.p) * rows).sum(1)
            )
            sds = np.sqrt(np.maximum(total, 0.0) + np.diag(spread))
        else:
            sds = drops
        q = self.scatter.quantile(legs.amounts.kind)
        packs = tuple(
            PackForecast(r, start, float(d), float(sd), q, r.soc_landing_pct)
            for r, start, d, sd in zip(whole, starts, drops, sds, strict=True)
        )
        return Forecasted(flight, legs, packs, cost, rows, spread)

    def _departure(self, reading: ReadingFacts, together: list[ReadingFacts]) -> float:
        """Charge before start; the ledger's, where only this pack's entry disagrees with it."""
        stated = float(reading.soc_departure_pct or 0.0)
        known = self.last_soc.get(reading.serial_no)
        if known is None or abs(known[0] - stated) <= 4 or len(together) < 2:
            return stated
        for other in together:
            if other is reading:
                continue
            last = self.last_soc.get(other.serial_no)
            if (
                last is None
                or abs(last[0] - float(other.soc_departure_pct or 0.0)) > 2
                or last[1] != known[1]
            ):
                return stated
        return known[0]

    # -- learning ------------------------------------------------------------------------------------------------

    def _next_charge(self, pending: Forecasted, following: FlightFacts | None) -> dict[str, float]:
        """First charge known of each pack after the flight: start of the next charging, else the next departure."""
        found: dict[str, float] = {}
        for event in self.after:
            if isinstance(event, tuple) and not isinstance(event, CheckFacts | BreakFacts):
                for row in event:
                    if row.soc_start_pct is not None:
                        found.setdefault(row.serial_no, float(row.soc_start_pct))
        charged = {
            row.serial_no
            for event in self.after
            if not isinstance(event, CheckFacts | BreakFacts)
            for row in event
        }
        if following is not None:
            for reading in following.readings:
                if reading.serial_no not in charged and reading.soc_departure_pct is not None:
                    found.setdefault(reading.serial_no, float(reading.soc_departure_pct))
        return found

    def _learn(self, done: Forecasted, following: dict[str, float]) -> None:
        self.flights += 1
        self.reader.learn(done.flight, done.legs)
        kept, residuals = [], []
        for index, pack in enumerate(done.packs):
            landing = pack.actual
            if landing is None:
                continue
            error = pack.departure_pct - pack.drop - landing
            self.scatter.record(done.legs.amounts.kind, error / pack.sd)
            after = following.get(pack.reading.serial_no)
            if (
                after is not None
                and 2.5 < abs(after - landing)
                and abs(pack.departure_pct - pack.drop - after) < abs(error)
            ):
                error = pack.departure_pct - pack.drop - after
            if pack.reading.counts:
                kept.append(index)
                residuals.append(error)
        for pack in done.packs:
            landing = following.get(pack.reading.serial_no, pack.actual)
            if landing is not None:
                self.last_soc[pack.reading.serial_no] = (float(landing), self.flights)
        self._age(done)
        if kept:
            self._update(done, kept, np.array(residuals))
        self._remember(done)
        at = done.flight.on_blocks or done.flight.off_blocks
        for pack in done.packs:
            serial = pack.reading.serial_no
            first = self.packs.at[serial]
            self.history.setdefault(serial, []).append(
                (at, float(self.state.x[first]), float(self.state.p[first, first]))
            )

    def _age(self, done: Forecasted) -> None:
        """Each equivalent cycle takes a little of the capacity: L += fade × cycles."""
        p = self.state.p
        for pack in done.packs:
            first = self.packs.at.get(pack.reading.serial_no)
            if first is None:
                continue
            cycles = min(pack.drop, 100.0) / 100
            self.state.x[first] += cycles * self.state.x[first + FADE]
            p[first, :] += cycles * p[first + FADE, :]
            p[:, first] += cycles * p[:, first + FADE]

    def _update(self, done: Forecasted, kept: list[int], residuals: Array) -> None:
        """``residuals``: charge forecast less charge found, which is drop found less drop forecast."""
        state = self.state
        rows, spread = done.rows[kept], done.spread[np.ix_(kept, kept)]
        if rows.shape[1] < state.size:
            rows = np.hstack([rows, np.zeros((len(kept), state.size - rows.shape[1]))])
        total = rows @ state.p @ rows.T + spread
        kept, rows, spread, residuals, total = self._without_outlier(
            done, kept, rows, spread, residuals, total
        )
        m = len(residuals)
        ones = np.full(m, 1.0 / m)
        common = float(ones @ residuals)
        variance = float(ones @ total @ ones)
        z2 = common * common / variance
        weight = weight_of(z2)
        before = [float(state.p[f, f]) for f in self._firsts(done, kept)]
        state.observe(rows, residuals, spread / max(weight, 1e-4))
        for first, was, index in zip(self._firsts(done, kept), before, kept, strict=True):
            self.note(
                done.packs[index].reading.serial_no, "flights", 1 / float(state.p[first, first]) - 1 / was
            )
        self.scatter.learn(done.legs.amounts.kind, z2, weight)
        if m >= 2 and weight > 0.5:
            apart = float(residuals[0] - residuals[1])
            apart2 = apart * apart / float(total[0, 0] + total[1, 1] - 2 * total[0, 1])
            if apart2 < 12:
                new = min(0.998 * self.gauge_weight + 1, 400.0)
                self.gauge = max(self.gauge * (1 + (apart2 - 1) / new), 0.17)
                self.gauge_weight = new
        self._watch(common / variance**0.5)

    def _firsts(self, done: Forecasted, kept: list[int]) -> list[int]:
        return [self.packs.at[done.packs[index].reading.serial_no] for index in kept]

    def _without_outlier(
        self, done: Forecasted, kept: list[int], rows: Array, spread: Array, residuals: Array, total: Array
    ) -> tuple[list[int], Array, Array, Array, Array]:
        """Leave out one pack whose residual disagrees with the other's far beyond the gauges' error."""
        if len(kept) < 2:
            return kept, rows, spread, residuals, total
        middle = float(np.median(residuals)) if len(kept) > 2 else float(residuals.mean())
        apart = float(residuals.max() - residuals.min())
        sd = float(np.sqrt(max(total[0, 0] + total[1, 1] - 2 * total[0, 1], 1e-9)))
        if apart < 4.0 * sd:
            return kept, rows, spread, residuals, total
        worst = (
            int(np.argmax(np.abs(residuals - middle))) if len(kept) > 2 else int(np.argmax(np.abs(residuals)))
        )
        serial = done.packs[kept[worst]].reading.serial_no
        again = self.flights - self.left_out.get(serial, -99) <= 2
        self.left_out[serial] = self.flights
        if again:  # twice in a row is no slip of the pen: this pack is not what it was taken for
            first = self.packs.at[serial]
            self.state.p[first, first] += 0.05**2
            return kept, rows, spread, residuals, rows @ self.state.p @ rows.T + spread
        stay = [i for i in range(len(kept)) if i != worst]
        return (
            [kept[i] for i in stay],
            rows[stay],
            spread[np.ix_(stay, stay)],
            residuals[stay],
            total[np.ix_(stay, stay)],
        )

    def _watch(self, z: float) -> None:
        """A run of residuals of one sign says that use has changed: let the rates move."""
        self.run_of_sign = 0.9 * self.run_of_sign + 0.1 * min(max(z, -3.0), 3.0)
        if abs(self.run_of_sign) > 3.2 * (0.1 / 1.9) ** 0.5:
            self.state.loosen((names.CLIMB, names.LEVEL, names.CIRCUIT, names.GROUND, names.DEPARTURE), 3.0)
            self.run_of_sign = 0.0
            self.changed_at = self.flights

    def _remember(self, done: Forecasted) -> None:
        a, top = done.legs.amounts, self.largest
        for pack in done.packs:
            top["drop"] = max(top["drop"], pack.drop)
        if not a.blank:
            top["kft"], top["level"] = max(top["kft"], a.kft), max(top["level"], a.level_min)
            top["circuits"] = max(top["circuits"], a.circuits)
        top["coldest"], top["hottest"] = min(top["coldest"], a.temp + 15), max(top["hottest"], a.temp + 15)
        top["ln_mass"] = max(top["ln_mass"], a.ln_mass)
        if a.handler:
            self.flown_by[a.handler] = self.flown_by.get(a.handler, 0) + 1
        amounts = (a.kft, a.level_min, a.circuits, a.starts, a.departs)
        for name, amount in zip(names.RATE_NAMES, amounts, strict=True):
            self.flown_with[name] += amount > 0
