"""The form asks for what makes sense, expects what the record says, and stores nothing nobody typed or confirmed."""

from pathlib import Path

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.flight_fields import AS_BEFORE, BEFORE, MORE, TIMES
from logbook.services.flight_follows import as_before, carried_over, expected_now
from logbook.services.flight_form import on_other_clock
from logbook.services.flight_typed import record_of
from tests.services.club import NOW, club_book


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    book = club_book(tmp_path / "club.logbook")
    yield Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))
    book.close()


def expected(form) -> dict[str, str]:
    return {field.name: field.expected for field in form.fields if field.expected}


def test_expected_values_are_those_of_the_last_flight_the_meter_and_the_last_charge(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    assert expected(form) == {
        "pilot": "Ana Lind",
        "function": "pic",
        "kind": "local",
        "place_from": "Lakeside",
        "aboard": "1",
        "mass_kg": "540",
        "meter_start": "412.3",
        "P-101.soc_departure_pct": "97",
        "P-102.soc_departure_pct": "97",
        "P-101.soh_pct": "91",
        "P-102.soh_pct": "90",
    }


def test_nothing_expected_enters_the_record_by_itself(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    record = record_of(form, {}, flight_id="x", open_only=True)
    assert record == {
        "flight_id": "x", "aircraft": "AB-1", "date": "2031-05-09", "state": "open", "outcome": "flown", "readings": [],
    }  # fmt: skip


def test_each_pack_has_its_own_fields_in_the_order_of_positions(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    assert [(slot.position, slot.serial_no) for slot in form.packs] == [("front", "P-101"), ("rear", "P-102")]


@pytest.mark.parametrize("outcome", ["ground-run", "aborted", "rejected"])
def test_what_never_flew_is_not_asked_for_take_off_landings_or_climb(desk: Desk, outcome: str) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1")._replace(outcome=outcome))
    assert not {"takeoff", "landing", "landings_day", "circuits", "climb_ft", "level_min"} & set(form.names)
    assert {"off_blocks", "on_blocks", "P-101.soc_landing_pct"} <= set(form.names)


def test_a_training_device_is_asked_for_place_people_times_and_training_only(desk: Desk) -> None:
    """14 CFR 61.51(b): lesson time, place, type and identification of the device, simulated instrument conditions."""
    form = desk.flight_form(desk.begin_flight("AB-1")._replace(outcome="device"))
    assert not [
        name
        for name in form.names
        if "." in name or "meter" in name or name in ("mass_kg", "place_to", "night_min")
    ]
    wanted = {
        "place_from",
        "device_text",
        "simulated_instrument_min",
        "ground_training_min",
        "approaches_text",
    }
    assert wanted <= set(form.names)
    assert [field.label for field in form.fields if field.name in ("off_blocks", "on_blocks")] == [
        "Start",
        "End",
    ]


def test_the_third_part_takes_conditions_and_training_of_a_flight(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    typed_in = {
        "night_min": "35", "ifr_min": "40", "instrument_min": "5", "simulated_instrument_min": "20",
        "ground_training_min": "15", "safety_pilot": "bert", "approaches_text": "Moor, RNP",
    }  # fmt: skip
    assert {field.part for field in form.fields if field.name in typed_in} == {"more"}
    assert "device_text" not in form.names
    record = record_of(
        form, {name: (text, "read") for name, text in typed_in.items()}, flight_id="F", open_only=True
    )
    assert {name: record[name] for name in typed_in} == {
        "night_min": 35, "ifr_min": 40, "instrument_min": 5, "simulated_instrument_min": 20,
        "ground_training_min": 15, "safety_pilot": "Bert Moss", "approaches_text": "Moor, RNP",
    }  # fmt: skip


def test_an_aeroplane_without_packs_has_no_pack_fields_and_one_with_unknown_packs_has_one_figure(
    desk: Desk,
) -> None:
    tug = desk.flight_form(desk.begin_flight("TUG-2"))
    assert [name for name in tug.names if "." in name] == []
    one = desk.flight_form(desk.begin_flight("ONE-3"))
    assert [f.name for f in one.fields if "." in f.name and f.part == BEFORE] == [".soc_departure_pct"]


def test_one_figure_for_all_packs_is_possible_where_packs_are_known(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    assert [f.name for f in form.fields if f.name.startswith(".")] == [
        ".soc_departure_pct",
        ".soc_landing_pct",
    ]
    assert {f.part for f in form.fields if f.name.startswith(".")} == {MORE}
    record = record_of(form, {".soc_departure_pct": ("90", "read")}, flight_id="x", open_only=True)
    assert record["readings"] == [{"soc_departure_pct": 90.0, "source": "read", "serial_no": None}]


def test_a_flight_of_an_earlier_day_expects_what_was_known_then(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1", "2031-05-07"))
    assert "meter_start" not in expected(form)
    assert "P-101.soc_departure_pct" not in expected(form)
    same_day = expected(desk.flight_form(desk.begin_flight("AB-1", "2031-05-08")))
    assert same_day["meter_start"] == "412.3"  # a pile of slips of one day goes on from slip to slip


def test_packs_of_an_earlier_day_are_those_fitted_then(desk: Desk) -> None:
    desk.correct(
        "installation", desk.records("installation")[0]["installation_id"], {"removed": "2031-05-09T06:00Z"}
    )
    removed = {s.serial_no for s in desk.flight_form(desk.begin_flight("AB-1", "2031-05-08")).packs}
    assert removed == {"P-101", "P-102"}
    assert len(desk.flight_form(desk.begin_flight("AB-1")).packs) == 1


def test_a_pack_that_may_not_fly_says_why_before_start(desk: Desk) -> None:
    desk.correct("pack", "P-102", {"state": "quarantined", "state_since": "2031-05-08T16:00Z"})
    entry = desk.begin_flight("AB-1")
    form = desk.flight_form(entry)
    assert "quarantined" in form.packs[1].grounded
    assert desk.preview(form, {}, entry.flight_id).flags[0] == (
        "serious", "Pack P-102 may not fly: it is quarantined since 2031-05-08 16:00 UTC.",
    )  # fmt: skip


def test_a_pack_that_was_grounded_later_that_day_is_said_once_the_times_are_typed(desk: Desk) -> None:
    desk.correct("pack", "P-102", {"state": "quarantined", "state_since": "2031-05-08T15:00Z"})
    entry = desk.begin_flight("AB-1", "2031-05-08")
    form = desk.flight_form(entry)

    def said(off: str, on: str) -> list[str]:
        values = {"off_blocks": (off, "read"), "on_blocks": (on, "read")} | {
            f"{pack}.soc_departure_pct": ("90", "read") for pack in ("P-101", "P-102")
        }
        return [words for _, words in desk.preview(form, values, entry.flight_id).flags if "P-102" in words]

    assert not form.packs[1].grounded
    assert not [words for words in said("1200", "1230") if "quarantined" in words]
    assert "Pack P-102 flew although it was quarantined since 2031-05-08 15:00 UTC." in said("1600", "1630")


def test_as_before_confirms_people_place_kind_aboard_and_mass_but_no_reading(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    values = as_before(form, {"pilot": ("Bea", "read")})
    assert set(values) == {"function", "kind", "place_from", "aboard", "mass_kg"}
    assert set(values) <= set(AS_BEFORE)
    assert {source for _, source in values.values()} == {"confirmed"}


@pytest.mark.parametrize(
    ("values", "name", "text"),
    [
        ({"kind": ("1", "read"), "circuits": ("7", "read")}, "landings_day", "7"),
        ({"kind": ("local", "read"), "circuits": ("2", "read")}, "landings_day", "3"),
        ({}, "landings_day", "1"),
        ({"kind": ("local", "read"), "place_from": ("Moor", "read")}, "place_to", "Moor"),
        ({"kind": ("cross", "read"), "place_from": ("Moor", "read")}, "place_to", ""),
        ({"second_person": ("Bea", "read"), "function": ("dual", "read")}, "second_function", "instructor"),
    ],
)
def test_what_follows_from_other_fields_is_expected_not_stored(
    desk: Desk, values, name: str, text: str
) -> None:
    # Circuits and landings as in the definition of a circuit: six touch-and-goes and a full stop are 7 and 7; a local
    # flight with two more touch-and-goes is 2 and 3.
    form = desk.flight_form(desk.begin_flight("AB-1"))
    assert expected_now(form, values)[name] == text
    assert name not in record_of(form, values, flight_id="x", open_only=True)


def test_the_other_clock_changes_the_figures_and_not_the_moments(desk: Desk) -> None:
    entry = desk.begin_flight("AB-1")
    form = desk.flight_form(entry)
    values = {"off_blocks": ("0835", "read"), "takeoff": ("+6", "read"), "landing": ("nonsense", "read")}
    clock = form.choice.clock._replace(zone="Europe/Rome")
    moved = on_other_clock(form, values, clock, (*TIMES, "expected_back"))
    assert moved == {"off_blocks": ("1035", "read")}
    local = form._replace(choice=form.choice._replace(clock=clock))
    for name in ("off_blocks", "takeoff"):
        before = form.reader(name, values)(values[name][0]).value
        assert local.reader(name, values | moved)((values | moved)[name][0]).value == before


def test_another_aeroplane_keeps_what_was_typed_and_drops_what_was_confirmed_of_the_first_ones_instruments(
    desk: Desk,
) -> None:
    old = desk.flight_form(desk.begin_flight("AB-1"))
    desk.add(
        "installation",
        {"serial_no": "P-103", "aircraft": "ONE-3", "position": "all", "fitted": "2031-01-01T00:00Z"},
    )
    new = desk.flight_form(desk.begin_flight("ONE-3"))
    values = {
        "remarks": ("wind", "read"),
        "meter_start": ("412.3", "confirmed"),
        "P-101.soc_departure_pct": ("88", "read"),
        "P-101.soh_pct": ("91", "confirmed"),
    }
    carried = carried_over(old, new, values)
    assert carried["remarks"] == ("wind", "read")
    assert carried["P-103.soc_departure_pct"] == ("88", "read")
    assert "meter_start" not in carried
    assert "P-103.soh_pct" not in carried
    assert carried["P-101.soh_pct"] == ("91", "confirmed")  # back to the first one: it is there


@pytest.mark.parametrize(
    ("typed", "source"),
    [
        ({"soc_departure_pct": ("97", "read")}, "read"),
        ({"soc_departure_pct": ("97", "confirmed")}, "confirmed"),
        ({"soc_departure_pct": ("97", "confirmed"), "temp_departure_c": ("18", "read")}, "read"),
        ({"soc_departure_pct": ("-", "not-read"), "temp_departure_c": ("18", "read")}, "not-read"),
        ({"soc_departure_pct": ("-", "not-read")}, "not-read"),
    ],
)
def test_a_reading_knows_where_it_comes_from(desk: Desk, typed, source: str) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    values = {f"P-101.{name}": value for name, value in typed.items()}
    (reading,) = record_of(form, values, flight_id="x", open_only=True)["readings"]
    assert (reading["serial_no"], reading["source"]) == ("P-101", source)
    assert reading.get("soc_departure_pct") == (97 if typed["soc_departure_pct"][0] == "97" else None)


def test_expected_back_counts_from_now_today(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    assert form.reader("expected_back", {})("+90").value == "2031-05-09T10:00Z"
