"""Rules of a book's own, by `logbook settings`: they count at once, are checked whole, and go again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from logbook.store.database import Book
from tests.club import ADA, P1, P2, charge, flight_at, put

CLUB = [
    {"rule": "club solo", "title": "fly the club's aeroplanes", "source": "club rules", "kind": "window",
     "needs": {"landings": 1}, "days": 28, "same": "type"},
    {"rule": "61.56", "off": True},
]  # fmt: skip
"""The example of docs/people/recency.md."""


@pytest.fixture
def flown(book_path: Path) -> None:
    """A flight, and a charge of an hour after it, in the book that commands open."""
    with Book.open(book_path) as book:
        put(book, "flight", flight_at(8, "F1", "2031-05-01"))
        for serial in (P1, P2):
            put(book, "charge", charge("C1", serial, "2031-05-01T10:00Z", ended="2031-05-01T11:00Z"))


@pytest.mark.usefixtures("flown")
def test_a_rule_of_the_club_is_judged_and_one_that_is_off_is_not(logbook) -> None:
    def rules() -> list[str]:
        return [
            row["rule"]
            for row in logbook("recency", ADA, "--on", "2031-05-20", "--format", "json").json["standings"]
        ]

    usual = rules()
    assert logbook("settings", f"recency_rules={json.dumps(CLUB)}").status == 0
    assert set(rules()) == {*usual, "club solo"} - {"61.56"}
    assert json.loads(logbook("settings", "--format", "json").json["recency_rules"]) == CLUB
    assert logbook("settings", "recency_rules=").status == 0
    assert rules() == usual


@pytest.mark.usefixtures("flown")
def test_a_band_of_charges_decides_whether_the_rule_speaks(logbook) -> None:
    def long() -> bool:
        flags = logbook("show", "charge", "C1", "--format", "json").out
        return "charge_long" in flags

    assert not long()
    assert logbook("settings", 'charge_bands={"longest_h": 0.5}').status == 0
    assert long()
    assert logbook("settings", "charge_bands=").status == 0
    assert not long()


@pytest.mark.usefixtures("flown")
def test_the_pages_of_the_record_have_the_columns_of_the_book(logbook) -> None:
    european = logbook("pages", ADA).out
    assert logbook("settings", "record_form=american").status == 0
    american = logbook("pages", ADA).out
    assert american != european
    assert american == logbook("pages", ADA, "--form", "american").out


@pytest.mark.usefixtures("flown")
@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("recency_rules={", "is not JSON"),
        ('recency_rules=[{"rule": "x"}]', "needs either 'days' or 'months'"),
        ('charge_bands={"parked": 3}', "has no 'parked'"),
        ('charge_bands={"parked_days": -1}', "must be a figure"),
        ('charge_bands={"parked_days": true}', "must be a figure"),
        ('charge_bands={"parked_days": NaN}', "must be a figure"),
        ("charge_bands=[3]", "is no object"),
        ("record_form=roman", "is no form of pages"),
    ],
)
def test_what_cannot_be_read_is_refused_and_nothing_beside_it_is_kept(logbook, change, words) -> None:
    answer = logbook("settings", "clock=local", change)
    assert answer.status == 3
    assert words in answer.err
    assert logbook("settings", "--format", "json").json["clock"] == "utc"


@pytest.mark.usefixtures("flown")
def test_what_is_not_set_is_said_to_be_as_usual(logbook) -> None:
    said = logbook("settings").out
    assert said.count("as usual") == 3
    assert "nobody named" in said
