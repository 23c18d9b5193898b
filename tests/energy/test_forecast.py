import numpy as np
import pytest

from logbook.energy.demand import Demand, PackStart, amounts_of
from logbook.energy.estimator import Estimator, estimate
from logbook.energy.hindcast import Baselines
from logbook.energy.record import AircraftFacts, AircraftHistory, PackFacts
from tests.energy.worlds import SEEDS, estimator, history

HANDBOOK = AircraftFacts("X-ONE", ("left", "right"), 0.4, 1.5, 0.45, 2.0, 0.8, 620, 450, 600, 27, 75, 30)
PACKS = (PackFacts("A", 13.0, 0.45, 1.0), PackFacts("B", 13.0, 0.45, 1.0))
STARTS = (PackStart("A", "left", 100, 100, 20), PackStart("B", "right", 100, 100, 20))
LOCAL = Demand(climb_ft=2000, level_min=18, mass_kg=620, kind="local")


def _fresh() -> Estimator:
    return Estimator(HANDBOOK, PACKS)


def test_without_flights_the_handbook_answers_wide_and_says_so() -> None:
    found = _fresh().forecast(LOCAL, STARTS)
    kwh = 0.4 + 2 * 1.5 + 18 * 0.45 + 0.8
    assert found[0].mid == pytest.approx(100 - 100 * kwh / 26, abs=3)
    assert found[0].high - found[0].low > 12
    assert "no flights recorded yet" in found[0].outside[0]


def test_handbook_and_average_are_one_and_the_same_before_the_first_flight() -> None:
    known = _fresh().filter
    base, amounts = Baselines(known), amounts_of(LOCAL, known.reader, known.state.x)
    kwh = 0.4 + 2 * 1.5 + 18 * 0.45 + 0.8
    assert base.handbook(amounts, STARTS) == pytest.approx([100 - 100 * kwh / 26] * 2)
    assert base.average(amounts, STARTS) == base.handbook(amounts, STARTS)


def test_parts_of_the_width_add_to_one_and_record_narrows_them() -> None:
    record = estimator(SEEDS[0])
    serials = [reading.serial_no for reading in history(SEEDS[0]).flights[-1].readings]
    starts = [PackStart(serial, position, 100) for serial, position in zip(serials, ("F", "R"), strict=True)]
    demand = Demand(climb_ft=2000, level_min=16, kind="local")
    found, start = record.forecast(demand, starts)[0], _fresh().forecast(LOCAL, STARTS)[0]
    for forecast in (found, start):
        assert sum(forecast.parts) == pytest.approx(1)
        assert min(forecast.parts) >= 0
    assert found.high - found.low < 0.8 * (start.high - start.low)
    assert found.parts.scatter > found.parts.capacity
    assert found.outside == ()


def test_chance_below_follows_the_interval() -> None:
    found = _fresh().forecast(LOCAL, STARTS)[0]
    assert found.chance_below(found.low) == pytest.approx(0.05, abs=0.002)
    assert found.chance_below(found.mid) == pytest.approx(0.5, abs=0.002)
    assert found.chance_below(found.high) == pytest.approx(0.95, abs=0.002)


def test_a_hopeless_demand_stays_between_0_and_100_and_tells_by_how_much() -> None:
    found = _fresh().forecast(Demand(climb_ft=9000, level_min=240), STARTS)[0]
    assert (found.low, found.mid) == (0, 0)
    assert found.mean < -100
    assert found.chance_below(30) > 0.99


def test_what_lies_beyond_the_record_is_said() -> None:
    record = estimator(SEEDS[0])
    starts = [PackStart(r.serial_no, r.position, 100) for r in history(SEEDS[0]).flights[-1].readings]
    found = record.forecast(Demand(climb_ft=9000, level_min=90, outside_temp_c=-30, mass_kg=2000), starts)[
        0
    ].outside
    for words in ("more charge", "climbs more", "level minutes", "colder"):
        assert any(words in reason for reason in found), words


def test_legs_add_up_to_the_whole_flight() -> None:
    record = estimator(SEEDS[1])
    starts = [PackStart(r.serial_no, r.position, 100) for r in history(SEEDS[1]).flights[-1].readings]
    legs = [
        Demand(starts=1),
        Demand(starts=0, climb_ft=2000),
        Demand(starts=0, level_min=10),
        Demand(starts=0, level_min=8, departs=False),
    ]
    by_leg = record.forecast_legs(legs, starts, "local")
    whole = record.forecast(Demand(climb_ft=2000, level_min=18, kind="local"), starts)
    assert len(by_leg) == 4
    for last, all_at_once in zip(by_leg[-1], whole, strict=True):
        assert last.mean == pytest.approx(all_at_once.mean, abs=0.5)
        assert last.sd == pytest.approx(all_at_once.sd, rel=0.15)
    means = [leg[0].mean for leg in by_leg]
    assert means == sorted(means, reverse=True)
    energies = record.leg_energies(legs, "local")
    assert energies.kwh.sum() == pytest.approx(
        record.leg_energies([Demand(climb_ft=2000, level_min=18, kind="local")]).kwh[0], rel=0.01
    )
    assert np.linalg.eigvalsh(energies.covariance).min() > 0


def test_a_question_teaches_nothing() -> None:
    record = estimate(history(SEEDS[2])._replace(flights=history(SEEDS[2]).flights[:60]))
    record.filter.settle()
    before = record.filter.state.x.copy(), record.filter.state.p.copy()
    demand = LOCAL._replace(handler="nobody ever seen", mass_kg=700)
    for _ in range(3):
        record.forecast(demand, [PackStart("never seen", "F", 90, 70)])
        record.forecast_legs([demand], [PackStart("never seen", "F", 90, 70)])
    assert (record.filter.state.x == before[0]).all()
    assert (record.filter.state.p == before[1]).all()


def test_heavier_dearer_and_a_drag_of_missing_figures_still_answers() -> None:
    light, heavy = (_fresh().forecast(LOCAL._replace(mass_kg=mass), STARTS)[0].mid for mass in (520, 620))
    assert light > heavy + 3
    bare = estimate(AircraftHistory(AircraftFacts("X-BARE")))
    found = bare.forecast(Demand(level_min=20), [PackStart("Z")])[0]
    assert found.low < found.mid < 100
    assert found.high - found.low > 25
    assert any("no handbook figure" in reason for reason in found.outside)
    assert bare.forecast(Demand(), []) == ()


def test_air_work_at_a_power_costs_like_level_flight_at_that_power() -> None:
    level = _fresh().forecast(Demand(level_min=20, kind="local"), STARTS)[0].mid
    work = _fresh().forecast(Demand(airwork=((20, 27.0),), kind="local"), STARTS)[0].mid
    assert work == pytest.approx(level, abs=0.1)
    harder = _fresh().forecast(Demand(airwork=((20, 40.0),), kind="local"), STARTS)[0].mid
    assert harder < work - 5
    no_power = Estimator(HANDBOOK._replace(cruise_power_kw=None), PACKS)
    assert no_power.forecast(Demand(airwork=((20, 27.0),), kind="local"), STARTS)[0].mid == pytest.approx(
        work, abs=2
    )
