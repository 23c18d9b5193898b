"""The Kalman filter against statsmodels' state space, and against the batch posterior."""

import numpy as np
import pytest
import statsmodels.api as sm

from logbook.energy.state import Group, State


def test_the_nile_as_a_local_level_agrees_with_statsmodels() -> None:
    # Durbin and Koopman, Time Series Analysis by State Space Methods: annual flow at Aswan 1871-1970,
    # variances 15099 and 1469.1 (from memory; only their equality on both sides matters)
    flow = sm.datasets.nile.load_pandas().data["volume"].to_numpy()
    model = sm.tsa.UnobservedComponents(flow, "llevel")
    model.ssm.initialize_known(np.array([1000.0]), np.array([[300.0**2]]))
    theirs = model.filter([15099.0, 1469.1])
    state = State([1000.0], [300.0], [1469.1**0.5])
    for index, value in enumerate(flow):
        state.observe_one((0,), (1.0,), value - state.x[0], 15099.0)
        assert state.x[0] == pytest.approx(theirs.filtered_state[0, index], rel=1e-10)
        assert state.p[0, 0] == pytest.approx(theirs.filtered_state_cov[0, 0, index], rel=1e-10)
        state.wander()


def test_one_by_one_is_the_same_as_all_at_once() -> None:
    rng = np.random.default_rng(2)
    rows, mean, sd = rng.normal(size=(30, 4)), np.array([1.0, -1, 0.5, 2]), np.array([1.0, 2, 0.5, 3])
    y = rows @ [1.5, -0.5, 0.7, 1.0] + rng.normal(0, 0.4, 30)
    # the batch posterior with known noise, in closed form
    covariance = np.linalg.inv(np.diag(sd**-2.0) + rows.T @ rows / 0.16)
    coefficients = covariance @ (mean / sd**2 + rows.T @ y / 0.16)
    state = State(mean, sd, np.zeros(4))
    for row, value in zip(rows[:10], y[:10], strict=True):
        state.observe_one(range(4), row.tolist(), value - float(row @ state.x), 0.16)
    for start in range(10, 30, 2):
        pair = rows[start : start + 2]
        state.observe(pair, y[start : start + 2] - pair @ state.x, 0.16 * np.eye(2))
    assert state.x == pytest.approx(coefficients, rel=1e-9)
    assert state.p == pytest.approx(covariance, rel=1e-8, abs=1e-12)


def test_a_block_put_aside_comes_back_as_it_was() -> None:
    state = State([0.0], [1.0], [0.0])
    group = Group(state, 2, (0.0, 0.0))
    for key, value in (("a", 1.0), ("b", 2.0)):
        first = group.place(key, (0.0, 0.0), (1.0, 1.0))
        state.observe_one((first,), (1.0,), value, 0.01)
    before = group.look("a")
    group.place("c", (0.0, 0.0), (1.0, 1.0))
    assert set(group.at) == {"b", "c"}
    assert group.known("a")
    assert state.size == 5
    aside, again = group.look("a"), group.place("a", (9.0, 9.0), (9.0, 9.0))
    assert before is not None
    assert aside is not None
    assert aside[0] == pytest.approx(before[0])
    assert state.x[again : again + 2] == pytest.approx(before[0])
    assert state.p[again : again + 2, again : again + 2] == pytest.approx(before[1])
    assert group.look("nobody") is None
