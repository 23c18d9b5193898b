"""What must hold for any record at all."""

from math import isfinite

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.energy.demand import Demand, PackStart
from logbook.energy.estimator import Estimator, estimate
from logbook.energy.record import (
    WHOLE,
    AircraftFacts,
    AircraftHistory,
    ChargeFacts,
    FlightFacts,
    PackFacts,
    ReadingFacts,
)
from logbook.energy.state import State
from tests.energy.worlds import SEEDS, history

percent = st.one_of(st.none(), st.floats(0, 100))
amount = st.one_of(st.none(), st.floats(0, 1e5))
rate = st.one_of(st.none(), st.just(0.0), st.floats(1e-4, 1e3))
kinds = st.sampled_from(["", "circuits", "local", "cross-country", "ferry", "check"])


behind = st.sampled_from([(), ("A",), ("A", "B"), ("B", "C", "A", "D")])
_READ = [
    *((("A", "l"), ("B", None), ("C", "elsewhere"))[:count] for count in range(4)),
    ((WHOLE, None),),
    (("A", "l"), (WHOLE, None)),
]
"""Gauges read on a flight: packs, or one for all of them, or both."""


@st.composite
def _flights(draw: st.DrawFn) -> tuple[FlightFacts, ...]:
    flights, at = [], 28_000_000
    for number in range(draw(st.integers(0, 5))):
        at += draw(st.integers(1, 5000))
        times = sorted(draw(st.lists(st.integers(0, 300), min_size=3, max_size=3)))
        readings = tuple(
            ReadingFacts(
                serial,
                position,
                draw(percent),
                draw(percent),
                draw(percent),
                draw(st.one_of(st.none(), st.floats(-60, 90))),
                packs=draw(behind) if serial == WHOLE else (),
            )
            for serial, position in draw(st.sampled_from(_READ))
        )
        known = draw(st.booleans())
        flights.append(
            FlightFacts(
                f"F{number}", at, at + times[0] if known else None, at + times[1] if known else None, at + times[2], draw(kinds),
                draw(st.one_of(st.none(), st.integers(0, 40))), draw(amount), draw(amount), draw(amount), draw(amount), draw(amount),
                draw(st.one_of(st.none(), st.integers(0, 9))), draw(st.sampled_from([None, "", "Ada"])), draw(st.one_of(st.none(), st.floats(-90, 90))),
                None, draw(amount), readings=readings,
            )
        )  # fmt: skip
    return tuple(flights)


@st.composite
def _records(draw: st.DrawFn) -> AircraftHistory:
    aircraft = AircraftFacts(
        "X", draw(st.sampled_from([(), ("l",), ("l", "r")])), *(draw(rate) for _ in range(11))
    )
    packs = tuple(
        PackFacts(s, draw(rate), draw(st.one_of(st.none(), st.floats(0, 1))))
        for s in "AB"[: draw(st.integers(0, 2))]
    )
    charges = tuple(
        ChargeFacts(
            f"C{n}",
            "A",
            28_000_000 + 900 * n,
            None,
            draw(st.sampled_from([None, "x"])),
            None,
            draw(percent),
            draw(percent),
            draw(amount),
            draw(amount),
        )
        for n in range(draw(st.integers(0, 3)))
    )
    return AircraftHistory(aircraft, packs, draw(_flights()), charges)


@settings(max_examples=100, deadline=None)
@given(_records(), st.floats(0, 1e4), st.floats(0, 1e3), percent)
def test_any_record_gives_finite_bounded_answers(
    record: AircraftHistory, feet: float, minutes: float, soh: float | None
) -> None:
    found = estimate(record)
    hindcasts = found.hindcasts()
    for row in hindcasts.rows:
        assert 0 <= row.low <= row.mid <= row.high <= 100
    assert all(isfinite(value) for value in hindcasts.all)
    demand = Demand(climb_ft=feet, level_min=minutes)
    each = [PackStart("A", "l", 95, soh), PackStart("new", "r", 80)]
    one = [PackStart(WHOLE, None, 95, soh, packs=("A", "B"))]
    for landing in (*found.forecast(demand, each), *found.forecast(demand, one)):
        assert 0 <= landing.low <= landing.mid <= landing.high <= 100
        assert isfinite(landing.mean)
        assert isfinite(landing.sd)
        assert landing.sd > 0
        assert 0 <= landing.chance_below(30) <= 1
    for rate_ in found.rates().rates:
        assert 0 <= rate_.observed.low <= rate_.observed.mid <= rate_.observed.high < np.inf
    for capacity in (found.capacity("A"), found.capacity_together(("A", "B")), found.capacity(WHOLE)):
        held = capacity.usable_kwh
        assert 0 < held.low <= held.mid <= held.high < np.inf
    assert all(isfinite(s.z) and isfinite(s.fits) for s in hindcasts.suspects)
    assert np.isfinite(found.filter.state.p).all()


@given(
    st.lists(st.lists(st.floats(-5, 5), min_size=3, max_size=3), min_size=1, max_size=8), st.floats(0.05, 4)
)
def test_observing_never_widens_at_fixed_noise(rows: list[list[float]], noise: float) -> None:
    state = State([0, 0, 0], [1, 2, 0.5], [0, 0, 0])
    for row in rows:
        before = state.p.copy()
        state.observe(np.array([row]), np.array([0.7]), np.array([[noise]]))
        assert np.linalg.eigvalsh(before - state.p).min() > -1e-9
        assert np.linalg.eigvalsh(state.p).min() > -1e-9


def test_packs_exchanged_with_their_data_give_exchanged_answers() -> None:
    full = history(SEEDS[0])
    flights = full.flights[:120]
    other = {"F": "R", "R": "F"}

    def exchanged(flight: FlightFacts) -> FlightFacts:
        turned = tuple(r._replace(position=other[r.position or "F"]) for r in reversed(flight.readings))
        return flight._replace(readings=turned)

    plain = estimate(full._replace(flights=flights))
    turned = estimate(
        full._replace(
            aircraft=full.aircraft._replace(positions=("R", "F")),
            packs=full.packs[::-1],
            flights=tuple(map(exchanged, flights)),
        )
    )
    ours = {(row.flight_id, row.serial_no): row for row in plain.hindcasts().rows}
    for row in turned.hindcasts().rows:
        assert row.mid == pytest.approx(ours[row.flight_id, row.serial_no].mid, abs=1e-6)
        assert row.high == pytest.approx(ours[row.flight_id, row.serial_no].high, abs=1e-6)


def test_another_unit_of_energy_changes_no_landing_charge() -> None:
    full = history(SEEDS[1])
    names = [
        name for name in AircraftFacts._fields if name.startswith("handbook") and name != "handbook_mass_kg"
    ]

    def rescaled(factor: float) -> Estimator:
        figures = {name: (getattr(full.aircraft, name) or 0) * factor for name in names}
        packs = tuple(pack._replace(nominal_kwh=(pack.nominal_kwh or 0) * factor) for pack in full.packs)
        return estimate(
            full._replace(
                aircraft=full.aircraft._replace(**figures),
                packs=packs,
                flights=full.flights[:150],
                charges=(),
            )
        )

    in_kwh, in_mj = rescaled(1.0), rescaled(3.6)
    for a, b in zip(in_kwh.hindcasts().rows, in_mj.hindcasts().rows, strict=True):
        assert b[2:6] == pytest.approx(a[2:6], abs=1e-6)
    for a, b in zip(in_kwh.rates().rates, in_mj.rates().rates, strict=True):
        assert b.observed.mid == pytest.approx(3.6 * a.observed.mid, rel=1e-6)


def test_one_more_flight_is_one_more_step() -> None:
    full = history(SEEDS[2])
    whole = estimate(full._replace(flights=full.flights[:90], charges=()))
    stepped = Estimator(full.aircraft, full.packs)
    for flight in full.flights[:90]:
        stepped.step(flight)
    assert stepped.hindcasts().rows == whole.hindcasts().rows
