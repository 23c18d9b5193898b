"""Flags of observations and maintenance entries are answered like those of flights and charges."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from logbook.errors import DataRefused
from logbook.rules import observation_rules, upkeep_rules
from logbook.services.answer import answer
from logbook.services.correct import correct, strike
from logbook.services.export_book import export_package
from logbook.services.flagged_charges import known_flagged, learn_flagged
from logbook.services.flight_sheet import flags as flags_block
from logbook.services.import_book import import_package
from logbook.services.merge_book import merge_book
from logbook.services.questions import list_records, show
from logbook.services.rule_words import rules_of
from logbook.services.upkeep_desk import UpkeepDesk
from logbook.services.upkeep_flags import listed_flags
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests.club import ADA, BEN, NOW, P1, WATT, put

COUNTERS: dict[str, dict[str, Any]] = {
    "O1": {"at": "2031-05-01T08:00Z", "counter_hours": 120, "counter_cycles": 80},
    "O2": {"at": "2031-05-08T08:00Z", "counter_hours": 20, "counter_cycles": 3},
}
HOURS = {"M1": ("2031-05-02T08:00Z", 0.9), "M2": ("2031-05-09T08:00Z", 0.4)}
"""Less than an hour from what the book counts, so that no rule speaks of that."""
FOUND = (("observation", "O2", "counter_back"), ("maintenance", "M2", "hours_back"))


@pytest.fixture
def back(book: Book) -> Book:
    """Both counters of a pack went back, and the total time of an aeroplane."""
    for observation_id, seen in COUNTERS.items():
        put(book, "observation", {"observation_id": observation_id, "serial_no": P1} | seen)
    for entry_id, (completed, hours) in HOURS.items():
        entry = {"entry_id": entry_id, "aircraft": WATT, "completed": completed, "text": "Inspected"}
        put(book, "maintenance", entry | {"aircraft_hours": hours})
    return book


def answered(book: Book, kind: str, record_id: str) -> list[bool]:
    return [flag["answered"] for flag in show(book, kind, record_id)["flags"]]


def test_an_answer_closes_the_flag_and_stays_with_who_and_when(back: Book) -> None:
    answer(back, "M2", "hours_back", "typing error in M1", by=ADA)
    assert answered(back, "maintenance", "M2") == [True]
    (said,) = show(back, "maintenance", "M2")["answers"]
    assert (said["words"], said["by_whom"], said["entry_id"], said["flight_id"]) == (
        "typing error in M1", ADA, "M2", None,
    )  # fmt: skip
    assert said["at"]


def test_each_of_two_counters_has_an_answer_of_its_own(back: Book) -> None:
    hours, cycles = show(back, "observation", "O2")["flags"]
    answer(back, "O2", "counter_back", "cycles were reset", figures=cycles["figures"], by=ADA)
    assert answered(back, "observation", "O2") == [False, True]
    lines = [(line.label, line.note) for line in flags_block(show(back, "observation", "O2")).lines]
    assert [label.strip() for label, _ in lines] == ["! check", "what to do", "! check", "answered"]
    assert "cycles were reset (Ada Quill" in lines[-1][1]
    answer(back, "O2", "counter_back", "and so were the hours", serial_no=hours["serial_no"])
    assert answered(back, "observation", "O2") == [True, True]


def test_a_list_narrowed_to_open_flags_leaves_the_answered_out(back: Book) -> None:
    def narrowed(kind: str, key: str, flag: str) -> list[str]:
        return [row[key] for row in list_records(back, kind, FlightFilter(flag=flag))]

    assert narrowed("maintenance", "entry_id", "any") == ["M2"]
    answer(back, "M2", "hours_back", "typing error")
    assert narrowed("maintenance", "entry_id", "any") == []
    assert narrowed("maintenance", "entry_id", "hours_back") == ["M2"]
    answer(back, "O2", "counter_back", "reset")
    assert narrowed("observation", "observation_id", "any") == ["O2"]  # the other counter is still open


def test_it_opens_again_when_its_figure_changes_and_not_when_something_else_does(back: Book) -> None:
    answer(back, "M2", "hours_back", "typing error")
    correct(back, "maintenance", "M2", {"text": "Inspected, washed"})
    assert answered(back, "maintenance", "M2") == [True]
    correct(back, "maintenance", "M2", {"aircraft_hours": 0.5})
    assert answered(back, "maintenance", "M2") == [False]


def test_a_struck_answer_no_longer_answers(back: Book) -> None:
    answer_id = answer(back, "M2", "hours_back", "typing error")
    strike(back, "answer", answer_id, why="about another entry")
    assert answered(back, "maintenance", "M2") == [False]


def test_no_rule_looks_at_two_kinds_so_that_a_rule_tells_which_record_is_meant() -> None:
    kinds = [set(rules_of(kind)) for kind in ("flight", "charge", "observation", "maintenance")]
    assert sum(map(len, kinds)) == len(set.union(*kinds))


def test_every_rule_of_maintenance_says_what_to_do(back: Book) -> None:
    assert {*rules_of("observation"), *rules_of("maintenance")} == {
        *upkeep_rules.RULES,
        *observation_rules.RULES,
    }
    for kind, record_id, rule in FOUND:
        notes = [line.note for line in flags_block(show(back, kind, record_id)).lines]
        assert f"{upkeep_rules.RULES[rule].what_to_do} Answer it with w." in notes


def test_an_observation_and_an_entry_of_one_id_are_told_apart_by_the_rule(back: Book) -> None:
    entry = {"entry_id": "O2", "aircraft": WATT, "completed": "2031-05-10T08:00Z", "text": "Inspected"}
    put(back, "maintenance", entry | {"aircraft_hours": 0.2})
    answer(back, "O2", "hours_back", "about the entry")
    assert answered(back, "maintenance", "O2") == [True]
    assert answered(back, "observation", "O2") == [False, False]


@pytest.mark.parametrize(
    ("record_id", "rule"),
    [("O1", "counter_back"), ("O2", "hours_back"), ("M1", "hours_back"), ("N", "hours_back")],
)
def test_what_has_no_such_flag_is_refused(back: Book, record_id: str, rule: str) -> None:
    with pytest.raises(DataRefused, match=f"has no flag '{rule}'"):
        answer(back, record_id, rule, "x")


def test_an_answer_to_two_records_or_to_none_is_refused_at_every_door(back: Book) -> None:
    words = {"rule": "hours_back", "figures": "{}", "words": "seen"}
    for owners in ({}, {"observation_id": "O2", "entry_id": "M2"}, {"flight_id": "F1", "entry_id": "M2"}):
        with pytest.raises(DataRefused, match="one flight, charge, observation or maintenance entry"):
            put(back, "answer", words | owners)


def test_answers_go_out_and_in_with_the_package_and_over_with_a_merge(back: Book, tmp_path: Path) -> None:
    for _, record_id, rule in FOUND:
        answer(back, record_id, rule, "looked into", by=ADA)
    export_package(back, tmp_path / "p.zip")
    with Book.open(tmp_path / "second.logbook", create=True) as second:
        import_package(second, tmp_path / "p.zip")
        assert listed_flags(second) == listed_flags(back)
        answer(second, "O2", "counter_back", "the other counter too", by=BEN)
    assert answered(back, "observation", "O2") == [True, False]
    merge_book(back, tmp_path / "second.logbook", take="ours")
    assert answered(back, "observation", "O2") == [True, True]
    assert answered(back, "maintenance", "M2") == [True]


def test_a_corrected_answer_keeps_what_it_said(back: Book) -> None:
    answer_id = answer(back, "M2", "hours_back", "typing error")
    correct(back, "answer", answer_id, {"words": "typing error in M1"}, by=ADA)
    assert [one["was"]["words"] for one in show(back, "answer", answer_id)["versions"]] == ["typing error"]
    assert [one.said for one in listed_flags(back) if one.kind == "maintenance"] == [
        "typing error in M1 (nobody named)"
    ]


def test_today_and_maintenance_ask_until_it_is_answered_and_maintenance_shows_the_answer(back: Book) -> None:
    learned: dict[str, Any] = {}
    waiting = learn_flagged(back, learned).upkeep
    assert [(flag.kind, flag.record_id, flag.day) for flag in waiting] == [
        ("maintenance", "M2", "2031-05-09"), ("observation", "O2", "2031-05-08"), ("observation", "O2", "2031-05-08"),
    ]  # fmt: skip
    answer(back, "M2", "hours_back", "typing error", by=ADA)
    assert known_flagged(back, learned) is None
    assert [flag.kind for flag in learn_flagged(back, learned).upkeep] == ["observation", "observation"]
    board = UpkeepDesk(back, lambda: NOW, ADA).board()
    assert [(flag.record_id, flag.said) for flag in board.flags if flag.answered] == [
        ("M2", f"typing error ({ADA})")
    ]
    assert {flag.record_id for flag in board.of(P1).flags} == {"O2"}
    assert {flag.record_id for flag in board.of(WATT).flags} == {"M2"}


def test_a_new_entry_is_looked_through(back: Book) -> None:
    learned: dict[str, Any] = {}
    learn_flagged(back, learned)
    entry = {
        "entry_id": "M3",
        "aircraft": WATT,
        "completed": "2031-05-10T08:00Z",
        "text": "x",
        "aircraft_hours": 1,
    }
    put(back, "maintenance", entry)
    assert known_flagged(back, learned) is None
