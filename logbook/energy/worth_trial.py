"""Whether the record bears out a stated curve: the same flights forecast with it and without it, one step ahead each.

    d_f = mean over the packs of flight f of |error without| − |error with|                      (1)
    gain = mean of d_f,  half-width = t(0.95, n − 1) × √(V / n)                                  (2)

V is the variance of d_f; where neighbouring flights err alike it is raised by their covariances, weighted down with their
distance (lags up to the cube root of n). The larger of the two counts. Pairing takes out what both ways share: weather,
pilots, wrong entries. "Without" is what the program does where nothing is stated: kWh per % along a straight line that is
learned (``energy/parameters.py``, CURVE). Beside them stands "constant": kWh per % held the same all the way. What the
record favours is judged between the curve and doing without it, for that is what somebody can choose.

Sources (titles from memory): Diebold and Mariano, J. Business & Economic Statistics 13 (1995) 253, for comparing forecasts
by paired losses; Newey and West, Econometrica 55 (1987) 703, for the variance of a mean of neighbours that go together.
"""

from collections.abc import Sequence
from typing import NamedTuple

from logbook.energy.estimate import Estimate
from logbook.energy.estimator import Estimator
from logbook.energy.hindcast import HindcastRow, Score, score
from logbook.energy.student_t import t_quantile
from logbook.energy.worth import EVEN

FEWEST = 20
"""With fewer flights compared nothing is said (common practice, no source)."""
SLIGHT_PCT = 0.1
"""A smaller gain can be real and still not matter to anybody who reads a gauge in whole percent [points]."""
GIVEN, WITHOUT, OPEN = "given", "without", "cannot tell"


class WorthTrial(NamedTuple):
    """A stated curve against none, and against a constant."""

    given: Score
    without: Score
    constant: Score
    gain_pct: Estimate | None
    """How much smaller the mean error is with the curve than without [points]; ``None`` with fewer than two flights."""
    gain_on_constant_pct: Estimate | None
    """The same beside a constant."""

    @property
    def flights(self) -> int:
        """Flights compared."""
        return self.given.flights

    @property
    def favours(self) -> str:
        """What the record favours: ``given``, ``without``, or ``cannot tell``."""
        gain = self.gain_pct
        if gain is None or gain.n < FEWEST or gain.low <= 0 <= gain.high:
            return OPEN
        return GIVEN if gain.mid > 0 else WITHOUT


def trial(
    given: Sequence[HindcastRow], without: Sequence[HindcastRow], constant: Sequence[HindcastRow]
) -> WorthTrial:
    """Compares hindcasts of the same flights; a row that one of them lacks is left out.

    Args:
        given: Each flight from earlier records only, with the curve.
        without: The same without it.
        constant: The same with kWh per % held constant.
    """
    kept = [{(row.flight_id, row.serial_no): row for row in rows} for rows in (given, without, constant)]
    both = [key for key in kept[0] if all(key in rows for rows in kept)]
    mine, plain, even = ([rows[key] for key in both] for rows in kept)
    return WorthTrial(score(mine), score(plain), score(even), _gain(mine, plain), _gain(mine, even))


def held_constant(estimator: Estimator) -> Estimator:
    """An estimator that has seen nothing yet, told that every percent of every pack is worth the same."""
    for scale in estimator.filter.scales.values():
        scale.worths = EVEN
    return estimator


def _gain(mine: Sequence[HindcastRow], others: Sequence[HindcastRow]) -> Estimate | None:
    gains: dict[str, list[float]] = {}
    for row, other in zip(mine, others, strict=True):
        gains.setdefault(row.flight_id, []).append(abs(other.actual - other.mid) - abs(row.actual - row.mid))
    return mean_gain([sum(found) / len(found) for found in gains.values()])


def mean_gain(gains: Sequence[float]) -> Estimate | None:
    """Mean of paired differences in order of time with its 90 % interval, equation (2)."""
    n = len(gains)
    if n < 2:
        return None
    mid = sum(gains) / n
    off = [gain - mid for gain in gains]
    alone = sum(one * one for one in off) / (n - 1)
    lags = int(n ** (1 / 3))
    together = alone
    for lag in range(1, lags + 1):
        covariance = sum(one * other for one, other in zip(off, off[lag:], strict=False)) / n
        together += 2 * (1 - lag / (lags + 1)) * covariance
    half = t_quantile(0.95, n - 1) * (max(alone, together) / n) ** 0.5
    return Estimate(mid - half, mid, mid + half, n, "the same flights, forecast both ways")
