"""Landing charge of a demand: low, mid, high for each pack, with the parts of the width and what lies outside the record.

Mid is departure charge less the expected drop; the half-width is the kind's empirical quantile times the standard
deviation from four independent parts: the unknown rates and effects, the unknown capacities, the gauges' rounding and
drift, and the scatter of how flights are flown. ``docs/energy/forecast.md``.
"""

from collections.abc import Sequence
from math import isfinite
from typing import NamedTuple

import numpy as np

from logbook.energy import parameters as names
from logbook.energy.amounts import Amounts
from logbook.energy.demand import Demand, PackStart, amounts_of, kind_of
from logbook.energy.estimate import Z90
from logbook.energy.filter import Filter
from logbook.energy.model import Energy
from logbook.energy.packs import CAPACITY
from logbook.energy.prediction import Loaded, drops
from logbook.energy.record import members_of
from logbook.energy.state import Array
from logbook.energy.student_t import normal_below


class Parts(NamedTuple):
    """Where the width comes from: shares of the variance, adding to 1."""

    rates: float
    capacity: float
    rounding: float
    scatter: float


class LandingForecast(NamedTuple):
    """Landing charge of one pack [%]: 0 ≤ low ≤ mid ≤ high ≤ 100."""

    serial_no: str
    low: float
    mid: float
    high: float
    sd: float
    """Standard deviation before the bounds of 0 and 100 [points], as wide as the intervals proved to need."""
    mean: float
    """Expected charge before the bounds of 0 and 100; negative says by how much the pack falls short."""
    parts: Parts
    outside: tuple[str, ...] = ()
    """Why this lies beyond anything recorded, in words; empty when it does not."""

    def chance_below(self, soc_pct: float) -> float:
        """Chance (0..1) of landing with less than this charge."""
        return normal_below((soc_pct - self.mean) / self.sd)


class LegEnergies(NamedTuple):
    """Energy of each leg of the whole aeroplane [kWh], and how the legs' errors go together [kWh²]."""

    kwh: Array
    covariance: Array


def forecast(filter_: Filter, demand: Demand, packs: Sequence[PackStart]) -> tuple[LandingForecast, ...]:
    """Landing charge of each pack after a demand."""
    filter_.settle()
    amounts = amounts_of(demand, filter_.reader, filter_.state.x)
    return landings(filter_, amounts, None, packs)


def leg_energies(filter_: Filter, legs: Sequence[Demand], kind: str = "") -> LegEnergies:
    """Energy of each leg and the joint covariance: unknown rates, and the common scatter of one flight.

    Args:
        filter_: What is known of the aeroplane.
        legs: Legs of one flight; only one should hold a start.
        kind: Kind of the whole flight; by default that of all legs together.
    """
    filter_.settle()
    costs, amounts, slopes = _legs(filter_, legs, kind or kind_of(_together(legs)))
    kwh = np.array([cost.kwh for cost in costs])
    covariance = slopes @ filter_.state.p @ slopes.T
    if costs:
        covariance += filter_.scatter.variance(amounts[0].kind) * kwh[:, None] * kwh[None, :]
        covariance += np.diag([cost.extra_sd_kwh**2 for cost in costs])
    return LegEnergies(kwh, covariance)


def forecast_legs(
    filter_: Filter, legs: Sequence[Demand], packs: Sequence[PackStart], kind: str = ""
) -> list[tuple[LandingForecast, ...]]:
    """Charge of each pack at the end of each leg; the last is the landing charge."""
    filter_.settle()
    kind = kind or kind_of(_together(legs))
    costs, amounts, slopes = _legs(filter_, legs, kind)
    answers = []
    for upto in range(1, len(costs) + 1):
        total = sum(cost.kwh for cost in costs[:upto])
        core = slopes[:upto, : names.CORE].sum(0) / total
        cost = Energy(
            total,
            core.tolist(),
            sum(c.circuit_part * c.kwh for c in costs[:upto]) / total,
            sum(c.level_part * c.kwh for c in costs[:upto]) / total,
            sum(c.extra_sd_kwh**2 for c in costs[:upto]) ** 0.5,
        )
        answers.append(landings(filter_, _sum(amounts[:upto]), cost, packs))
    return answers


def landings(
    filter_: Filter, amounts: Amounts, cost: Energy | None, packs: Sequence[PackStart]
) -> tuple[LandingForecast, ...]:
    """The forecast proper, for amounts in the model's terms."""
    for pack in packs:
        filter_.meet(members_of(pack), has_soh=pack.soh_pct is not None and not pack.packs)
        if pack.soh_pct is not None and pack.serial_no not in filter_.last_soh:
            filter_.learn_soh(pack.serial_no, pack.soh_pct, members_of(pack))
    starts = [min(max(pack.soc_departure_pct, 0.0), 100.0) for pack in packs]
    loaded = [
        Loaded(pack.serial_no, pack.position, start, pack.temp_departure_c, pack.packs)
        for pack, start in zip(packs, starts, strict=True)
    ]
    expected = drops(filter_, amounts, loaded, cost)
    quantile = filter_.scatter.quantile(amounts.kind)
    outside = _outside(filter_, amounts, float(expected.points.max(initial=0.0)))
    answers = []
    for index, pack in enumerate(packs):
        variances = _variances(filter_, expected.rows[index], float(expected.spread[index, index]))
        total = sum(variances)
        sd = total**0.5 * quantile / Z90
        mean = starts[index] - float(expected.points[index])
        if not isfinite(mean) or not isfinite(sd) or sd <= 0:  # pragma: no cover - guarded upstream
            mean, sd = 0.0, 100.0
        half = Z90 * sd
        low, mid, high = (min(max(v, 0.0), 100.0) for v in (mean - half, mean, mean + half))
        parts = Parts(*(v / total for v in variances))
        answers.append(LandingForecast(pack.serial_no, low, mid, high, sd, mean, parts, outside))
    return tuple(answers)


def _variances(filter_: Filter, row: Array, spread: float) -> tuple[float, float, float, float]:
    """Variance from rates, capacity, rounding and scatter [points²]; what two share is split evenly."""
    p = filter_.state.p
    about_packs = np.zeros(row.size, dtype=bool)
    about_packs[[names.CURVE, names.ZERO, names.COLD, names.SHARE]] = True
    about_packs[list(filter_.positions.values())] = True
    for first in filter_.packs.at.values():
        about_packs[first + CAPACITY] = True
    capacity, rates = np.where(about_packs, row, 0.0), np.where(about_packs, 0.0, row)
    shared = float(rates @ p @ capacity)
    v_rates, v_capacity = float(rates @ p @ rates) + shared, float(capacity @ p @ capacity) + shared
    scatter = max(spread - filter_.gauge, 0.0)
    return max(v_rates, 0.0), max(v_capacity, 0.0), filter_.gauge, scatter


def _legs(filter_: Filter, legs: Sequence[Demand], kind: str) -> tuple[list[Energy], list[Amounts], Array]:
    amounts = []
    departed = False
    for leg in legs:
        found = amounts_of(leg, filter_.reader, filter_.state.x, kind)
        if found.departs and departed:
            found = found._replace(departs=0.0)
        departed = departed or bool(found.departs)
        amounts.append(found)
    # The clock's scatter is that of one flight: each leg carries its part of it.
    in_air = sum(a.air_min for a in amounts if a.unexplained_sd > 0)
    if in_air > 0:
        amounts = [a._replace(unexplained_sd=a.unexplained_sd * (a.air_min / in_air) ** 0.5) for a in amounts]
    costs = [filter_.cost(a) for a in amounts]
    slopes = np.zeros((len(legs), filter_.state.size))
    for index, (a, cost) in enumerate(zip(amounts, costs, strict=True)):
        slopes[index, : names.CORE] = cost.slopes
        where, _ = filter_.person(a.handler)
        if where is not None:
            slopes[index, where : where + 3] = 1.0, cost.circuit_part, cost.level_part
        slopes[index] *= cost.kwh
    return costs, amounts, slopes


def _together(legs: Sequence[Demand]) -> Demand:
    kinds = [leg.kind for leg in legs if leg.kind]
    return Demand(
        climb_ft=sum(leg.climb_ft for leg in legs),
        level_min=sum(leg.level_min for leg in legs),
        circuits=sum(leg.circuits for leg in legs),
        airwork=tuple(stretch for leg in legs for stretch in leg.airwork),
        kind=kinds[0] if kinds else "",
    )


def _sum(amounts: Sequence[Amounts]) -> Amounts:
    return amounts[-1]._replace(
        kft=sum(a.kft for a in amounts),
        level_min=sum(a.level_min for a in amounts),
        circuits=sum(a.circuits for a in amounts),
        air_min=sum(a.air_min for a in amounts),
    )


def _outside(filter_: Filter, a: Amounts, drop: float) -> tuple[str, ...]:
    """Reasons why a demand lies beyond the record."""
    if filter_.measured == 0:
        if filter_.flights:
            return ("no flight has a charge after landing: from the handbook alone", *filter_.reasons)
        return ("no flights recorded yet: from the handbook alone", *filter_.reasons)
    reasons = filter_.largest.beyond(a, drop)
    if filter_.measured < 10:
        reasons += (f"only {filter_.measured} flights recorded",)
    return reasons + filter_.reasons if filter_.measured < 50 else reasons
