"""Flags of charges are answered like those of flights: in words, until the figure behind them changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from logbook.errors import DataRefused
from logbook.paths import sample_file
from logbook.rules import catalogue, charge_rules
from logbook.services import flagged_charges as flagged_charges_module
from logbook.services.answer import answer
from logbook.services.charge_cases import ChargeFlags
from logbook.services.charging import metered
from logbook.services.correct import correct, strike
from logbook.services.export_book import export_package
from logbook.services.flagged_charges import flagged_charges, known_flagged, learn_flagged
from logbook.services.import_book import import_package
from logbook.services.questions import list_records, show
from logbook.store.database import Book
from logbook.store.derived import Derived
from logbook.store.flights import FlightFilter
from logbook.store.records import Records
from logbook.store.settings import Settings
from tests.club import ADA, P1, P2, charge, flight_at, put, reading

COLD = charge("C1", P1, "2031-05-09T10:00Z", ended="2031-05-09T11:00Z", temp_start_c=2)


@pytest.fixture
def cold(book: Book) -> Book:
    """A pack of two was charged below its least temperature; the other one was warm enough."""
    correct(book, "pack-type", "PK-12", {"charge_min_temp_c": 5, "charge_max_temp_c": 45}, by=ADA)
    put(book, "charge", [COLD, COLD | {"serial_no": P2, "temp_start_c": 12}])
    return book


def answered(book: Book) -> list[bool]:
    return [flag["answered"] for flag in show(book, "charge", "C1")["flags"]]


def test_an_answer_closes_the_flag_and_stays_with_who_and_when(cold: Book) -> None:
    assert answered(cold) == [False]
    answer(cold, "C1", "charge_temperature", "heater had failed", by=ADA)
    assert answered(cold) == [True]
    (said,) = show(cold, "charge", "C1")["answers"]
    assert (said["words"], said["by_whom"], said["serial_no"], said["flight_id"]) == (
        "heater had failed", ADA, P1, None,
    )  # fmt: skip
    assert said["at"]


def test_a_list_narrowed_to_open_flags_leaves_the_answered_charge_out(cold: Book) -> None:
    def narrowed(flag: str) -> list[str]:
        return [row["serial_no"] for row in list_records(cold, "charge", FlightFilter(flag=flag))]

    assert narrowed("any") == [P1]
    answer(cold, "C1", "charge_temperature", "heater had failed")
    assert narrowed("any") == []
    assert narrowed("charge_temperature") == [P1]


def test_it_opens_again_when_its_figure_changes_and_not_when_something_else_does(cold: Book) -> None:
    answer(cold, "C1", "charge_temperature", "heater had failed")
    correct(cold, "charge", "C1", {"place": "hangar"})
    assert answered(cold) == [True]
    correct(cold, "charge", "C1", {f"{P1}.temp_start_c": 1})
    assert answered(cold) == [False]


def test_a_struck_answer_no_longer_answers(cold: Book) -> None:
    answer_id = answer(cold, "C1", "charge_temperature", "heater had failed")
    strike(cold, "answer", answer_id, why="about another charge")
    assert answered(cold) == [False]


def test_the_same_words_again_are_the_same_answer_and_each_pack_has_its_own(cold: Book) -> None:
    first = answer(cold, "C1", "charge_temperature", "heater had failed")
    assert answer(cold, "C1", "charge_temperature", "heater had failed") == first
    correct(cold, "charge", "C1", {f"{P2}.temp_start_c": 2})
    answer(cold, "C1", "charge_temperature", "this one too", serial_no=P2)
    assert answered(cold) == [True, True]


def test_answering_changes_no_figure(cold: Book) -> None:
    put(cold, "flight", flight_at(12, "F1"))
    before = Derived(cold).everything(), metered(cold), show(cold, "charge", "C1")["packs"]
    answer(cold, "C1", "charge_temperature", "heater had failed")
    assert (Derived(cold).everything(), metered(cold), show(cold, "charge", "C1")["packs"]) == before


def test_what_has_no_such_flag_or_no_words_is_refused(cold: Book) -> None:
    with pytest.raises(DataRefused, match="The charge 'C1' has no flag 'charge_long'"):
        answer(cold, "C1", "charge_long", "x")
    with pytest.raises(DataRefused, match="The flight 'F77' has no flag"):
        answer(cold, "F77", "charge_temperature", "x")
    with pytest.raises(DataRefused, match="needs words"):
        answer(cold, "C1", "charge_temperature", " ")


def test_no_rule_looks_at_flights_and_charges_so_that_a_rule_tells_which_record_is_meant() -> None:
    assert not set(catalogue.RULES) & set(charge_rules.RULES)


def test_a_flight_and_a_charge_of_one_id_are_told_apart_by_the_rule(cold: Book) -> None:
    put(cold, "flight", flight_at(12, "C1", readings=[reading(P1, soc_landing_pct=10), reading(P2)]))
    rule = "landing_below_reserve"
    answer(cold, "C1", rule, "about the flight")
    answer(cold, "C1", "charge_temperature", "about the charge")
    assert [one["words"] for one in show(cold, "flight", "C1")["answers"]] == ["about the flight"]
    assert [one["words"] for one in show(cold, "charge", "C1")["answers"]] == ["about the charge"]


def test_an_answer_to_both_or_to_neither_is_refused(cold: Book) -> None:
    words = {"rule": "charge_fell", "figures": "{}", "words": "seen"}
    for owners in ({}, {"flight_id": "F1", "charge_id": "C1"}):
        with pytest.raises(DataRefused, match="one flight, charge, observation or maintenance entry"):
            put(cold, "answer", words | owners)


def test_the_answer_goes_out_and_in_with_the_package(cold: Book, tmp_path: Path) -> None:
    answer(cold, "C1", "charge_temperature", "heater had failed", by=ADA)
    export_package(cold, tmp_path / "p.zip")
    with Book.open(tmp_path / "second.logbook", create=True) as second:
        import_package(second, tmp_path / "p.zip")
        assert answered(second) == [True]
        assert show(second, "charge", "C1")["answers"] == show(cold, "charge", "C1")["answers"]


def test_today_hears_of_open_flags_until_they_are_answered_and_of_no_notes(cold: Book) -> None:
    fallen = {"soc_start_pct": 90, "soc_end_pct": 60}
    put(cold, "charge", charge("C2", P2, "2031-05-10T10:00Z", ended="2031-05-10T11:00Z", **fallen))
    correct(cold, "pack-type", "PK-12", {"storage_soc_pct": 40})
    put(cold, "charge", charge("C3", P1, "2031-06-01T10:00Z"))  # until then it stood too full: a note
    assert "note" in {flag["severity"] for flag in show(cold, "charge", "C1")["flags"]}
    found = flagged_charges(cold)
    assert [(flag.charge_id, flag.day, flag.serial_no, flag.severity) for flag in found.flags] == [
        ("C2", "2031-05-10", P2, "check"), ("C1", "2031-05-09", P1, "serious"),
    ]  # fmt: skip
    assert found.sessions == 2
    answer(cold, "C1", "charge_temperature", "heater had failed")
    answer(cold, "C2", "charge_fell", "gauge was replaced")
    assert flagged_charges(cold).flags == ()


def test_what_was_found_is_kept_until_the_book_the_answers_or_the_bands_change(cold: Book) -> None:
    learned: dict[str, object] = {}
    assert known_flagged(cold, learned) is None
    found = learn_flagged(cold, learned)
    assert known_flagged(cold, learned) is found
    answer(cold, "C1", "charge_temperature", "heater had failed")
    assert known_flagged(cold, learned) is None
    learn_flagged(cold, learned)
    put(cold, "charge", charge("C2", P2, "2031-05-10T10:00Z"))
    assert known_flagged(cold, learned) is None
    learn_flagged(cold, learned)
    with cold.writing():
        Settings(cold).set("charge_bands", {"fall_pct": 3.0})
    assert known_flagged(cold, learned) is None


def test_charges_judged_by_what_lies_around_them_have_the_flags_of_the_whole_record() -> None:
    with Book.open(sample_file(), readonly=True) as book:
        rows = [row for _, row in Records(book, "charge").select("struck = 0", (), "started DESC", 200)]
        around, whole = ChargeFlags(book, only=[row["charge_id"] for row in rows]), ChargeFlags(book)
        found = [
            (around.of(*key), whole.of(*key)) for row in rows if (key := (row["charge_id"], row["serial_no"]))
        ]
    assert sum(len(flags) for flags, _ in found) > 10
    assert [one for one, other in found if one != other] == []


def test_in_a_long_book_the_newest_charges_are_looked_through_and_that_is_said(
    cold: Book, monkeypatch
) -> None:
    assert flagged_charges(cold).looked_at is None
    monkeypatch.setattr(flagged_charges_module, "NEWEST", 1)
    assert flagged_charges(cold).looked_at == 1
