"""What was not written down is guessed from the clock and from what is usual, and the answer gets wider."""

import pytest

from logbook.energy.clock import Clock
from logbook.energy.demand import Demand, PackStart
from logbook.energy.estimator import Estimator, estimate
from logbook.energy.evidence import Reader, usual_kind
from logbook.energy.habits import Habits
from logbook.energy.hindcast import score
from logbook.energy.legs import legs_of
from logbook.energy.record import AircraftFacts, FlightFacts
from logbook.energy.slips import repair
from logbook.energy.today import Today
from tests.energy.worlds import SEEDS, history

HANDBOOK = AircraftFacts("X-ONE", ("left", "right"), 0.4, 1.5, 0.45, 2.0, 0.8, 620, 450, 600, 27, 75, 30)
USUAL = (Clock(600), Habits(620, 450))


def _legs(kind: str, air: float | None, **entries: float | None) -> tuple[float, float, float, bool]:
    return tuple(legs_of(FlightFacts("F", 0, kind=kind, **entries), kind, air, 0.0, USUAL))  # type: ignore[arg-type, return-value]


def test_what_was_written_down_is_taken() -> None:
    assert _legs("local", 30, circuits=2, climb_ft=2500, level_min=12) == (2.5, 2, 12, False)
    assert _legs("circuits", 30, circuits=5) == (0, 5, 0, False)


def test_level_minutes_are_what_the_other_legs_leave_of_the_air_time() -> None:
    short, long = (_legs("local", air, circuits=0, climb_ft=2000)[2] for air in (20, 35))
    assert long - short == pytest.approx(15)
    assert _legs("local", 3, circuits=0, climb_ft=2000)[2] == 0


def test_feet_come_from_the_clock_or_from_the_highest_altitude() -> None:
    low, high = (_legs("local", air, circuits=0, level_min=12)[0] for air in (18, 26))
    assert high > low
    assert _legs("local", None, circuits=0, level_min=12, highest_ft=4000)[0] == pytest.approx(3.6)


def test_circuits_come_from_landings_or_from_the_clock() -> None:
    assert _legs("circuits", 33, landings=6)[1] == 6
    assert 4 < _legs("circuits", 33)[1] < 8
    assert _legs("circuits", None)[1] > 0
    assert _legs("local", 30, landings=3, climb_ft=2000, level_min=9)[1] == 2


def test_a_kind_is_guessed_from_the_legs() -> None:
    assert usual_kind(FlightFacts("F", 0, circuits=4)) == "circuits"
    assert usual_kind(FlightFacts("F", 0, place_from="A", place_to="B")) == "cross-country"
    assert usual_kind(FlightFacts("F", 0, climb_ft=2000)) == "local"
    assert usual_kind(FlightFacts("F", 0, kind="ferry", circuits=3)) == "ferry"


def test_air_time_from_blocks_counts_as_less_sure() -> None:
    reader = Reader(HANDBOOK)
    known = FlightFacts("F", 0, 7, 32, 36, "local", 0, 2000, level_min=12)
    sure, unsure = reader.read(known), reader.read(known._replace(takeoff=None, landing=None))
    assert unsure.air_min == pytest.approx(25)
    assert unsure.time_sd > sure.time_sd
    assert abs(unsure.amounts.unexplained_min) < abs(sure.amounts.unexplained_min)
    assert reader.read(known._replace(takeoff=None, landing=None, on_blocks=None)).air_min is None


def test_a_landing_typed_twenty_minutes_early_is_not_believed() -> None:
    reader = Reader(HANDBOOK)
    good = FlightFacts("F", 60, 67, 92, 96, "local", 0, 2000, level_min=12)
    for _ in range(10):
        reader.learn(good, reader.read(good))
    wrong = reader.read(good._replace(landing=72))
    assert wrong.air_min == pytest.approx(25, abs=1)
    assert not wrong.complete
    assert reader.read(good).complete


def test_ten_times_the_feet_is_put_right_for_the_estimate() -> None:
    legs = legs_of(FlightFacts("F", 0, circuits=0, climb_ft=22_000, level_min=12), "local", 24, 0.0, USUAL)
    clock = USUAL[0]
    late = 24 - 12 - clock.expected(clock.terms(22, 0, 0, circuit_flight=False))
    found = repair(legs, clock, late, 2.0, circuit_flight=False)
    assert found is not None
    assert found.field == "climb_ft"
    assert found.applied(legs).kft == pytest.approx(2.2, abs=1.2)
    assert repair(legs._replace(kft=0, level_min=0), clock, -20, 2.0, circuit_flight=False) is None


def test_a_wider_answer_for_less_information() -> None:
    full = history(SEEDS[0])
    bare = tuple(
        flight._replace(
            takeoff=None,
            landing=None,
            climb_ft=None,
            level_min=None,
            circuits=None,
            highest_ft=None,
            landings=None,
        )
        for flight in full.flights
    )
    rows = [row for row in estimate(full._replace(flights=bare)).hindcasts().rows if row.flight_id > "F00408"]
    complete = [row for row in estimate(full).hindcasts().rows if row.flight_id > "F00408"]
    assert score(rows).mean_width_pct > 1.3 * score(complete).mean_width_pct
    assert score(rows).inside_90 > 0.85
    assert score(rows).mae_pct < 5


def test_persons_aboard_stand_in_for_mass() -> None:
    reader = Reader(HANDBOOK)
    one, two = (reader.mass(None, None, aboard)[0] for aboard in (1, 2))
    assert two - one > 0.1
    for _ in range(5):
        reader.habits.learn_mass("Ada", 1, 560)
    assert reader.mass(None, "Ada", 1)[0] == pytest.approx(-0.1, abs=0.02)
    assert reader.mass(1e9, "Ada", 1)[0] == pytest.approx(-0.1, abs=0.02)
    unknown = Reader(AircraftFacts("X"))
    assert unknown.mass(None, None, None) == (0.0, 0.06)
    assert unknown.mass(None, None, 2)[0] > unknown.mass(None, None, 1)[0]


def test_an_aeroplane_with_one_pack_or_none_is_answered() -> None:
    single = Estimator(HANDBOOK._replace(positions=("only",)))
    assert single.forecast(Demand(circuits=4), [PackStart("A", "only")])[0].mid < 100
    assert Estimator(AircraftFacts("X")).hindcasts().rows == ()


def test_the_air_of_the_day_is_left_alone_until_it_proves_itself() -> None:
    same, other = Today(), Today()
    for day in range(200):
        for flight in range(2):
            same.learn(day * 1440 + 120 * flight, 1.0 if day % 2 else -1.0)
            other.learn(day * 1440 + 120 * flight, 1.0 if (day + flight) % 2 else -1.0)
    same.learn(10_000_000, 1.0)
    other.learn(10_000_000, 1.0)
    assert same.expected(10_000_120) > 0.2
    assert other.expected(10_000_120) == 0
    assert same.expected(10_001_440) == 0
