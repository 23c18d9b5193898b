"""The one door to the estimates of an aeroplane.

    estimator = estimate(history)
    estimator.forecast(Demand(climb_ft=2000, level_min=20), [PackStart("A1", "front", 100)])
    estimator.rates(), estimator.capacity("A1"), estimator.hindcasts()

Everything follows from one pass over the record in order of time; one more flight costs one more step.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

import numpy as np

from logbook.energy.baselines import Baselines
from logbook.energy.capacity import Capacity, CapacityPoint, capacity, capacity_history, capacity_together
from logbook.energy.demand import Demand, PackStart
from logbook.energy.events import Event, events_of
from logbook.energy.filter import Filter
from logbook.energy.forecast import LandingForecast, LegEnergies, forecast, forecast_legs, leg_energies
from logbook.energy.hindcast import HindcastRow, Score, rows_of, score
from logbook.energy.hypotheses import Hypothesis, hypotheses
from logbook.energy.knowledge import DoubtfulCharge
from logbook.energy.prediction import Forecasted
from logbook.energy.rates import Rates, rates
from logbook.energy.record import AircraftFacts, AircraftHistory, PackFacts
from logbook.energy.state import Array
from logbook.energy.suspects import Suspect, suspects_of
from logbook.energy.witnesses import Witnesses

LAST = 50
_NOTHING: Array = np.zeros((0, 0))


class Hindcasts(NamedTuple):
    """How good the forecasts were, with every row and every suspected entry."""

    rows: tuple[HindcastRow, ...]
    suspects: tuple[Suspect, ...]
    all: Score
    last_50: Score
    by_kind: dict[str, Score]
    by_handler: dict[str, Score]


class Estimator:
    """What is known of one aeroplane, and what it would answer."""

    def __init__(self, aircraft: AircraftFacts, packs: Sequence[PackFacts] = ()) -> None:
        self.filter = Filter(aircraft, packs)
        self._baselines = Baselines(self.filter)
        self._rows: list[HindcastRow] = []
        self._flown: list[tuple[Forecasted, list[Hypothesis], float]] = []
        self._witnesses = Witnesses()

    def step(self, event: Event) -> None:
        """Take the next event of the record, in order of time."""
        done = self.filter.step(event)
        self._witnesses.hear(event)
        if done is None:
            return
        self._rows += rows_of(done, self._baselines)
        asked = hypotheses(self.filter, done)
        self._flown.append((done._replace(rows=_NOTHING, spread=_NOTHING), asked, self.filter.gauge**0.5))

    def forecast(self, demand: Demand, packs: Sequence[PackStart]) -> tuple[LandingForecast, ...]:
        """Landing charge of each pack after a demand, given everything recorded."""
        return forecast(self._asked(), demand, packs)

    def forecast_legs(
        self, legs: Sequence[Demand], packs: Sequence[PackStart], kind: str = ""
    ) -> list[tuple[LandingForecast, ...]]:
        """Charge of each pack at the end of each leg of one flight."""
        return forecast_legs(self._asked(), legs, packs, kind)

    def leg_energies(self, legs: Sequence[Demand], kind: str = "") -> LegEnergies:
        """Energy of each leg [kWh] and the joint covariance [kWh²]."""
        return leg_energies(self._asked(), legs, kind)

    def _asked(self) -> Filter:
        """A copy to be asked: a question teaches nothing."""
        self.filter.settle()
        return self.filter.copied()

    def rates(self) -> Rates:
        """What flying costs, with the handbook beside it, and what changes it."""
        return rates(self.filter)

    def capacity(self, serial_no: str, as_of: int | None = None, soh_pct: float | None = None) -> Capacity:
        """Usable capacity of a pack, now or at an instant [POSIX minutes]."""
        return capacity(self.filter, serial_no, as_of, soh_pct)

    def capacity_together(self, serials: Sequence[str]) -> Capacity:
        """Usable capacity of all packs behind one gauge, now."""
        return capacity_together(self.filter, serials)

    def capacity_history(self, serial_no: str) -> list[CapacityPoint]:
        """Capacity of a pack after each of its flights."""
        return capacity_history(self.filter, serial_no)

    def doubtful_charges(self) -> tuple[DoubtfulCharge, ...]:
        """Charges whose meter does not fit the pack and the charger."""
        self.filter.settle()
        return tuple(self.filter.doubtful)

    def hindcasts(self) -> Hindcasts:
        """Every flight from earlier records only, given what was flown; and the entries that do not fit."""
        self.filter.settle()
        rows = tuple(self._rows)
        last = {done.flight.flight_id for done, *_ in self._flown[-LAST:]}
        return Hindcasts(
            rows,
            tuple(self.suspects()),
            score(rows),
            score([row for row in rows if row.flight_id in last]),
            _grouped(rows, lambda row: row.kind),
            _grouped(rows, lambda row: row.handler or ""),
        )

    def suspects(self) -> Iterable[Suspect]:
        """Suspected wrong entries, with the value that would fit."""
        for done, asked, gauge_sd in self._flown:
            near = {
                p.reading.serial_no: self._witnesses.near(done.flight, p.reading.serial_no)
                for p in done.packs
            }
            yield from suspects_of(done, near, asked, gauge_sd)


def estimate(history: AircraftHistory) -> Estimator:
    """All that the record of one aeroplane says."""
    estimator = Estimator(history.aircraft, history.packs)
    for event in events_of(history):
        estimator.step(event)
    return estimator


def _grouped(rows: Sequence[HindcastRow], key: Callable[[HindcastRow], str]) -> dict[str, Score]:
    groups: dict[str, list[HindcastRow]] = {}
    for row in rows:
        groups.setdefault(key(row), []).append(row)
    return {name: score(members) for name, members in sorted(groups.items())}
