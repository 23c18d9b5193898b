"""What a pilot reads who knows one charge for the whole aeroplane: no pack is named, nothing unknown is a figure."""

from io import StringIO

import pytest

from logbook.errors import DataRefused
from logbook.reports.plan_page import plan_paper
from logbook.reports.plan_text import write_plan
from logbook.services.find_flights import words_of_totals
from logbook.services.first_start import save_first
from logbook.services.flight_form import Choice, form_for
from logbook.services.plan import plan_flight
from logbook.services.typed_time import Clock
from logbook.store.flights import FlightFilter, Flights
from tests import club
from tests.club import WATT, flight_at, put, reading

LOAN = "X-LOAN"


@pytest.fixture
def loan(book):
    put(book, "aircraft", club.aircraft(LOAN))
    for day in (1, 2, 3):
        put(book, "flight", flight_at(8, f"{LOAN}{day}", f"2031-05-0{day}", aircraft=LOAN, readings=[reading(None)]))  # fmt: skip
    return book


def planned(book, aircraft, packs):
    plan = {"aircraft": aircraft, "packs": packs, "legs": [{"kind": "level", "minutes": 10}]}
    return plan, plan_flight(book, plan, clock=lambda: club.NOW).to_json()


@pytest.mark.parametrize(
    ("aircraft", "packs", "weaker"),
    [
        (LOAN, [{"soc_departure_pct": 90}], False),
        (WATT, [{"serial_no": name, "soc_departure_pct": 90} for name in (club.P1, club.P2)], True),
    ],
)
def test_a_plan_speaks_of_the_weaker_pack_only_where_packs_are_told_apart(loan, aircraft, packs, weaker):
    plan, answer = planned(loan, aircraft, packs)
    stream = StringIO()
    write_plan(stream, "A plan", answer)
    page = plan_paper("A plan", club.NOW, plan, answer)
    headings = " ".join(str(block) for block in page.blocks)
    for text in (stream.getvalue(), headings):
        assert ("weaker pack" in text) == weaker
        assert ("of each pack" in text) == weaker
        assert ("Leg by leg, one gauge" in text) != weaker


def test_the_own_estimate_is_asked_for_the_gauge_where_there_is_one(loan):
    hints = {}
    for aircraft in (LOAN, WATT):
        form = form_for(loan, Choice(aircraft, Clock("2031-05-20", "UTC", "UTC")), now=club.NOW)
        hints[aircraft] = next(one.hint for one in form.fields if one.name == "pilot_estimate_soc_pct")
    assert "on the gauge" in hints[LOAN]
    assert "of the weaker pack" in hints[WATT]


def test_energy_that_no_flight_knows_is_not_told_as_none_used(loan):
    def words():
        return words_of_totals(Flights(loan).totals(FlightFilter()))

    assert "energy not known" in words()
    assert "kWh" not in words()
    put(loan, "flight", flight_at(12, "known"))
    assert " kWh" in words()


def test_a_nominal_capacity_with_nothing_to_keep_it_with_is_refused_not_dropped(book):
    asked = {"registration": "X-NEW", "positions": ["packs"], "nominal_kwh": 11.0}
    with pytest.raises(DataRefused, match="neither is given") as refused:
        save_first(book, asked, club.NOW)
    assert refused.value.field == "nominal_kwh"
    assert "learnt from flights" in (refused.value.next_step or "")
    assert save_first(book, asked | {"part_no": "PK-NEW"}, club.NOW) == "X-NEW"


@pytest.mark.parametrize(("serial", "whose"), [(None, "the whole aeroplane"), (club.P1, "a pack")])
def test_two_readings_of_the_same_are_refused_by_the_name_of_what_was_read(book, serial, whose):
    with pytest.raises(DataRefused, match=f"{whose} has two readings"):
        put(book, "flight", flight_at(8, "twice", readings=[reading(serial), reading(serial)]))
