"""Wrong entries: planted ones are named, sound ones left alone."""

from logbook.energy.estimator import estimate
from logbook.energy.record import ReadingFacts
from logbook.energy.suspects import Suspect
from tests.energy.worlds import FLIGHTS, SEEDS, estimator, history, world


def _named(seed: int) -> dict[str, Suspect]:
    found: dict[str, Suspect] = {}
    for suspect in estimator(seed).hindcasts().suspects:
        found.setdefault(suspect.flight_id, suspect)
    return found


def test_nine_in_ten_planted_entries_are_named_with_their_field() -> None:
    planted = [(seed, row) for seed in SEEDS for row in world(seed).mistakes]
    hits = [
        (row, _named(seed)[row["flight_id"]]) for seed, row in planted if row["flight_id"] in _named(seed)
    ]
    assert len(planted) >= 20
    assert len(hits) >= 0.9 * len(planted)
    assert sum(suspect.field == row["field"] for row, suspect in hits) >= 0.85 * len(hits)


def test_at_most_one_false_alarm_in_300_flights() -> None:
    false = sum(len(set(_named(seed)) - {row["flight_id"] for row in world(seed).mistakes}) for seed in SEEDS)
    assert false <= len(SEEDS) * FLIGHTS / 300


def _with_landing(seed: int, number: int, charges: dict[str, float]) -> list[Suspect]:
    full = history(seed)
    flights = list(full.flights)
    flight = flights[number]

    def changed(reading: ReadingFacts) -> ReadingFacts:
        return reading._replace(soc_landing_pct=charges.get(reading.serial_no, reading.soc_landing_pct))

    flights[number] = flight._replace(readings=tuple(changed(reading) for reading in flight.readings))
    found = estimate(full._replace(flights=tuple(flights))).hindcasts().suspects
    return [suspect for suspect in found if suspect.flight_id == flight.flight_id]


def _unplanted(seed: int, apart: float) -> int:
    """A sound flight late in the record whose packs landed with charges so far apart."""
    wrong = {row["flight_id"] for row in world(seed).mistakes}
    for number, flight in enumerate(history(seed).flights):
        a, b = (reading.soc_landing_pct or 0 for reading in flight.readings)
        if number > 300 and flight.flight_id not in wrong and apart <= abs(a - b) <= apart + 3:
            return number
    raise AssertionError("no such flight in this world")


def test_exchanged_landing_charges_are_both_named() -> None:
    for seed in SEEDS:
        number = _unplanted(seed, 3)
        first, second = history(seed).flights[number].readings
        swapped = {first.serial_no: second.soc_landing_pct, second.serial_no: first.soc_landing_pct}
        found = _with_landing(
            seed, number, {key: value for key, value in swapped.items() if value is not None}
        )
        assert {(s.serial_no, s.field) for s in found} == {(p, "soc_landing_pct") for p in swapped}
        for suspect in found:
            right = next(r.soc_landing_pct for r in (first, second) if r.serial_no == suspect.serial_no)
            assert right is not None
            assert abs(suspect.fits - right) <= 1.5


def test_swapped_digits_are_named_with_the_value_that_fits() -> None:
    number = next(
        n for n, flight in enumerate(history(SEEDS[0]).flights)
        if n > 200 and flight.readings[0].soc_landing_pct in (37, 38, 47, 36)
        and flight.flight_id not in {row["flight_id"] for row in world(SEEDS[0]).mistakes}
    )  # fmt: skip
    reading = history(SEEDS[0]).flights[number].readings[0]
    right = int(reading.soc_landing_pct or 0)
    found = _with_landing(SEEDS[0], number, {reading.serial_no: 10 * (right % 10) + right // 10})
    assert [s.field for s in found] == ["soc_landing_pct"]
    assert abs(found[0].fits - right) <= 1.5
    assert found[0].z > 3.5
