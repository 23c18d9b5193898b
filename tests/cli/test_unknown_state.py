"""A state that the program does not know enters, is said at once wherever it comes in, and grounds nothing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from logbook.domain.pack_states import STATES, known_state
from logbook.services.grounding import GROUNDING
from logbook.services.unknown_state import unknown_state
from tests.club import P1

NONE_OF = "is none of fitted, store, quarantined, away, transport, scrapped: it grounds nothing."


def grounded(logbook, serial: str) -> str:
    return logbook("pack", serial, "--format", "json").json["row"]["grounded"]


@pytest.mark.usefixtures("book_path")
@pytest.mark.parametrize("typed", ["Quarantined", "QUARANTINED", " quarantined "])
def test_a_known_state_in_other_letters_is_that_state(logbook, typed: str) -> None:
    done = logbook("correct", "pack", P1, f"state={typed}", "--why", "smell")
    assert done.status == 0
    assert "none of" not in done.err
    assert grounded(logbook, P1) == "it is quarantined"
    assert logbook("show", "pack", P1, "--format", "json").json["state"] == "quarantined"


@pytest.mark.usefixtures("book_path")
def test_an_unknown_word_enters_and_is_said_at_once_and_on_the_page(logbook) -> None:
    done = logbook("correct", "pack", P1, "state=quarantine", "--why", "smell")
    assert done.status == 0
    assert f"The state 'quarantine' {NONE_OF}" in done.err
    assert grounded(logbook, P1) == ""
    page = " ".join(logbook("pack", P1).out.split())
    assert f"The state 'quarantine' {NONE_OF}" in page
    other = logbook("correct", "pack", P1, "made_on=2030-01-01")
    assert "none of" not in other.err  # said where it is set, not with every later change


@pytest.mark.usefixtures("book_path")
def test_a_pack_added_or_imported_with_an_unknown_word_is_told(logbook, tmp_path: Path) -> None:
    fresh = tmp_path / "pack.json"
    fresh.write_text(
        json.dumps([{"serial_no": "NEW-1", "state": "grnded"}, {"serial_no": "NEW-2", "state": "Away"}])
    )
    added = logbook("add", "pack", str(fresh))
    assert added.status == 0
    assert f"check: The state 'grnded' {NONE_OF} [state_unknown]" in added.err
    assert grounded(logbook, "NEW-2") == "it is away"
    rows = tmp_path / "in" / "packs.csv"
    rows.parent.mkdir()
    rows.write_text("serial_no,state\nNEW-3,to be seen\n")
    taken = logbook("import", str(rows))
    assert taken.status == 0
    assert f"Pack NEW-3: The state 'to be seen' {NONE_OF}" in taken.err


def test_every_grounding_state_is_one_that_is_known() -> None:
    assert set(GROUNDING) < set(STATES)
    assert [known_state(word.upper()) for word in STATES] == list(STATES)
    assert unknown_state(None) == unknown_state("Store") == ""
