"""What a person's items say of an outing: warned in words, never more, and nothing where one authorisation covers it."""

from __future__ import annotations

import pytest

from logbook.services.authority import Outing, person_concerns
from logbook.services.plan import plan_flight
from logbook.store.database import Book
from tests.club import put

DAY = "2031-05-10"
SOLO = {
    "person": "Pia Lund",
    "item": "solo authorisation",
    "valid_from": "2031-05-01",
    "valid_until": "2031-05-31",
    "place": "Westholm",
    "limit_wind_kt": 12,
    "limit_departure_soc_pct": 80,
    "limit_landing_soc_pct": 40,
    "limit_minutes": 40,
}


@pytest.fixture
def student(book: Book) -> Book:
    put(book, "person", {"person": "Pia Lund"})
    put(book, "person-item", SOLO)
    return book


def concerns(book: Book, **outing: object) -> list[str]:
    return person_concerns(
        book, "Pia Lund", Outing(day=str(outing.pop("day", DAY)), **{"alone": True, **outing})
    )


def test_within_every_limit_nothing_is_said(student: Book) -> None:
    assert concerns(student, place="Westholm", wind_kt=12, departure_pct=80, landing_pct=40, minutes=40) == []


@pytest.mark.parametrize(
    ("outing", "words"),
    [
        ({"place": "Eastholm"}, "for Westholm, not Eastholm"),
        ({"wind_kt": 13}, "wind of 13 kt, at most 12 kt"),
        ({"departure_pct": 79}, "departure charge of 79 %, at least 80 %"),
        ({"landing_pct": 39}, "landing charge, pessimistic, of 39 %, at least 40 %"),
        ({"minutes": 41}, "time of 41 min, at most 40 min"),
        ({"day": "2031-06-01"}, "no solo authorisation for 2031-06-01; the last ended on 2031-05-31"),
        ({"day": "2031-04-30"}, "no solo authorisation for 2031-04-30"),
    ],
)
def test_each_limit_that_is_passed_is_named(student: Book, outing: dict[str, object], words: str) -> None:
    said = concerns(student, **outing)
    assert len(said) == 1
    assert words in said[0]


def test_with_somebody_aboard_the_solo_limits_do_not_apply(student: Book) -> None:
    assert concerns(student, alone=False, wind_kt=30, day="2031-07-01") == []


def test_a_second_authorisation_that_covers_the_outing_is_enough(student: Book) -> None:
    put(student, "person-item", SOLO | {"valid_until": "2031-05-30", "limit_wind_kt": 20})
    assert concerns(student, wind_kt=18) == []


def test_an_expired_item_is_named_whoever_is_aboard(student: Book) -> None:
    put(student, "person-item", {"person": "Pia Lund", "item": "medical", "valid_until": "2031-05-09"})
    assert concerns(student, alone=False) == ["Pia Lund: medical expired on 2031-05-09."]


def test_nobody_without_an_authorisation_is_taken_for_a_student(book: Book) -> None:
    put(book, "person", {"person": "Pia Lund"})
    assert concerns(book, wind_kt=40, departure_pct=20) == []


def test_a_plan_names_what_goes_beyond_the_authorisation_before_any_other_caution(student: Book) -> None:
    aircraft = student.connection.execute("SELECT registration FROM aircraft LIMIT 1").fetchone()[0]
    plan = {
        "aircraft": aircraft,
        "date": DAY,
        "handled_by": "Pia Lund",
        "wind_dir": 270,
        "wind_kt": 25,
        "legs": [{"kind": "circuits", "circuits": 2, "minutes": 12}],
    }
    said = plan_flight(student, plan).answer.cautions[0]
    assert "Pia Lund: solo authorisation exceeded" in said
