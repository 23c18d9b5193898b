"""The two forecasts anybody could make without this program, for comparison: handbook alone, and plain average per minute."""

from collections.abc import Sequence
from math import exp

from logbook.energy.amounts import Amounts
from logbook.energy.demand import PackStart
from logbook.energy.filter import Filter
from logbook.energy.parameters import CIRCUIT, CLIMB, DEPARTURE, GROUND, LEVEL, start
from logbook.energy.record import WHOLE, members_of


class Baselines:
    """Handbook rates on the stated SOH scale, and the mean SOC drop for each air minute so far."""

    def __init__(self, filter_: Filter) -> None:
        self.filter = filter_
        begin = start(filter_.aircraft, filter_.together_kwh)
        self.rates = [0.0 if i in begin.dropped else exp(begin.mean[i]) for i in range(5)]
        self.points = 0.0
        self.minutes = 0.0

    def handbook(self, a: Amounts, packs: Sequence[PackStart]) -> list[float]:
        """Landing charge of each pack by the handbook alone [%]."""
        kwh = (
            self.rates[CLIMB] * a.kft
            + self.rates[LEVEL] * a.level_min
            + self.rates[CIRCUIT] * a.circuits
            + self.rates[GROUND] * a.starts
            + self.rates[DEPARTURE] * a.departs
            + a.extra_kwh
        )
        alone = [pack for pack in packs if pack.serial_no != WHOLE]
        even = kwh / max(len(self.filter.positions), len(alone), 1)
        return [
            _bounded(
                p.soc_departure_pct - 100 * (kwh if p.serial_no == WHOLE else even) / self._stated_kwh(p)
            )
            for p in packs
        ]

    def average(self, a: Amounts, packs: Sequence[PackStart]) -> list[float]:
        """Landing charge of each pack by the mean drop for each minute in the air so far; the handbook's before any."""
        if self.minutes <= 0:
            return self.handbook(a, packs)
        return [_bounded(p.soc_departure_pct - self.points / self.minutes * a.air_min) for p in packs]

    def _stated_kwh(self, start: PackStart) -> float:
        """Capacity behind a gauge by nominal capacity and SOH scale [kWh]."""
        scales = [self.filter.scale(one) for one in members_of(start)]
        health = start.soh_pct
        return sum(s.usable_kwh(0.0 if health is None else s.log_fraction(health)[0]) for s in scales)

    def learn(self, drops: Sequence[float], air_min: float) -> None:
        """One more flight of the average."""
        if drops and air_min > 0:
            self.points += sum(drops) / len(drops)
            self.minutes += air_min


def _bounded(value: float) -> float:
    return min(max(value, 0.0), 100.0)
