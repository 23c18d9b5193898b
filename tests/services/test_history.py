"""What the estimates read of the record: facts as recorded, nothing copied, nothing that was not really read."""

from __future__ import annotations

import pytest

from logbook.energy.record import WHOLE
from logbook.errors import DataRefused
from logbook.services.correct import strike
from logbook.services.history import history_of
from logbook.services.questions import list_records
from logbook.store.flights import FlightFilter
from logbook.units import minutes_of
from tests import club
from tests.club import ADA, BEN, P1, P2, P3, charge, flight, flight_at, put, reading


def facts(book, registration=club.WATT):
    return history_of(book, registration)


def test_the_facts_of_a_flight_are_those_recorded(book):
    whole = flight(
        handled_by=BEN,
        circuits=3,
        highest_ft=2500,
        level_kw=21,
        mass_kg=590,
        aboard=2,
        outside_temp_c=-5,
        wind_dir=270,
        wind_kt=12,
        landings_day=3,
        landings_night=1,
    )
    put(book, "flight", whole)
    (found,) = facts(book).flights
    assert found.flight_id == "F1"
    assert [found.off_blocks, found.takeoff, found.landing, found.on_blocks] == [
        minutes_of(f"2031-05-09T{clock}Z") for clock in ("08:30", "08:36", "09:06", "09:10")
    ]
    assert (found.kind, found.circuits, found.climb_ft, found.highest_ft) == ("local", 3, 2000, 2500)
    assert (found.level_min, found.level_kw, found.mass_kg, found.aboard) == (20, 21, 590, 2)
    assert (found.handler, found.landings) == (BEN, 4)
    assert (found.outside_temp_c, found.wind_dir, found.wind_kt) == (-5, 270, 12)
    assert (found.place_from, found.place_to) == (club.FIELD, club.FIELD)
    one, two = found.readings
    assert (one.serial_no, one.position, two.serial_no, two.position) == (P1, "front", P2, "rear")
    assert (one.soc_departure_pct, one.soc_landing_pct, one.soh_pct, one.temp_departure_c) == (90, 60, 98, 20)
    assert one.counts


def test_effects_follow_who_handled_it_else_the_pilot(book):
    put(book, "flight", [flight_at(8, "F1"), flight_at(9, "F2", handled_by=BEN)])
    assert [found.handler for found in facts(book).flights] == [ADA, BEN]


@pytest.mark.parametrize(
    ("source", "counts"),
    [("read", True), ("confirmed", True), ("recorder", True), ("remembered", False), ("not-read", False)],
)
def test_only_what_was_really_read_feeds_the_estimates(book, source, counts):
    put(book, "flight", flight(readings=[reading(P1, source=source), reading(P2)]))
    one, two = facts(book).flights[0].readings
    assert (one.counts, two.counts) == (counts, True)


def test_one_figure_for_the_whole_aeroplane_stays_one_and_names_the_packs_it_shows(book):
    put(book, "flight", flight(readings=[reading(None)]))
    (found,) = facts(book).flights
    (one,) = found.readings
    assert (one.serial_no, one.position, one.packs, one.counts) == (WHOLE, None, (P1, P2), True)
    assert (one.soc_departure_pct, one.soc_landing_pct) == (90, 60)


def test_with_a_position_empty_in_the_book_nobody_knows_what_one_gauge_shows(book):
    put(book, "flight", flight(aircraft=club.VOLT, readings=[reading(None)]))
    fitted = [
        row for row in list_records(book, "installation", FlightFilter()) if row["serial_no"] == club.P4
    ]
    strike(book, "installation", fitted[0]["installation_id"], why="it was never there")
    record = facts(book, club.VOLT)
    assert record.flights[0].readings[0].packs == ()
    assert WHOLE in [pack.serial_no for pack in record.packs]


def test_beside_packs_that_were_read_one_figure_for_all_teaches_nothing(book):
    put(book, "flight", flight(readings=[reading(None), reading(P1)]))
    counts = {one.serial_no: one.counts for one in facts(book).flights[0].readings}
    assert counts == {WHOLE: False, P1: True}


@pytest.mark.parametrize("outcome", ["ground-run", "aborted", "rejected", "device"])
def test_what_was_not_flown_is_no_flight_to_learn_from(book, outcome):
    put(book, "flight", flight(outcome=outcome))
    assert facts(book).flights == ()


def test_an_open_flight_and_a_struck_one_are_not_learned_from(book):
    open_flight = flight_at(8, "F1", state="open")
    open_flight.pop("on_blocks")
    put(book, "flight", [open_flight, flight_at(10, "F2"), flight_at(12, "F3")])
    strike(book, "flight", "F2", why="twice")
    assert [found.flight_id for found in facts(book).flights] == ["F3"]


def test_a_charge_has_one_row_for_each_pack_with_the_shared_meter_as_it_was_read(book):
    rows = [charge("C1", pack, "2031-05-09T10:00Z", shared_energy_kwh=9.5) for pack in (P1, P2)]
    put(book, "charge", [*rows, charge("C2", P3, "2031-05-09T10:00Z", energy_kwh=3)])
    found = facts(book).charges
    assert [(c.charge_id, c.serial_no, c.shared_energy_kwh, c.energy_kwh) for c in found] == [
        ("C1", P1, 9.5, None),
        ("C1", P2, 9.5, None),
    ]
    assert [(c.charge_id, c.energy_kwh) for c in facts(book, club.VOLT).charges] == [("C2", 3)]


def test_impossible_figures_count_as_unknown(book):
    put(book, "flight", flight(climb_ft=-100, mass_kg=0, wind_kt=-3))
    (found,) = facts(book).flights
    assert (found.climb_ft, found.mass_kg, found.wind_kt) == (None, None, None)


def test_a_pack_carries_its_own_figures_before_those_of_its_type(book):
    put(book, "pack", club.pack("OWN", nominal_kwh=10))
    put(book, "flight", flight(readings=[reading(P1), reading("OWN")]))
    packs = {pack.serial_no: pack for pack in facts(book).packs}
    assert (packs["OWN"].nominal_kwh, packs["OWN"].soh_zero_fraction) == (10, 0.7)
    assert packs[P1].nominal_kwh == 12


def test_a_pack_that_moved_is_known_where_it_was_on_each_flight(book):
    from logbook.services.correct import correct
    from logbook.services.questions import list_records
    from logbook.store.flights import FlightFilter

    fitting = next(list_records(book, "installations", FlightFilter(pack=P1)))
    correct(book, "installation", fitting["installation_id"], {"removed": "2031-05-10T08:00Z"})
    put(book, "installation", club.fitting(P1, "belly", fitted="2031-05-10T08:00Z"))
    put(book, "flight", [flight_at(8, "F1"), flight_at(8, "F2", day="2031-05-10")])
    assert [found.readings[0].position for found in facts(book).flights] == ["front", "belly"]


def test_checks_and_baseline_breaks_are_there(book):
    put(book, "capacity-check", {"serial_no": P1, "at": "2031-05-10T10:00Z", "kwh": 11.5, "power_kw": 4})
    put(book, "observation", {"serial_no": P1, "at": "2031-05-11T10:00Z", "baseline_break": "repair"})
    put(book, "observation", {"serial_no": P2, "at": "2031-05-11T10:00Z", "soh_pct": 97})
    found = facts(book)
    assert [(c.serial_no, c.kwh, c.power_kw) for c in found.checks] == [(P1, 11.5, 4)]
    assert [(b.serial_no, b.what) for b in found.breaks] == [(P1, "repair")]


def test_an_unknown_aeroplane_has_no_history(book):
    with pytest.raises(DataRefused, match="X-NONE"):
        facts(book, "X-NONE")


def test_an_aeroplane_without_flights_has_its_packs_and_nothing_else(book):
    found = facts(book)
    assert [pack.serial_no for pack in found.packs] == [P1, P2]
    assert (found.flights, found.charges, found.checks, found.breaks) == ((), (), (), ())
