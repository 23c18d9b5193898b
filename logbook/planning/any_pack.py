"""The chance that any pack lands below its reserve, when the packs' errors go together.

What is uncertain about a flight (rates, how it is flown) is the same for all packs; what is uncertain about a pack
(capacity, its gauge) is its own. With c the common part of a pack's variance and z the common error, the chance that
none lands below is ∫ φ(z) Π (1 − Φ((t − √c·z) / √(1 − c))) dz, t being reserve less expected charge in standard
deviations. The integral is a sum over even steps: a few nodes of Gauss and Hermite stand too far apart where nearly
all is common and the product falls from one to nothing within a seventh of a standard deviation.
"""

from collections.abc import Sequence
from math import exp, sqrt
from typing import Final

from logbook.energy.forecast import LandingForecast
from logbook.energy.student_t import normal_below

_MOST_COMMON: Final = 0.98
"""No two packs are quite one: some of the error of each is always its own."""

_NODES: Final = tuple(step / 20 for step in range(-120, 121))
_WEIGHTS: Final = tuple(exp(-node * node / 2) for node in _NODES)
_TOTAL: Final = sum(_WEIGHTS)


def chance_any(forecasts: Sequence[LandingForecast], reserves_pct: Sequence[float]) -> float:
    """Chance that at least one pack lands below its reserve [0..1].

    Args:
        forecasts: landing charge of each pack.
        reserves_pct: least charge of each pack [%].
    """
    terms = [
        (
            (reserve - forecast.mean) / forecast.sd,
            min(max(forecast.parts.rates + forecast.parts.scatter, 0.0), _MOST_COMMON),
        )
        for forecast, reserve in zip(forecasts, reserves_pct, strict=True)
    ]
    none_below = 0.0
    for node, weight in zip(_NODES, _WEIGHTS, strict=True):
        above = 1.0
        for short, common in terms:
            above *= 1 - normal_below((short - sqrt(common) * node) / sqrt(1 - common))
        none_below += weight / _TOTAL * above
    return min(max(1 - none_below, 0.0), 1.0)
