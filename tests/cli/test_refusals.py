"""What is refused, with its field and what to do, and nothing written; and what enters all the same."""

from __future__ import annotations

import pytest

from tests import club
from tests.cli.conftest import dump
from tests.club import P1, P2, charge, flight, flight_at, reading

HARD = {
    "take-off before off blocks": (flight(takeoff="2031-05-09T08:20Z"), ""),
    "landing before take-off": (flight(landing="2031-05-09T08:31Z"), ""),
    "on blocks before landing": (flight(on_blocks="2031-05-09T09:05Z"), ""),
    "on blocks before off blocks": (flight(takeoff=None, landing=None, on_blocks="2031-05-09T08:00Z"), ""),
    "meter backwards": (flight(meter_start=12, meter_end=11), ""),
    "charge above 100": (flight(readings=[reading(soc_departure_pct=100.5)]), "readings.0.soc_departure_pct"),
    "charge below 0": (flight(readings=[reading(soc_landing_pct=-1)]), "readings.0.soc_landing_pct"),
    "unknown aircraft": (flight(aircraft="X-NONE"), "aircraft"),
    "unknown pack": (flight(readings=[reading("NONE-1")]), "serial_no"),
    "unknown pilot": (flight(pilot="Nobody"), "pilot"),
    "unknown crew": (flight(crew=[{"person": "Nobody"}]), "person"),
    "unknown key": (flight(altitude=3000), "altitude"),
    "unknown key in a reading": (flight(readings=[reading(colour="red")]), "readings.0.colour"),
    "text for a number": (flight(mass_kg="600"), "mass_kg"),
    "text for a charge": (flight(readings=[reading(soc_landing_pct="60")]), "readings.0.soc_landing_pct"),
    "true for a number": (flight(mass_kg=True), "mass_kg"),
    "true for a count": (flight(landings_day=True), "landings_day"),
    "half a landing": (flight(landings_day=1.5), "landings_day"),
    "a number for a name": (flight(pilot=7), "pilot"),
    "a list for a name": (flight(pilot=[club.ADA]), "pilot"),
    "an object for a list": (flight(readings={"serial_no": P1}), "readings"),
    "a very large whole number": (flight(landings_day=10**30), "landings_day"),
    "a very large number": (flight(mass_kg=10**400), "mass_kg"),
    "a huge float": (flight(mass_kg=1e300), "mass_kg"),
    "no such day": (flight(off_blocks="2031-02-30T08:30Z"), "off_blocks"),
    "local time": (flight(off_blocks="2031-05-09T08:30+02:00"), "off_blocks"),
    "digits of another script": (flight(off_blocks="٢٠٣١-05-09T08:30Z"), "off_blocks"),
    "no such function": (flight(function="captain"), "function"),
    "no such kind": (flight(kind="aerobatics"), "kind"),
    "flown without blocks": (flight(on_blocks=None), ""),
    "two readings of a pack": (flight(readings=[reading(P1), reading(P1)]), ""),
    "a person twice": (flight(crew=[{"person": club.ADA}, {"person": club.ADA}]), ""),
    "a phase twice": (flight(phases=[{"sequence": 1, "phase": "a"}, {"sequence": 1, "phase": "b"}]), ""),
    "blank name": (flight(place_from="   "), "place_from"),
    "a flight that is a word": ("flight", ""),
    "a flight that is nothing": (None, ""),
    "half a character": (flight(remarks="\ud800"), "remarks"),
}


@pytest.mark.parametrize("case", HARD)
def test_what_cannot_be_true_is_refused_and_nothing_is_written(book_path, logbook, case):
    data, field = HARD[case]
    before = dump(book_path)
    answer = logbook("add", "flight", "-", given=data if data is not None else b"null")
    assert answer.status == 3
    assert answer.out == ""
    problem, step = answer.err.strip().split("\n")
    assert problem.startswith("logbook: ")
    assert step
    if field:
        assert field.rsplit(".", 1)[-1] in answer.err
    assert dump(book_path) == before


NOT_JSON = {
    "nothing": b"",
    "spaces": b"   \n",
    "half an object": b'{"date": "2031-05-09"',
    "not a number": b'{"mass_kg": NaN}',
    "infinity": b'{"mass_kg": -Infinity}',
    "beyond any number": b'{"aircraft": "X-WATT", "date": "2031-05-09", "state": "open", "mass_kg": 1e400}',
    "a field twice": b'{"date": "2031-05-09", "date": "2031-05-10"}',
    "endless nesting": b"[" * 200_000,
    "deep nesting": b"[" * 900 + b"]" * 900,
    "too many digits": b'{"mass_kg": ' + b"9" * 5000 + b"}",
    "another encoding": "{}".encode("utf-16"),
    "latin-1": b'{"remarks": "\xfcber"}',
    "two values": b"{} {}",
    "a comment": b"// flights\n{}",
}


@pytest.mark.parametrize("case", NOT_JSON)
def test_input_that_is_no_json_of_ours_is_refused_and_nothing_is_written(book_path, logbook, case):
    before = dump(book_path)
    answer = logbook("add", "flight", "-", given=NOT_JSON[case])
    assert answer.status == 3
    assert answer.err.startswith("logbook: ")
    assert "\n" in answer.err.strip()
    assert dump(book_path) == before


@pytest.mark.usefixtures("book_path")
def test_a_byte_order_mark_is_no_reason_to_refuse(logbook):
    answer = logbook("add", "person", "-", given=b'\xef\xbb\xbf{"person": "Dot Reed"}')
    assert (answer.status, answer.out) == (0, "Dot Reed\n")


@pytest.mark.usefixtures("book_path")
def test_the_same_flight_again_is_quiet_and_its_id_with_other_content_is_refused(logbook):
    assert logbook("add", "flight", "-", given=flight()).status == 0
    again = logbook(
        "add",
        "flight",
        "-",
        given=flight(),
    )
    assert (again.status, again.out) == (0, "F1\n")
    other = logbook("add", "flight", "-", given=flight(remarks="gusty"))
    assert other.status == 3
    assert "remarks" in other.err
    assert "logbook correct" in other.err


@pytest.mark.usefixtures("book_path")
def test_the_same_start_of_the_same_aircraft_is_refused_under_another_id(logbook):
    logbook("add", "flight", "-", given=flight())
    answer = logbook("add", "flight", "-", given=flight("F2"))
    assert answer.status == 3
    assert "off blocks" in answer.err
    assert logbook("add", "flight", "-", given=flight("F2", aircraft=club.VOLT, readings=[])).status == 0


@pytest.mark.usefixtures("book_path")
def test_without_an_id_the_same_content_is_one_flight_and_one_charge(logbook):
    first = logbook("add", "flight", "-", given=flight(None)).out
    assert logbook("add", "flight", "-", given=flight(None)).out == first
    rows = [charge(None, P1, "2031-05-09T10:00Z"), charge(None, P2, "2031-05-09T10:00Z")]
    first = logbook("add", "charge", "-", given=rows).out
    assert logbook("add", "charge", "-", given=rows).out == first
    assert len(logbook("list", "charges", "--format", "json").json) == 2


@pytest.mark.usefixtures("book_path")
def test_rows_of_one_meter_without_an_id_are_one_session(logbook):
    rows = [charge(None, pack, "2031-05-09T10:00Z", shared_energy_kwh=9.0) for pack in (P1, P2)]
    one, two = logbook("add", "charge", "-", given=rows).out.split()
    assert one == two


SOFT = {
    "charge rose": (flight(readings=[reading(soc_departure_pct=50, soc_landing_pct=80)]), "soc_rose"),
    "pack of another aeroplane": (flight(readings=[reading(club.P3), reading(P1)]), "pack_not_fitted"),
    "ten and a half hours": (flight(on_blocks="2031-05-09T19:10Z"), "times_improbable"),
    "nothing but the blocks": (
        {
            "aircraft": club.WATT,
            "off_blocks": "2031-05-09T08:30Z",
            "on_blocks": "2031-05-09T09:00Z",
        },
        "record_incomplete",
    ),
    "negative mass": (flight(mass_kg=-5), "value_improbable"),
    "hotter than fire": (flight(readings=[reading(temp_max_c=900), reading(P2)]), "temperature_limit"),
    "landed empty": (flight(readings=[reading(soc_landing_pct=0), reading(P2)]), "landing_below_reserve"),
}


@pytest.mark.parametrize("case", SOFT)
@pytest.mark.usefixtures("book_path")
def test_everything_else_enters_and_is_flagged_on_standard_error(logbook, case):
    data, rule = SOFT[case]
    answer = logbook("add", "flight", "-", given=data)
    assert answer.status == 0
    assert answer.out.strip()
    assert f"[{rule}]" in answer.err
    assert f"[{rule}]" not in answer.out


@pytest.mark.usefixtures("book_path")
def test_overlapping_flights_enter_and_are_flagged(logbook):
    logbook("add", "flight", "-", given=flight())
    answer = logbook("add", "flight", "-", given=flight("F2", off_blocks="2031-05-09T08:35Z"))
    assert answer.status == 0
    assert "[overlap]" in answer.err


def test_a_list_enters_whole_or_not_at_all_and_says_which_record_it_was(book_path, logbook):
    before = dump(book_path)
    rows = [flight_at(8, "F1"), flight_at(9, "F2", pilot="Nobody"), flight_at(10, "F3")]
    answer = logbook("add", "flight", "-", given=rows)
    assert answer.status == 3
    assert "Record 2 of the list" in answer.err
    assert dump(book_path) == before
    rows[1] = flight_at(9, "F2", mass_kg="heavy")
    answer = logbook("add", "flight", "-", given=rows)
    assert answer.status == 3
    assert "Record 2 of the list" in answer.err
    assert dump(book_path) == before
    rows[1] = flight_at(9, "F2")
    assert logbook("add", "flight", "-", given=rows).out == "F1\nF2\nF3\n"


@pytest.mark.usefixtures("book_path")
def test_seconds_are_dropped_and_empty_means_unknown(logbook):
    data = flight(off_blocks="2031-05-09T08:30:59Z", remarks="", mass_kg=None)
    assert logbook("add", "flight", "-", given=data).status == 0
    shown = logbook("show", "flight", "F1", "--format", "json").json
    assert shown["off_blocks"] == "2031-05-09T08:30Z"
    assert shown["remarks"] is None


@pytest.mark.usefixtures("book_path")
def test_overlapping_fittings_are_refused_in_words(logbook):
    answer = logbook("add", "installation", "-", given=club.fitting(P1, "belly", fitted="2031-05-01T08:00Z"))
    assert answer.status == 3
    assert "fitted elsewhere" in answer.err


@pytest.mark.usefixtures("book_path")
def test_correcting_to_what_cannot_be_is_refused_with_the_field(logbook, book_path):
    logbook("add", "flight", "-", given=flight())
    before = dump(book_path)
    for change in (
        f"{P1}.soc_landing_pct=101",
        "landing=2031-05-09T08:00Z",
        "pilot=Nobody",
        "no_such_field=1",
        "mass_kg=heavy",
        "landings_day=1.5",
        "flight_id=F9",
        "NONE-1.soc_landing_pct=50",
        "readings=",
    ):
        answer = logbook("correct", "flight", "F1", change)
        assert answer.status == 3, change
        assert answer.err.startswith("logbook: ")
    assert dump(book_path) == before
