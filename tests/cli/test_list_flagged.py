"""Lists narrowed by a flag: charges, observations and entries as well as flights; a rule of another kind is refused."""

from __future__ import annotations

import json

import pytest

from logbook.cli.main import run
from logbook.services.correct import correct
from logbook.store.database import Book
from tests.club import ADA, P1, P2, charge, put


@pytest.fixture
def charged(book: Book) -> Book:
    """Three charges of which one began too cold."""
    correct(book, "pack", P1, {"charge_min_temp_c": 5}, by=ADA)
    for day, temperature in ((1, 12), (2, 1), (3, 20)):
        started = f"2031-05-{day:02d}T10:00Z"
        put(book, "charge", charge(f"C{day}", P1, started, temp_start_c=temperature))
    put(book, "charge", charge("C9", P2, "2031-05-09T10:00Z", temp_start_c=1))
    return book


def listed(book: Book, capsys: pytest.CaptureFixture[str], *words: str) -> list[str]:
    assert run(["--file", str(book.path), "list", *words, "--format", "json"]) == 0
    return [row["charge_id"] for row in json.loads(capsys.readouterr().out)]


def test_charges_by_a_rule(charged: Book, capsys: pytest.CaptureFixture[str]) -> None:
    assert listed(charged, capsys, "charges", "--flag", "charge_temperature") == ["C2"]
    assert "C2" in listed(charged, capsys, "charges", "--flag", "any")
    assert listed(charged, capsys, "charges", "--flag", "charge_temperature", "--pack", P2) == []
    assert listed(charged, capsys, "charges", "--flag", "any", "--since", "2031-05-04", "--pack", P1) == []


def test_a_limit_counts_what_has_the_flag_and_not_what_was_looked_through(
    charged: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    assert listed(charged, capsys, "charges", "--flag", "charge_temperature", "--limit", "1") == ["C2"]
    assert listed(charged, capsys, "charges", "--flag", "charge_temperature", "--limit", "0") == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("charges", "--flag", "landing_below_reserve"), "no rule 'landing_below_reserve' for charges"),
        (("flights", "--flag", "charge_temperature"), "no rule 'charge_temperature' for flights"),
        (("defects", "--flag", "any"), "cannot be narrowed by --flag"),
        (("packs", "--flag", "ledger_gap"), "cannot be narrowed by --flag"),
    ],
)
def test_a_rule_that_looks_at_other_records_is_refused(
    charged: Book, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], said: str
) -> None:
    assert run(["--file", str(charged.path), "list", *words]) == 2
    assert said in capsys.readouterr().err


def test_a_counter_that_went_back_is_answered_by_command_and_is_then_open_no_more(logbook, book_path) -> None:
    from logbook.store.database import Book
    from tests.club import P1, put

    with Book.open(book_path) as book:
        for number, cycles in ((1, 90), (2, 3)):
            seen = {"observation_id": f"O{number}", "serial_no": P1, "at": f"2031-05-0{number}T08:00Z"}
            put(book, "observation", seen | {"counter_cycles": cycles})
    assert [
        row["observation_id"]
        for row in logbook("list", "observations", "--flag", "any", "--format", "json").json
    ] == ["O2"]
    assert (
        logbook("answer", "O2", "counter_back", "--words", "display exchanged", "--by", "Ada Quill").status
        == 0
    )
    assert logbook("list", "observations", "--flag", "any", "--format", "json").json == []
    shown = logbook("show", "observation", "O2")
    assert "display exchanged" in shown.out
    assert logbook("answer", "O1", "counter_back", "--words", "x").status == 3
