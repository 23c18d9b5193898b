"""The clock as a second witness: how long a flight's legs usually take in the air.

    air time − level minutes = feet × a + circuits × b + rest + (mass effects)                (1)

learned from complete entries by recursive Bayesian regression with a prior from the handbook's rate of climb. What a
flight took beyond that is *unexplained time*: part noise of the typed minutes and feet, part flying that no leg counts.
The energy model learns what such a minute costs.
"""

from bisect import insort
from math import exp

import numpy as np

from logbook.energy.state import State

KFT, CIRCUITS, REST_CIRCUITS, REST_OTHER, KFT_MASS, CIRCUITS_MASS = range(6)
_FADE = 0.99
_PRIOR_WEIGHT = 10.0
_TAIL_Z, _TAIL_WEIGHT = 2.054, 40.0
"""98 % quantile of a normal distribution, and how many flights it is worth."""


class Clock:
    """Learned durations [min] and their scatter, for circuit flights and others."""

    def __init__(self, climb_rate_fpm: float | None) -> None:
        climb = 1000 / climb_rate_fpm if climb_rate_fpm and climb_rate_fpm > 0 else 1.6
        # Coming down again takes about two minutes for 1000 ft, of which level minutes may count some.
        mean = [climb + 1.5, 5.5, 0.3, 2.0, climb, 1.5]
        sd = [1.0, 1.2, 0.7, 1.5, 1.2, 1.5]
        self.state = State(mean, sd, [0.004, 0.005, 0.004, 0.01, 0.002, 0.002])
        self.variance = {True: 1.5**2, False: 2.2**2}
        self.weight = {True: _PRIOR_WEIGHT, False: _PRIOR_WEIGHT}
        self.late: dict[bool, list[float]] = {True: [], False: []}

    def terms(self, kft: float, circuits: float, ln_mass: float, *, circuit_flight: bool) -> list[float]:
        """The regressors of equation (1)."""
        flag = 1.0 if circuit_flight else 0.0
        return [kft, circuits, flag, 1.0 - flag, kft * ln_mass, circuits * ln_mass]

    def expected(self, terms: list[float]) -> float:
        """Minutes in the air beside the level minutes."""
        x = self.state.x
        return float(
            x[0] * terms[0]
            + x[1] * terms[1]
            + x[2] * terms[2]
            + x[3] * terms[3]
            + x[4] * terms[4]
            + x[5] * terms[5]
        )

    def sd(self, terms: list[float], *, circuit_flight: bool) -> float:
        """Standard deviation of one flight about equation (1) [min]."""
        row = np.array(terms)
        return float((self.variance[circuit_flight] + row @ self.state.p @ row) ** 0.5)

    def learn(self, terms: list[float], residual: float, *, circuit_flight: bool) -> None:
        """Learn from one complete flight: ``residual`` is observed less expected [min]."""
        row = np.array(terms)
        spread = float(row @ self.state.p @ row) + self.variance[circuit_flight]
        z2 = min(residual * residual / spread, 60.0)
        weight = 1 / (1 + 0.004 * exp(0.48 * z2))
        self.state.wander()
        self.state.observe(
            row[None, :],
            np.array([residual]),
            np.array([[self.variance[circuit_flight] / max(weight, 1e-6)]]),
        )
        old = self.weight[circuit_flight]
        new = _FADE * old + weight
        self.variance[circuit_flight] *= (_FADE * old + weight * z2) / new
        self.weight[circuit_flight] = new
        insort(self.late[circuit_flight], residual / spread**0.5)

    def late_tail(self, *, circuit_flight: bool) -> float:
        """How much longer the tail of late flights (holding, orbits) is than a normal one: 1 or more."""
        late = self.late[circuit_flight]
        rank = 0.98 * len(late)
        if len(late) < 5:
            return 1.0
        extreme = late[min(int(rank), len(late) - 1)]
        return max((len(late) * extreme + _TAIL_WEIGHT * _TAIL_Z) / (len(late) + _TAIL_WEIGHT) / _TAIL_Z, 1.0)
