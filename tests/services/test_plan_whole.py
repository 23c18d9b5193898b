"""Plans for an aeroplane whose charge is read as one figure, with its packs in the book and without."""

import pytest

from logbook.errors import DataRefused
from logbook.services.check import check
from logbook.services.correct import correct
from logbook.services.desk import Desk
from logbook.services.estimates import forecasts_of
from logbook.services.plan import keep_plan, plan_flight
from logbook.services.plan_form import CIRCUITS, plan_form
from logbook.services.plan_kept import review_of
from logbook.services.plan_typed import plan_of
from logbook.services.questions import show_flight
from tests import club
from tests.club import P1, WATT, flight_at, put, reading

LOAN = "X-LOAN"
"""An aeroplane of somebody else: its pilot sees one gauge and knows no serial numbers."""


@pytest.fixture
def loan(book):
    put(book, "aircraft", club.aircraft(LOAN))
    return book


def fly(book, aircraft, count=8, **changes):
    """Flights a day apart, each by one gauge."""
    for day in range(1, count + 1):
        put(book, "flight", flight_at(8, f"{aircraft}{day}", f"2031-05-{day:02d}", aircraft=aircraft, readings=[reading(None, **changes)]))  # fmt: skip


def asked(aircraft, *packs):
    plan = {
        "aircraft": aircraft,
        "legs": [{"kind": "climb", "climb_ft": 2000}, {"kind": "level", "minutes": 20}],
    }
    return plan | ({"packs": list(packs)} if packs else {})


def answered(book, aircraft, *packs):
    return plan_flight(book, asked(aircraft, *packs), clock=lambda: club.NOW).to_json()


@pytest.mark.parametrize("aircraft", [WATT, LOAN], ids=["packs in the book", "packs nobody wrote down"])
def test_one_charge_for_all_is_forecast_as_one(loan, aircraft):
    fly(loan, aircraft, 20, soc_landing_pct=44)
    found = answered(loan, aircraft, {"soc_departure_pct": 90})
    (pack,) = found["packs"]
    assert pack["serial_no"] == ""
    landing = pack["landing_soc_pct"]
    assert landing["low"] < 44 < landing["high"]
    assert landing["mid"] == pytest.approx(44, abs=2)
    assert "the whole aeroplane" in found["because"]
    assert found["minutes_left"]["mid"] > 0
    assert found["temperature"] == []
    assert (found["handbook"] == {}) == (
        aircraft == LOAN
    )  # no nominal capacity: the handbook knows no percent


def test_a_plan_that_says_nothing_of_packs_takes_them_as_they_were_last_read(book):
    fly(book, WATT)
    found = answered(book, WATT)
    assert [pack["serial_no"] for pack in found["packs"]] == [""]
    assert found["packs"][0]["soc_departure_pct"] == 60
    assert any("was not typed" in words and "the whole aeroplane" in words for words in found["cautions"])
    put(book, "flight", flight_at(8, "each", "2031-05-20"))
    assert [pack["serial_no"] for pack in answered(book, WATT)["packs"]] == [P1, club.P2]


def test_once_a_pack_was_charged_the_charge_of_all_is_unknown(book):
    fly(book, WATT)
    put(book, "charge", club.charge("C1", P1, "2031-05-20T10:00Z", ended="2031-05-20T11:00Z"))
    found = answered(book, WATT)
    assert found["verdict"] == "cannot_tell"
    assert "the departure charge of the whole aeroplane is unknown; read the gauge" in found["because"]


def test_before_the_first_flight_an_unknown_capacity_is_said_with_what_to_do(loan):
    found = answered(loan, LOAN, {"soc_departure_pct": 90})
    assert found["verdict"] == "cannot_tell"
    assert "nothing is known of the capacity of the whole aeroplane; log a flight" in found["because"]


def test_an_aeroplane_without_positions_is_not_told_to_log_charges_it_is_not_asked_for(book):
    put(book, "aircraft", club.aircraft("X-BARE", positions=[]))
    found = answered(book, "X-BARE", {"soc_departure_pct": 90})
    assert "the record has no pack positions for it: enter them in Setup" in found["because"]


def test_without_packs_and_flights_a_plan_is_told_what_it_lacks(loan):
    with pytest.raises(DataRefused, match="No packs are fitted") as refused:
        answered(loan, LOAN)
    assert "one charge for the whole aeroplane" in (refused.value.next_step or "")


def test_one_charge_for_all_and_others_for_single_packs_contradict_each_other(book):
    with pytest.raises(DataRefused, match="one charge for the whole aeroplane"):
        answered(book, WATT, {"soc_departure_pct": 90}, {"serial_no": P1, "soc_departure_pct": 80})


def test_the_plan_form_asks_for_the_one_figure(loan):
    fly(loan, WATT)
    for aircraft, expected in ((WATT, "60"), (LOAN, "")):
        form = plan_form(loan, aircraft, CIRCUITS, legs=3, now=club.NOW)
        fields = {field.name: field for field in form.fields}
        assert list(fields).index(".soc_departure_pct") == 1  # right below what is flown
        assert fields[".soc_departure_pct"].expected == expected
        assert not any(name.startswith(P1) for name in fields)
        typed = {"circuits": ("3", "read"), ".soc_departure_pct": ("88", "read"), "aboard": ("2", "read")}
        assert plan_of(form, typed).plan["packs"] == [{"serial_no": "", "soc_departure_pct": 88}]


def test_a_kept_plan_is_held_against_the_flight_that_was_flown_to_it(book):
    fly(book, WATT)
    planned = plan_flight(book, asked(WATT, {"soc_departure_pct": 90}), clock=lambda: club.NOW)
    plan_id = keep_plan(book, planned)
    put(book, "flight", flight_at(8, "flown", "2031-05-21", readings=[reading(None)], plan_id=plan_id))
    review = review_of(book, plan_id)
    (pack,) = review.packs
    assert (pack.actual, pack.inside) == (60, True)
    assert review.words[0].startswith("The whole aeroplane landed with 60 %")


def test_every_flight_by_one_gauge_has_its_row_in_the_record_of_forecasts(loan):
    fly(loan, LOAN, 12)
    found = forecasts_of(loan, LOAN, rows=True)
    assert [(row["flight_id"], row["serial_no"]) for row in found["rows"]] == [
        (f"{LOAN}{day}", "") for day in range(1, 13)
    ]
    assert found["mae_pct"] < found["handbook_mae_pct"]


def test_what_one_gauge_showed_has_energy_and_minutes_where_the_packs_are_known(loan):
    """Half of the usable charge at 24 kW: 24 kWh × 0.994 × 0.5, in minutes, with two packs of 12 kWh at SOH 98 %."""
    fly(loan, WATT, 1, soc_landing_pct=50)
    fly(loan, LOAN, 1)
    found = show_flight(loan, f"{WATT}1")["derived"]
    assert found["energy_kwh"] == pytest.approx(24 * 0.994 * 0.4, abs=1e-3)
    assert found["minutes_left"] == pytest.approx(24 * 0.994 * 0.5 / 24 * 60, abs=0.1)
    assert show_flight(loan, f"{LOAN}1")["derived"]["energy_kwh"] is None


@pytest.mark.parametrize(
    ("kind", "name", "changes"),
    [
        ("pack_type", "PK-12", {"nominal_kwh": "13"}),
        ("pack", P1, {"nominal_kwh": "13"}),
        ("aircraft", WATT, {"positions": '["front", "rear", "tail"]'}),
    ],
)
def test_what_it_rests_on_may_change_and_its_energy_follows(book, kind, name, changes):
    fly(book, WATT, 1)
    before = show_flight(book, f"{WATT}1")["derived"]["energy_kwh"]
    correct(book, kind, name, changes, why="read again")
    assert check(book) == []
    assert show_flight(book, f"{WATT}1")["derived"]["energy_kwh"] != before


def test_beside_a_single_pack_one_figure_counts_no_energy_twice(book):
    put(book, "flight", flight_at(8, "both", readings=[reading(None), reading(P1), reading(club.P2)]))
    shown = show_flight(book, "both")
    each = {one["serial_no"]: one["derived"]["energy_kwh"] for one in shown["readings"]}
    assert each[None] is None
    assert each[P1] is not None


def test_a_flight_begun_by_one_gauge_keeps_it_when_its_packs_get_known_before_it_is_closed(loan):
    desk = Desk(loan, clock=lambda: "2031-06-20T09:00Z")
    begun = desk.begin_flight(LOAN)
    form = desk.flight_form(begun)
    before = {"pilot": (club.ADA, "read"), ".soc_departure_pct": ("88", "read")}
    saved = desk.save_flight(form, before, begun.flight_id, open_only=True)
    for serial, position in (("NEW-1", "front"), ("NEW-2", "rear")):
        put(loan, "pack", club.pack(serial))
        put(loan, "installation", club.fitting(serial, position, LOAN))
    entry = desk.go_on_with(saved.flight_id)
    form = desk.flight_form(entry)
    after = dict(entry.values) | {
        name: (text, "read")
        for name, text in {"off_blocks": "0800", "on_blocks": "0840", ".soc_landing_pct": "50"}.items()
    }
    desk.save_flight(form, after, entry.flight_id, open_only=False, seen=entry.seen)
    (one,) = show_flight(loan, saved.flight_id)["readings"]
    assert (one["serial_no"], one["soc_departure_pct"], one["soc_landing_pct"]) == (None, 88, 50)
