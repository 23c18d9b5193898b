"""Totals of people from a real book."""

from __future__ import annotations

import io

import pytest

from logbook.errors import DataRefused
from logbook.reports.people_text import write_totals
from logbook.services.people import students, totals_of, totals_row
from logbook.store.database import Book
from tests.club import ADA, BEN, CLEO, WATT, flight, flight_at, put, rules_of

LESSON = {"pilot": BEN, "function": "dual", "second_person": ADA, "second_function": "instructor"}


def fly(book: Book) -> None:
    put(
        book,
        "aircraft",
        [
            {"registration": "X-TWIN", "type": "old twin", "class": "MEP", "positions": []},
            {"registration": "X-ONE", "type": "old single", "class": "SEP (land)", "positions": []},
        ],
    )
    put(
        book,
        "flight",
        [
            flight_at(6, "A", **LESSON, landings_day=4),
            flight_at(8, "B", pilot=BEN, function="solo", landings_day=2),
            flight_at(10, "C", aircraft="X-TWIN", readings=[]),
            flight_at(
                12,
                "D",
                aircraft="X-ONE",
                readings=[],
                function="picus",
                second_person=CLEO,
                second_function="pic",
            ),
            flight_at(14, "E", outcome="device", readings=[], **LESSON),
            flight_at(16, "F", outcome="rejected", pilot=BEN, function="solo"),
        ],
    )


def test_time_is_counted_by_function_and_an_instructor_is_in_command(book):
    fly(book)
    ada, ben, cleo = totals_of(book, ADA), totals_of(book, BEN), totals_of(book, CLEO)
    assert ada.by_function == {"instructor": 40, "pic": 40, "picus": 40}
    assert (ada.total_min, ada.pic_min) == (120, 120)
    assert ben.by_function == {"dual": 40, "solo": 40}
    assert (ben.total_min, ben.pic_min, ben.landings_day) == (80, 40, 6)
    assert (cleo.total_min, cleo.pic_min) == (40, 40)


def test_training_devices_and_attempts_are_no_flight_time(book):
    fly(book)
    ben = totals_of(book, BEN)
    assert (ben.device_sessions, ben.device_min, ben.flights) == (1, 40, 2)


def test_engines_follow_the_text_of_the_class_and_types_are_kept_apart(book):
    fly(book)
    ada = totals_of(book, ADA)
    assert (ada.single_min, ada.multi_min) == (40, 40)
    assert ada.by_class == {"(not written down)": 40, "MEP": 40, "SEP (land)": 40}
    assert ada.by_type == {"invented two-seater": 40, "old twin": 40, "old single": 40}


def test_time_brought_forward_is_added_and_said(book):
    put(
        book,
        "person",
        {"person": "Dot Reed", "brought_forward_total_min": 6000, "brought_forward_landings_day": 90},
    )
    put(book, "flight", flight("G", pilot="Dot Reed"))
    dot = totals_of(book, "Dot Reed")
    assert (dot.total_min, dot.brought_forward) == (40, {"total_min": 6000, "landings_day": 90})
    assert dot.with_brought_forward()["total_min"] == 6040
    assert dot.with_brought_forward()["landings_day"] == 91
    assert dot.with_brought_forward()["pic_min"] == 40


def test_totals_end_on_the_day_asked_for_and_leave_struck_flights_out(book):
    put(book, "flight", [flight_at(6, "A"), flight_at(6, "B", day="2031-05-10"), flight_at(9, "C", struck=1)])
    assert totals_of(book, ADA).flights == 2
    assert totals_of(book, ADA, until="2031-05-09").flights == 1


def test_night_needs_coordinates_and_says_how_many_flights_lack_them(book):
    late = flight(
        "N", off_blocks="2031-05-09T21:00Z", takeoff=None, landing=None, on_blocks="2031-05-09T22:00Z"
    )
    put(book, "flight", late)
    assert (totals_of(book, ADA).night_min, totals_of(book, ADA).night_unknown) == (0, 1)
    from logbook.services.correct import correct

    correct(book, "place", "Larkfield", {"latitude_deg": 48, "longitude_deg": 11})
    assert (totals_of(book, ADA).night_min, totals_of(book, ADA).night_unknown) == (60, 0)


def test_an_unknown_person_is_refused_in_words(book):
    with pytest.raises(DataRefused, match="no person 'Nobody'"):
        totals_of(book, "Nobody")


def test_a_second_person_of_the_same_name_is_refused_with_what_to_do(book):
    with pytest.raises(DataRefused, match=f"the person '{ADA}' with other content") as refused:
        put(book, "person", {"person": ADA, "licence_no": "L-9"})
    assert "logbook correct" in refused.value.next_step


def test_two_in_command_and_one_person_in_two_seats_are_flagged(book):
    added = put(book, "flight", flight("F", second_person=BEN, second_function="pic"))
    assert "two_pics" in rules_of(added)
    added = put(book, "flight", flight_at(14, "G", second_person=ADA, second_function="dual"))
    assert "person_twice" in rules_of(added)


def test_the_table_of_students_says_who_flew_what_waits_and_what_runs_out(book):
    fly(book)
    put(
        book,
        "person-item",
        [
            {"person": BEN, "item": "solo authorisation", "valid_until": "2031-05-20", "aircraft": WATT},
            {"person": BEN, "item": "medical", "valid_until": "2030-01-01"},
            {"person": BEN, "item": "medical", "valid_until": "2033-01-01"},
        ],
    )
    (ben,) = students(book, "2031-05-10")
    assert ben["person"] == BEN
    assert (ben["dual_min"], ben["solo_min"], ben["landings"], ben["last_flight"]) == (
        40,
        40,
        6,
        "2031-05-09",
    )
    assert ben["to_countersign"] == 2  # the lesson and the session in the device
    assert [(item["item"], item["days"]) for item in ben["ending"]] == [("solo authorisation", 10)]


def test_recorded_conditions_are_summed_and_said_to_be_recorded(book):
    put(
        book,
        "flight",
        [
            flight_at(6, "A", night_min=30, ifr_min=20, instrument_min=10, ground_training_min=15),
            flight_at(8, "B", simulated_instrument_min=12),
            flight_at(10, "C", outcome="device", readings=[], simulated_instrument_min=25),
        ],
    )
    ada = totals_of(book, ADA)
    assert (ada.night_min, ada.night_recorded, ada.night_unknown) == (30, 1, 1)
    assert (ada.ifr_min, ada.instrument_min, ada.simulated_min, ada.ground_min) == (20, 10, 37, 15)
    stream = io.StringIO()
    write_totals(stream, ADA, totals_row(ada))
    assert "Night is as written down for 1 of the flights" in stream.getvalue()
    assert "0:37" in stream.getvalue()
