"""The two forecasts anybody could make without this program, for comparison: handbook alone, and plain average per minute."""

from collections.abc import Sequence

from logbook.energy.amounts import Amounts
from logbook.energy.demand import PackStart
from logbook.energy.filter import Filter
from logbook.energy.parameters import CIRCUIT, CLIMB, DEPARTURE, GROUND, LEVEL, start


class Baselines:
    """Handbook rates on the stated SOH scale, and the mean SOC drop for each air minute so far."""

    def __init__(self, filter_: Filter) -> None:
        self.filter = filter_
        nominal = [scale.nominal_kwh for scale in filter_.scales.values()]
        count = max(len(filter_.aircraft.positions), 1)
        begin = start(filter_.aircraft, count * (sum(nominal) / len(nominal) if nominal else 12.0))
        from math import exp

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
        count = max(len(self.filter.positions), len(packs), 1)
        answers = []
        for pack in packs:
            scale = self.filter.scale(pack.serial_no)
            capacity = 0.0 if pack.soh_pct is None else scale.log_fraction(pack.soh_pct)[0]
            answers.append(_bounded(pack.soc_departure_pct - 100 * kwh / count / scale.usable_kwh(capacity)))
        return answers

    def average(self, a: Amounts, packs: Sequence[PackStart]) -> list[float]:
        """Landing charge of each pack by the mean drop for each minute in the air so far; the handbook's before any."""
        if self.minutes <= 0:
            return self.handbook(a, packs)
        return [_bounded(p.soc_departure_pct - self.points / self.minutes * a.air_min) for p in packs]

    def learn(self, drops: Sequence[float], air_min: float) -> None:
        """One more flight of the average."""
        if drops and air_min > 0:
            self.points += sum(drops) / len(drops)
            self.minutes += air_min


def _bounded(value: float) -> float:
    return min(max(value, 0.0), 100.0)
