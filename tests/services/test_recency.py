"""Recency from a real book: whose landings, which night, which rules."""

from __future__ import annotations

import json

from logbook.services.recency import recency_of, recency_rows
from logbook.store.settings import Settings
from tests.club import ADA, BEN, FIELD, flight, flight_at, put


def by_rule(book, name, on):
    return {standing.rule: standing for standing in recency_of(book, name, on)}


def test_landings_of_the_one_who_handled_keep_that_person_current(book):
    put(
        book,
        "flight",
        flight_at(8, "A", landings_day=3, second_person=BEN, second_function="dual", handled_by=BEN),
    )
    assert by_rule(book, BEN, "2031-05-10")["61.57(a)"].state == "current"
    assert by_rule(book, ADA, "2031-05-10")["61.57(a)"].state == "never"


def night_flight(**changes):
    return flight(
        "N",
        date="2024-03-20",
        landings_day=0,
        landings_night=3,
        landings_night_full_stop=3,
        **changes,
    )


def test_a_landing_before_the_window_is_night_in_europe_and_not_in_america(book):
    """Sun times of 48 N 11 E on 2024-03-20, computed with two libraries: dusk 18:00, sunset + 1 h 18:29."""
    put(
        book,
        "flight",
        night_flight(
            off_blocks="2024-03-20T18:02Z",
            takeoff="2024-03-20T18:05Z",
            landing="2024-03-20T18:22Z",
            on_blocks="2024-03-20T18:25Z",
        ),
    )
    from logbook.services.correct import correct

    unknown = by_rule(book, ADA, "2024-03-21")["61.57(b)"]
    assert unknown.state == "current"
    assert "no coordinates" in unknown.words
    correct(book, "place", FIELD, {"latitude_deg": 48, "longitude_deg": 11})
    known = by_rule(book, ADA, "2024-03-21")
    assert known["61.57(b)"].state == "never"
    assert known["FCL.060(b)(2)"].state == "current"


def test_the_books_own_rules_are_asked_and_all_is_plain_json(book):
    put(book, "flight", flight_at(8, "A"))
    with book.writing():
        Settings(book).set("recency_rules", [{"rule": "club", "needs": {"landings": 1}, "days": 28}])
    rows = recency_rows(book, ADA, "2031-05-10")
    assert rows[-1]["rule"] == "club"
    assert rows[-1]["state"] == "current"
    assert json.loads(json.dumps(rows)) is not None
