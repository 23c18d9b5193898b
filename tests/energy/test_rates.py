from logbook.energy.estimator import estimate
from logbook.energy.record import AircraftFacts, AircraftHistory, FlightFacts, PackFacts, ReadingFacts
from tests.energy.worlds import FLIGHTS, SEEDS, estimator, history


def test_each_rate_has_handbook_interval_unit_and_count() -> None:
    found = estimator(SEEDS[0]).rates()
    assert [rate.name for rate in found.rates] == ["ground", "climb", "level", "circuit", "departure"]
    for rate in found.rates:
        assert rate.handbook is not None
        assert 0 < rate.observed.low < rate.observed.mid < rate.observed.high
        assert 0 < rate.observed.n <= FLIGHTS
        assert rate.unit
    assert found.flights == FLIGHTS
    assert {"circuits", "local", "cross-country"} <= set(found.scatter_pct)
    assert 1 < found.scatter_pct["circuits"] < 10


def test_more_mass_costs_more_and_students_cost_more_than_instructors() -> None:
    for seed in SEEDS:
        found = estimator(seed).rates()
        climbing = next(effect for effect in found.effects if effect.name == "mass, climbing")
        assert climbing.percent.low > 0.3
        people = {effect.name: effect.percent.mid for effect in found.people}
        teachers, students = (
            ("Otto Velmar", "Ines Korda"),
            ("Jun Parel", "Mira Solt", "Teo Lund", "Lea Quist"),
        )
        assert sum(people[n] for n in teachers) / 2 < sum(people[n] for n in students) / 4
        assert all(effect.percent.low < effect.percent.mid < effect.percent.high for effect in found.people)


def test_a_rate_of_nought_drops_its_term_and_a_missing_one_is_said() -> None:
    found = estimate(
        AircraftHistory(AircraftFacts("X", ("a",), 0.0, None, 0.4, 1.8, 0.0), (PackFacts("P", 12),))
    ).rates()
    by_name = {rate.name: rate for rate in found.rates}
    assert by_name["ground"].observed[:3] == (0, 0, 0)
    assert by_name["climb"].observed.high > 2 * by_name["climb"].observed.low
    assert any("climb" in reason for reason in found.why)


def test_lasting_change_is_noticed_and_learned_within_fifty_flights() -> None:
    full = history(SEEDS[0])

    def draggier(flight: FlightFacts) -> FlightFacts:
        def more(reading: ReadingFacts) -> ReadingFacts:
            start, end = reading.soc_departure_pct or 0, reading.soc_landing_pct or 0
            return reading._replace(soc_landing_pct=max(round(start - 1.12 * (start - end)), 0))

        return flight._replace(readings=tuple(more(reading) for reading in flight.readings))

    # charges are left out: their start would contradict the landing charges made here
    flights = full.flights[:300] + tuple(draggier(flight) for flight in full.flights[300:370])
    found = estimate(full._replace(flights=flights, charges=()))
    rows = [row for row in found.hindcasts().rows if row.flight_id > "F00350"]
    assert abs(sum(row.actual - row.mid for row in rows) / len(rows)) < 1.5
    assert found.filter.changed_at is not None
    assert 300 < found.filter.changed_at < 340
    assert found.rates().changed is (found.filter.flights - found.filter.changed_at < 50)


def test_flights_without_any_charge_read_are_no_observations_of_energy() -> None:
    aircraft = AircraftFacts("X-BARE", (), 0.3, 1.4, 0.35, 1.6, 0.5, 600, 420, 500, 21)
    flown = [
        FlightFacts(f"F{n}", 1440 * n, 1440 * n + 6, 1440 * n + 30, 1440 * n + 34, "circuits", 4)
        for n in range(40)
    ]
    bare = estimate(AircraftHistory(aircraft, (), tuple(flown)))
    found = bare.rates()
    assert found.flights == 0
    assert {rate.observed.n for rate in found.rates} == {0}
    assert {effect.percent.n for effect in found.effects} == {0}
    assert {rate.observed.how for rate in found.rates} == {"the handbook alone"}
    assert "40 of 40 flights have no charge after landing" in " ".join(found.why)
    read = tuple(flight._replace(readings=(ReadingFacts("P", None, 90.0, 60.0),)) for flight in flown[:5])
    some = estimate(AircraftHistory(aircraft, (PackFacts("P", 24.0),), (*read, *flown[5:]))).rates()
    assert some.flights == 5
    assert {rate.name: rate.observed.n for rate in some.rates} == {
        "ground": 5, "climb": 0, "level": 0, "circuit": 5, "departure": 0,
    }  # fmt: skip
