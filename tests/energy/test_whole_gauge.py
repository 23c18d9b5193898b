"""One figure read for the whole aeroplane: what it teaches and how well it is forecast, beside packs read one by one.

The worlds are those of ``worlds.py`` (simulated, they tuned nothing); of every flight only the mean of the packs' gauges
is written down, in whole percent, as an aeroplane with a single gauge shows it.
"""

from functools import cache

import pytest

from logbook.energy.demand import Demand, PackStart
from logbook.energy.estimator import Estimator, estimate
from logbook.energy.hindcast import HindcastRow, score
from logbook.energy.record import (
    WHOLE,
    AircraftFacts,
    AircraftHistory,
    ChargeFacts,
    FlightFacts,
    PackFacts,
    ReadingFacts,
)
from tests.energy.worlds import FLIGHTS, SEEDS, estimator, history, world

KNOWN, UNKNOWN = "packs fitted in the book", "packs nobody wrote down"


def _mean(readings: tuple[ReadingFacts, ...], name: str) -> float | None:
    values = [getattr(reading, name) for reading in readings]
    return None if None in values else round(sum(values) / len(values))


def _as_one(flight: FlightFacts, told: str) -> FlightFacts:
    packs = tuple(reading.serial_no for reading in flight.readings) if told == KNOWN else ()
    figures = {
        name: _mean(flight.readings, name) for name in ("soc_departure_pct", "soc_landing_pct", "soh_pct")
    }
    counts = all(reading.counts for reading in flight.readings)
    return flight._replace(readings=(ReadingFacts(WHOLE, **figures, counts=counts, packs=packs),))


@cache
def _one_gauge(seed: int, told: str) -> Estimator:
    record = history(seed)
    flights = tuple(_as_one(flight, told) for flight in record.flights)
    if told == KNOWN:
        return estimate(record._replace(flights=flights))
    return estimate(AircraftHistory(record.aircraft, flights=flights))


def _late(rows: tuple[HindcastRow, ...]) -> list[HindcastRow]:
    wanted = {f"F{number:05d}" for number in range(int(0.6 * FLIGHTS) + 1, FLIGHTS + 1)}
    return [row for row in rows if row.flight_id in wanted]


@pytest.mark.parametrize("told", [KNOWN, UNKNOWN])
def test_every_figure_has_its_row_and_the_forecasts_meet_the_bar_of_packs_read_one_by_one(told: str) -> None:
    late: list[HindcastRow] = []
    for seed in SEEDS:
        rows = _one_gauge(seed, told).hindcasts().rows
        assert len(rows) == len(world(seed).readings) / 2
        assert {row.serial_no for row in rows} == {WHOLE}
        assert all(0 <= row.low <= row.mid <= row.high <= 100 for row in rows)
        late += _late(rows)
    found = score(late)
    assert found.mae_pct <= 2.1
    assert 0.86 <= found.inside_90 <= 0.93
    assert found.mean_width_pct <= 10
    assert abs(found.bias_pct) < 0.4
    assert found.mae_pct < 0.6 * found.average_mae_pct


def test_one_gauge_is_forecast_as_well_as_two() -> None:
    each = score([row for seed in SEEDS for row in _late(estimator(seed).hindcasts().rows)])
    one = score([row for seed in SEEDS for row in _late(_one_gauge(seed, KNOWN).hindcasts().rows)])
    assert one.mae_pct == pytest.approx(each.mae_pct, abs=0.15)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_sum_of_the_packs_is_known_better_than_each_of_them(seed: int) -> None:
    known = _one_gauge(seed, KNOWN)
    serials = [pack.serial_no for pack in history(seed).packs]
    together = known.capacity_together(serials).usable_kwh
    each = [known.capacity(serial).usable_kwh for serial in serials]
    assert together.mid == pytest.approx(sum(one.mid for one in each), rel=1e-9)
    assert together.high - together.low < sum(one.high - one.low for one in each)
    alone = [estimator(seed).capacity(serial).usable_kwh.mid for serial in serials]
    assert together.mid == pytest.approx(sum(alone), rel=0.04)


AEROPLANE = AircraftFacts("X-ONE", ("left", "right"), 0.4, 1.5, 0.45, 2.0, 0.8, 620, 450, 600, 27, 75, 30)
PACKS = (PackFacts("A", 13.0, 0.45, 1.0), PackFacts("B", 13.0, 0.45, 1.0))


def _flight(number: int, *readings: ReadingFacts) -> FlightFacts:
    off = 30_000_000 + 1440 * number
    times = {"takeoff": off + 5, "landing": off + 34, "on_blocks": off + 39}
    return FlightFacts(
        f"F{number}", off, **times, kind="local", climb_ft=2000, level_min=20, readings=readings
    )


def _whole(landing: float = 49, packs: tuple[str, ...] = ("A", "B"), counts: bool = True) -> ReadingFacts:
    return ReadingFacts(WHOLE, None, 98, landing, 95, counts=counts, packs=packs)


def _charge(number: int, *starts: tuple[str, float]) -> tuple[ChargeFacts, ...]:
    at = 30_000_000 + 1440 * number + 300
    return tuple(
        ChargeFacts(f"C{number}{serial}", serial, at, at + 90, soc_start_pct=soc, soc_end_pct=98)
        for serial, soc in starts
    )


def test_a_figure_of_all_moves_all_its_packs_alike() -> None:
    found = estimate(
        AircraftHistory(AEROPLANE, PACKS, tuple(_flight(number, _whole()) for number in range(20)))
    )
    one, two = (found.capacity(serial).usable_kwh for serial in ("A", "B"))
    assert one[:3] == pytest.approx(two[:3], rel=1e-9)
    assert found.rates().flights == 20
    (row,) = found.forecast(Demand(2000, 20), [PackStart(WHOLE, None, 98, packs=("A", "B"))])
    assert row.serial_no == WHOLE
    assert row.low < 49 < row.high


def test_it_teaches_nothing_where_it_does_not_count_and_is_forecast_all_the_same() -> None:
    """Beside two packs that were read, or remembered only: the same is known as without it."""
    alone = [ReadingFacts(serial, place, 98, 48, 95) for serial, place in (("A", "left"), ("B", "right"))]
    plain = estimate(AircraftHistory(AEROPLANE, PACKS, tuple(_flight(n, *alone) for n in range(15))))
    beside = estimate(
        AircraftHistory(
            AEROPLANE, PACKS, tuple(_flight(n, *alone, _whole(20, counts=False)) for n in range(15))
        )
    )
    assert beside.capacity("A").usable_kwh.mid == pytest.approx(plain.capacity("A").usable_kwh.mid, rel=0.02)
    assert beside.rates().rates[1].observed.mid == pytest.approx(
        plain.rates().rates[1].observed.mid, rel=0.02
    )
    rows = beside.hindcasts().rows
    assert [row.serial_no for row in rows[-3:]] == ["A", "B", WHOLE]
    assert rows[-1].mid == pytest.approx((rows[-3].mid + rows[-2].mid) / 2, abs=1)


def test_the_next_charge_of_all_its_packs_bears_witness_to_what_one_gauge_showed() -> None:
    flights = [_flight(number, _whole()) for number in range(30)]
    flights[25] = _flight(25, _whole(landing=94))
    charges = [row for number in range(30) for row in _charge(number, ("A", 48), ("B", 50))]
    found = estimate(AircraftHistory(AEROPLANE, PACKS, tuple(flights), tuple(charges)))
    (suspect,) = found.suspects()
    assert (suspect.flight_id, suspect.field, suspect.recorded, suspect.serial_no) == (
        "F25", "soc_landing_pct", 94, WHOLE,
    )  # fmt: skip
    assert suspect.fits == pytest.approx(49, abs=1)


def test_the_charge_of_one_pack_alone_says_nothing_of_the_one_gauge() -> None:
    """After it neither the flight's landing charge nor the next departure is doubted for the other's sake."""
    flights = tuple(_flight(number, _whole()) for number in range(30))
    charges = tuple(row for number in range(30) for row in _charge(number, ("A", 10)))
    found = estimate(AircraftHistory(AEROPLANE, PACKS, flights, charges))
    assert list(found.suspects()) == []
    assert score(found.hindcasts().rows[10:]).mae_pct < 1


def test_with_no_packs_in_the_book_the_flights_themselves_set_the_scale() -> None:
    """The handbook's energy, and what it took of the gauge, say what the packs hold."""
    flights = tuple(_flight(number, _whole(packs=())) for number in range(60))
    found = estimate(AircraftHistory(AEROPLANE, flights=flights))
    kwh = 0.4 + 2 * 1.5 + 20 * 0.45 + 0.8
    held = found.capacity(WHOLE).usable_kwh
    assert held.low < 100 * kwh / 49 < held.high
    assert score(found.hindcasts().rows[20:]).mae_pct < 1


def test_a_flight_that_took_no_charge_teaches_nothing_of_what_flying_costs() -> None:
    """90 % before, 90 % after, half an hour in the air: written down wrong, however often."""
    good = [_flight(number, _whole()) for number in range(6)]
    bad = [_flight(number, _whole(landing=98)) for number in range(6, 9)]
    plain = estimate(AircraftHistory(AEROPLANE, PACKS, tuple(good)))
    odd = estimate(AircraftHistory(AEROPLANE, PACKS, (*good, *bad)))
    demand, start = Demand(circuits=3, kind="circuits"), [PackStart(WHOLE, None, 98, packs=("A", "B"))]
    (before,), (after,) = (one.forecast(demand, start) for one in (plain, odd))
    assert after.low <= before.low + 0.5
    assert after.mid == pytest.approx(before.mid, abs=0.5)
    assert odd.rates().flights == 6
    assert len(odd.hindcasts().rows) == 9


def test_a_pack_far_off_the_one_gauge_twice_running_is_believed_and_breaks_nothing() -> None:
    """Whoever asks the estimate directly may count both; what is left out first opens the packs it is about."""
    alone = ReadingFacts("A", "left", 98, 80, 95)
    flights = [_flight(n, _whole()) for n in range(12)]
    flights += [_flight(n, alone, _whole(landing=20)) for n in range(12, 16)]
    found = estimate(AircraftHistory(AEROPLANE, PACKS, tuple(flights)))
    assert found.filter.left_out
    assert all(0 <= row.low <= row.mid <= row.high <= 100 for row in found.hindcasts().rows)
