"""Mean and covariance of the unknowns, as one Gaussian, with blocks that come and go.

Only as many people, packs and chargers are kept in the joint covariance as are in use. When a block is needed and all
places are taken, the one unused for longest is put aside with its own mean and covariance and comes back with them
later; its correlation with the rest is forgotten, which only widens. So the cost of a step does not grow with the
length of the record.
"""

from collections.abc import Sequence
from copy import copy

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class State:
    """Mean ``x`` (n,), covariance ``p`` (n, n) and variance added with each flight ``drift`` (n,)."""

    def __init__(self, mean: Sequence[float], sd: Sequence[float], drift_sd: Sequence[float]) -> None:
        self.x: Array = np.array(mean, dtype=float)
        self.p: Array = np.diag(np.array(sd, dtype=float) ** 2)
        self.drift: Array = np.array(drift_sd, dtype=float) ** 2
        self.low, self.high = _bounds(self.x, np.array(sd, dtype=float))
        """Beyond these no record can drive an unknown: ten standard deviations of its prior, at least 0.5."""
        self._steps = 0

    def copied(self) -> "State":
        """An independent copy."""
        other = copy(self)
        for name in ("x", "p", "drift", "low", "high"):
            setattr(other, name, getattr(self, name).copy())
        return other

    @property
    def size(self) -> int:
        """Number of unknowns in the joint covariance."""
        return int(self.x.size)

    def extend(self, mean: Sequence[float], covariance: Array, drift_sd: Sequence[float]) -> int:
        """Append unknowns, independent of the others; returns the index of the first."""
        first, more = self.size, len(mean)
        self.x = np.concatenate([self.x, np.array(mean, dtype=float)])
        grown = np.zeros((first + more, first + more))
        grown[:first, :first] = self.p
        grown[first:, first:] = covariance
        self.p = grown
        self.drift = np.concatenate([self.drift, np.array(drift_sd, dtype=float) ** 2])
        low, high = _bounds(np.array(mean, dtype=float), np.sqrt(np.diag(covariance)))
        self.low, self.high = np.concatenate([self.low, low]), np.concatenate([self.high, high])
        return first

    def wander(self) -> None:
        """One flight passes: everything may have changed a little."""
        self.p.reshape(-1)[:: self.size + 1] += self.drift
        self._steps += 1
        if self._steps % 64 == 0:
            self.p = (self.p + self.p.T) / 2

    def observe(self, rows: Array, residual: Array, noise: Array) -> None:
        """Learn from linear observations (Kalman update).

        Args:
            rows: Derivatives of the observations, shape (m, n).
            residual: Observed less expected, shape (m,).
            noise: Covariance of the observations' errors, shape (m, m).
        """
        ph = self.p @ rows.T
        gain = _inverse(rows @ ph + noise) @ ph.T
        self.x += residual @ gain
        self.p -= ph @ gain
        np.maximum(np.minimum(self.x, self.high, out=self.x), self.low, out=self.x)

    def observe_one(
        self, indices: Sequence[int], slopes: Sequence[float], residual: float, variance: float
    ) -> None:
        """Learn from one observation that few unknowns enter."""
        ph = self.p[:, indices[0]] * slopes[0]
        for index, slope in zip(indices[1:], slopes[1:], strict=True):
            ph = ph + self.p[:, index] * slope
        spread = variance
        for index, slope in zip(indices, slopes, strict=True):
            spread += slope * float(ph[index])
        gain = ph / spread
        self.x += gain * residual
        self.p -= gain[:, None] * ph
        np.maximum(np.minimum(self.x, self.high, out=self.x), self.low, out=self.x)

    def variance_of(self, indices: Sequence[int], slopes: Sequence[float]) -> float:
        """Variance of a linear combination of few unknowns."""
        total = 0.0
        for i, a in zip(indices, slopes, strict=True):
            for j, b in zip(indices, slopes, strict=True):
                total += a * b * float(self.p[i, j])
        return max(total, 0.0)

    def loosen(self, indices: Sequence[int], factor: float) -> None:
        """Widen some unknowns, keeping their correlations: use has changed."""
        root = np.ones(self.size)
        root[list(indices)] = factor**0.5
        self.p *= root[:, None] * root[None, :]


class Group:
    """Blocks of one sort (people, packs, chargers), at most ``places`` of them in the joint covariance."""

    def __init__(self, state: State, places: int, drift_sd: Sequence[float]) -> None:
        self.state, self.places, self.drift_sd = state, places, tuple(drift_sd)
        self.at: dict[str, int] = {}
        """Key to first index, least recently used first."""
        self.aside: dict[str, tuple[Array, Array]] = {}

    def known(self, key: str) -> bool:
        """Whether this key was ever seen."""
        return key in self.at or key in self.aside

    def place(self, key: str, mean: Sequence[float], sd: Sequence[float]) -> int:
        """Index of the block, made from the given prior if it is new."""
        first = self.at.pop(key, None)
        if first is None:
            new_mean, covariance = self.aside.pop(key, (np.array(mean), np.diag(np.array(sd) ** 2)))
            first = self._room(new_mean, covariance)
        self.at[key] = first
        return first

    def look(self, key: str) -> tuple[Array, Array] | None:
        """Mean and covariance of a block, wherever it is kept."""
        first = self.at.get(key)
        if first is None:
            return self.aside.get(key)
        cut = slice(first, first + len(self.drift_sd))
        return self.state.x[cut].copy(), self.state.p[cut, cut].copy()

    def moved(self, state: State) -> "Group":
        """The same blocks, in a copy of the state."""
        other = Group(state, self.places, self.drift_sd)
        other.at, other.aside = dict(self.at), dict(self.aside)
        return other

    def _room(self, mean: Array, covariance: Array) -> int:
        state = self.state
        if len(self.at) < self.places:
            return state.extend(list(mean), covariance, self.drift_sd)
        oldest = next(iter(self.at))
        first = self.at.pop(oldest)
        cut = slice(first, first + len(self.drift_sd))
        self.aside[oldest] = (state.x[cut].copy(), state.p[cut, cut].copy())
        state.x[cut] = mean
        state.p[cut, :] = 0.0
        state.p[:, cut] = 0.0
        state.p[cut, cut] = covariance
        state.low[cut], state.high[cut] = _bounds(mean, np.sqrt(np.diag(covariance)))
        return first


def _bounds(mean: Array, sd: Array) -> tuple[Array, Array]:
    reach = np.maximum(10 * sd, 0.5)
    return mean - reach, mean + reach


def _inverse(matrix: Array) -> Array:
    """Inverse of a small covariance; one and two observations, by far the most frequent, in closed form."""
    size = len(matrix)
    if size != 2:
        return np.asarray(1 / matrix if size == 1 else np.linalg.inv(matrix), dtype=np.float64)
    (a, b), (c, d) = matrix.tolist()
    determinant = a * d - b * c
    return np.array([[d / determinant, -b / determinant], [-c / determinant, a / determinant]])
