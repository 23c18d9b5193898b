"""The line of each pack, its gaps, and the time it spends at each charge."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.energy.ledger import Band, find_gaps, gaps_of_pack, last_known, steps
from logbook.energy.ledger_events import (
    CHARGE_END,
    CHARGE_START,
    DEPARTURE,
    LANDING,
    OBSERVED,
    Event,
    in_order,
    lines_of,
)
from logbook.energy.record import ChargeFacts, FlightFacts, ReadingFacts
from logbook.energy.time_at_charge import parked_above, since_full_charge, time_at_charge

DAY = 1440


def flight(start: int, soc: float | None, end_soc: float | None, name: str, minutes: int = 40) -> list[Event]:
    return [
        Event(start, DEPARTURE, soc, name, "read" if soc is not None else "not-read"),
        Event(start + minutes, LANDING, end_soc, name, "read" if end_soc is not None else "not-read"),
    ]


def charge(start: int, soc: float | None, end_soc: float | None, name: str, minutes: int = 60) -> list[Event]:
    return [Event(start, CHARGE_START, soc, name), Event(start + minutes, CHARGE_END, end_soc, name)]


def test_a_line_in_which_all_is_written_down_has_no_gap() -> None:
    line = [*flight(0, 100, 45, "F1"), *charge(60, 45, 100, "C1"), *flight(DAY, 99, 60, "F2")]
    assert find_gaps({"P1": line}) == []
    assert [step.kind for step in steps(line)] == ["flight", "standing", "charge", "standing", "flight"]


def test_a_missing_charge_is_named_with_its_amount_and_its_place() -> None:
    line = [*flight(0, 100, 45, "F1"), *flight(DAY, 98, 60, "F2")]
    (gap,) = find_gaps({"P1": line})
    assert gap.amount_pct == 53
    assert (gap.before.record_id, gap.after.record_id) == ("F1", "F2")
    assert gap.cause == "charge missing"
    assert "a charge was probably not written down" in gap.words


def test_a_missing_flight_is_named() -> None:
    line = [*charge(0, 40, 100, "C1"), *charge(DAY, 62, 100, "C2")]
    (gap,) = find_gaps({"P1": line})
    assert (gap.amount_pct, gap.cause) == (-38, "flight missing")


def test_a_reading_that_was_not_made_is_no_gap() -> None:
    line = [*flight(0, 100, None, "F1"), *charge(100, 47, 100, "C1"), *flight(DAY, None, None, "F2")]
    line += charge(DAY + 100, 40, 90, "C2")
    assert find_gaps({"P1": line}) == []
    assert "not read" in [step.kind for step in steps(line)]


def test_an_unread_flight_cannot_hide_that_the_charge_rose() -> None:
    line = [*flight(0, 100, 40, "F1"), *flight(DAY, None, None, "F2"), *flight(2 * DAY, 95, 60, "F3")]
    (gap,) = find_gaps({"P1": line})
    assert (gap.amount_pct, gap.cause) == (55, "charge missing")


def test_an_unread_end_of_a_charge_explains_a_rise() -> None:
    line = [*flight(0, 100, 40, "F1"), *charge(100, 40, None, "C1"), *flight(DAY, 100, 60, "F2")]
    assert find_gaps({"P1": line}) == []


@pytest.mark.parametrize(("next_start", "gaps"), [(46, 0), (47, 0), (48, 1), (42, 1), (43, 0)])
def test_from_landing_into_charging_two_points_are_allowed(next_start: float, gaps: int) -> None:
    line = [*flight(0, 100, 45, "F1"), *charge(41, next_start, 100, "C1")]
    assert len(find_gaps({"P1": line})) == gaps


def test_standing_long_may_lower_the_charge_but_never_raise_it() -> None:
    fell = [*charge(0, 40, 100, "C1"), *flight(30 * DAY, 92, 50, "F1")]
    rose = [*charge(0, 40, 92, "C1"), *flight(30 * DAY, 100, 50, "F1")]
    assert find_gaps({"P1": fell}) == []
    assert len(find_gaps({"P1": rose})) == 1


def test_the_band_can_be_set() -> None:
    line = [*charge(0, 40, 100, "C1"), *flight(100, 95, 50, "F1")]
    assert len(find_gaps({"P1": line}, Band(points=3))) == 1
    assert find_gaps({"P1": line}, Band(points=6)) == []


def test_readings_of_two_packs_in_each_others_place_are_found() -> None:
    left = [*flight(0, 100, 40, "F1"), *charge(60, 55, 100, "C1")]
    right = [*flight(0, 100, 55, "F1"), *charge(60, 40, 100, "C1")]
    gaps = find_gaps({"left": left, "right": right})
    assert [gap.cause for gap in gaps] == ["exchanged", "exchanged"]
    assert "The landing charges of left and right look exchanged" in gaps[0].words


def test_two_packs_with_a_charge_missing_are_not_called_exchanged() -> None:
    left = [*flight(0, 100, 40, "F1"), *flight(DAY, 100, 50, "F2")]
    right = [*flight(0, 100, 44, "F1"), *flight(DAY, 100, 52, "F2")]
    assert {gap.cause for gap in find_gaps({"left": left, "right": right})} == {"charge missing"}


def test_exchanged_departure_charges_are_found() -> None:
    left = [*charge(0, 40, 100, "C1"), *flight(DAY, 85, 45, "F1")]
    right = [*charge(0, 40, 85, "C1"), *flight(DAY, 100, 50, "F1")]
    gaps = find_gaps({"left": left, "right": right})
    assert {gap.cause for gap in gaps} == {"exchanged"}


def test_digits_in_the_wrong_order_are_called_mistyped() -> None:
    line = [*flight(0, 100, 54, "F1"), *charge(60, 45, 100, "C1")]
    (gap,) = find_gaps({"P1": line})
    assert gap.cause == "mistyped"
    assert "digits exchanged" in gap.words


def test_one_reading_that_does_not_fit_its_neighbours_is_called_mistyped() -> None:
    line = [*charge(0, 40, 90, "C1"), Event(500, OBSERVED, 60, "O1"), *flight(DAY, 90, 45, "F1")]
    gaps = find_gaps({"P1": line})
    assert [gap.cause for gap in gaps] == ["mistyped", "mistyped"]


def test_a_record_without_which_the_line_closes_may_belong_to_another_pack() -> None:
    line = [*charge(0, 40, 100, "C1"), *flight(500, 80, 50, "F1"), *flight(DAY, 100, 60, "F2")]
    assert [gap.cause for gap in find_gaps({"P1": line})] == ["wrong pack", "wrong pack"]


def test_records_that_overlap_are_called_so() -> None:
    line = [*flight(0, 100, 60, "F1", minutes=60), *charge(30, 45, 100, "C1")]
    assert {gap.cause for gap in find_gaps({"P1": line})} == {"overlap"}


def test_a_charge_that_ends_as_the_flight_begins_comes_first() -> None:
    out_of_order = [*flight(60, 100, 50, "F1"), *charge(0, 40, 100, "C1")]
    assert [event.what for event in in_order(out_of_order)] == [CHARGE_START, CHARGE_END, DEPARTURE, LANDING]
    of_no_length = [
        Event(5, LANDING, 90, "F1"),
        Event(5, DEPARTURE, 91, "F1"),
        Event(5, CHARGE_END, 91, "C0"),
    ]
    assert [event.record_id for event in in_order(of_no_length)] == ["C0", "F1", "F1"]


def test_a_flight_and_a_charge_with_the_same_id_are_not_one_record() -> None:
    line = in_order([*charge(40, 45, 100, "1"), *flight(0, 100, 45, "1"), *flight(200, 60, 50, "2")])
    assert [event.what for event in line[:4]] == [DEPARTURE, LANDING, CHARGE_START, CHARGE_END]
    assert [step.kind for step in steps(line)] == ["flight", "standing", "charge", "standing", "flight"]
    assert len(find_gaps({"P1": line})) == 1


def test_a_reading_from_memory_is_allowed_to_be_further_off() -> None:
    exact = [*charge(0, 40, 100, "C1"), Event(100, DEPARTURE, 93, "F1")]
    remembered = [*charge(0, 40, 100, "C1"), Event(100, DEPARTURE, 93, "F1", "remembered")]
    assert len(find_gaps({"P1": exact})) == 1
    assert find_gaps({"P1": remembered}) == []


def test_the_next_reading_is_expected_where_the_last_known_one_was() -> None:
    line = [*flight(0, 100, 45, "F1"), *charge(60, 45, 100, "C1"), *flight(DAY, None, None, "F2")]
    assert last_known(line) == line[3]
    assert last_known(line, at=50) == line[1]
    assert last_known([]) is None


def test_lines_are_drawn_from_flights_and_charges() -> None:
    readings = (ReadingFacts("P1", None, 100, 45), ReadingFacts("P2", None, 100, 44, counts=False))
    flights = [FlightFacts("F1", off_blocks=0, on_blocks=50, readings=readings)]
    charges = [ChargeFacts("C1", "P1", started=60, soc_start_pct=45, soc_end_pct=100)]
    lines = lines_of(flights, charges)
    assert [event.soc_pct for event in lines["P1"]] == [100, 45, 45, 100]
    assert {event.source for event in lines["P2"]} == {"remembered"}


socs = st.integers(0, 100) | st.none()


@given(st.lists(st.tuples(socs, socs), max_size=30))
def test_changes_of_all_steps_add_up_to_the_whole_change(pairs: list[tuple[int | None, int | None]]) -> None:
    line = [e for i, (a, b) in enumerate(pairs) for e in flight(i * 100, a, b, f"F{i}")]
    known = [event.soc_pct for event in line if event.soc_pct is not None]
    assert sum(step.change_pct for step in steps(line)) == (known[-1] - known[0] if known else 0)


@given(st.lists(st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=1, max_size=30))
def test_a_line_whose_records_join_never_has_a_gap(pairs: list[tuple[int, int]]) -> None:
    line, soc = [], 50
    for i, (a, _) in enumerate(pairs):
        line += flight(i * 100, soc, a, f"F{i}")
        soc = a
    assert gaps_of_pack("P1", line) == []


def test_time_above_and_below_is_weighed_by_the_clock() -> None:
    # Ten days full, a charge-free flight to 10 % in one hour, then five days empty.
    line = [*charge(-60, 100, 100, "C1"), *flight(10 * DAY, 100, 10, "F1", minutes=60)]
    days = time_at_charge(line, now=15 * DAY + 60)
    assert days.above_days == pytest.approx(10 + 60 / DAY + (60 / 9) / DAY)
    assert days.below_days == pytest.approx(5 + (60 / 9) / DAY)
    assert days.known_days == pytest.approx(15 + 120 / DAY)


def test_before_the_first_reading_nothing_is_said_about_time_at_charge() -> None:
    assert time_at_charge([], now=DAY).known_days == 0
    assert time_at_charge(flight(0, None, None, "F1"), now=DAY).known_days == 0


def test_time_at_charge_up_to_a_moment_inside_a_flight() -> None:
    line = flight(0, 100, 0, "F1", minutes=100)
    assert time_at_charge(line, now=5).above_days == pytest.approx(5 / DAY)
    assert time_at_charge(line, now=50).above_days == pytest.approx(10 / DAY)


def test_a_pack_left_full_is_counted_in_days_until_it_is_used() -> None:
    line = [*charge(0, 40, 100, "C1", minutes=60), Event(5 * DAY, OBSERVED, 98, "O1")]
    assert parked_above(line, now=60 + 10 * DAY, storage_pct=60) == pytest.approx(10)
    assert parked_above([*line, *flight(11 * DAY, 98, 50, "F1")], now=20 * DAY, storage_pct=60) == 0
    assert parked_above([*line, Event(11 * DAY, DEPARTURE, 98, "F1")], now=11 * DAY + 5, storage_pct=60) == 0


def test_days_and_cycles_since_the_last_full_charge() -> None:
    line = [*charge(0, 40, 100, "C1"), *flight(DAY, 100, 40, "F1"), *charge(DAY + 100, 40, 80, "C2")]
    since = since_full_charge(line, now=60 + 3 * DAY)
    assert (since.at, since.days) == (60, 3)
    assert since.cycles == pytest.approx(0.6)
    assert since_full_charge(line, now=3 * DAY, balancing=frozenset()).at is None


def test_each_gap_of_a_hundred_thousand_flights_is_found() -> None:
    lines = {}
    for pack in range(20):
        line = []
        for i in range(5000):
            soc = 40 + (i + pack) % 20
            line += flight(i * DAY, 100, soc, f"F{i}")
            line += charge(i * DAY + 60, soc if i % 50 else soc + 15, 100, f"C{i}")
        lines[f"P{pack}"] = line
    assert len(find_gaps(lines)) == 20 * 100
