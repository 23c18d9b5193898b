"""Forgetting a person: the name is gone from the whole file, and nothing else changes."""

from __future__ import annotations

import json
from dataclasses import asdict

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.services import keys
from logbook.services.answer import answer
from logbook.services.check import check
from logbook.services.correct import correct
from logbook.services.forget import forget
from logbook.services.people import totals_of
from logbook.services.sign import make_key, sign
from logbook.services.verify import verify
from logbook.store.database import Book
from logbook.store.settings import Settings
from tests.club import ADA, BEN, CLEO, P1, flight_at, put, reading

SECRET = "correct horse"  # noqa: S105 - a test's own
GONE = "Student 7"


@pytest.fixture
def known(book, monkeypatch):
    """A book in which one person left their name wherever a name can stand."""
    monkeypatch.setattr(keys, "_COST", 2**4)
    correct(
        book, "person", BEN, {"licence_no": "L-4711", "address": "3 Elm Close"}, by=BEN, why="asked Ben Marsh"
    )
    correct(book, "person", BEN, {"person": "Benno Marsh"}, by=ADA)
    correct(book, "person", "Benno Marsh", {"person": BEN}, by=ADA)
    put(
        book,
        "flight",
        [
            flight_at(
                8,
                "F",
                pilot=BEN,
                function="dual",
                second_person=ADA,
                second_function="instructor",
                remarks="BEN MARSH flew well",
            ),
            flight_at(
                12,
                "G",
                pilot=ADA,
                readings=[reading(P1, soc_landing_pct=10)],
                crew=[{"person": BEN, "function": "dual"}],
            ),
            flight_at(14, "H", pilot=CLEO),
        ],
        by=BEN,
    )
    put(book, "person-item", {"person": BEN, "item": "medical", "valid_until": "2032-01-01"}, by=BEN)
    correct(book, "flight", "F", {"debrief": "Ben Marsh was early"}, by=BEN, why="Ben Marsh said so")
    correct(book, "flight", "F", {"debrief": "was early"}, by=BEN)
    answer(book, "G", "landing_below_reserve", "talked over", serial_no=P1, by=BEN)
    make_key(book, ADA, SECRET)
    sign(book, ["F", "H"], ADA, SECRET)
    with book.writing():
        Settings(book).set("operator", BEN)
    return book


def test_the_name_is_in_no_byte_of_the_file_afterwards(known):
    done = forget(known, BEN, GONE, "asked to be forgotten", by=ADA)
    assert done.replaced > 10
    data = known.path.read_bytes()
    for text in (b"Ben Marsh", b"BEN MARSH", b"Benno", b"L-4711", b"Elm Close"):
        assert text not in data
    assert Settings(known).value("operator") == GONE


def test_flights_totals_guards_and_the_check_stay_as_they_were(known):
    before = asdict(totals_of(known, BEN))
    guards = known.connection.execute(
        "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name"
    ).fetchall()
    forget(known, BEN, GONE, "asked to be forgotten", by=ADA)
    assert asdict(totals_of(known, GONE)) == before
    assert (
        guards
        == known.connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name"
        ).fetchall()
    )
    words = [finding.what for finding in check(known)]
    assert len(words) == 1  # the history before the signature that still holds was rewritten, and it says so
    assert "not the one that was there at signing" in words[0]
    known.close()
    with Book.open(known.path) as again:
        assert totals_of(again, GONE).flights == before["flights"]


def test_signatures_over_the_name_are_void_and_others_stay_good(known):
    done = forget(known, BEN, GONE, "asked to be forgotten", by=ADA)
    assert done.voided == 1
    assert {one.flight_id: one.state for one in verify(known)} == {"F": "void", "H": "good"}


def test_signatures_of_somebody_with_an_id_of_their_own_outlive_forgetting(known):
    put(known, "person", {"person": "Eve Stone", "record_id": "P7"})
    put(
        known,
        "flight",
        flight_at(
            16, "E", pilot="Eve Stone", function="dual", second_person=ADA, second_function="instructor"
        ),
    )
    sign(known, ["E"], ADA, SECRET)
    assert forget(known, "Eve Stone", GONE, "asked to be forgotten", by=ADA).voided == 0
    assert {one.flight_id: one.state for one in verify(known)}["E"] == "good"


def test_what_was_done_is_kept_with_when_and_why(known):
    forget(known, BEN, GONE, "asked to be forgotten", by=BEN)
    (note,) = Settings(known).value("forgotten")
    assert (note["as"], note["by"], note["why"]) == (GONE, GONE, "asked to be forgotten")
    assert note["head_before"] != note["head_after"]
    assert json.dumps(note).find("Marsh") == -1


def test_parts_of_the_name_that_still_stand_somewhere_are_pointed_at(known):
    correct(known, "flight", "H", {"remarks": "with young Marsh"}, by=ADA)
    hints = forget(known, BEN, GONE, "asked to be forgotten", by=ADA).hints
    assert "flight.remarks: 1" in hints


def test_a_longer_name_that_holds_the_name_is_left_alone(known):
    put(known, "person", {"person": "Ruben Marshall"})
    forget(known, BEN, GONE, "asked to be forgotten", by=ADA)
    assert totals_of(known, "Ruben Marshall").flights == 0


def test_a_taken_pseudonym_an_unknown_person_or_a_name_in_the_reason_is_refused(known):
    with pytest.raises(DataRefused, match="is a person of this book already"):
        forget(known, BEN, ADA, "asked")
    with pytest.raises(DataRefused, match="no person 'Eve'"):
        forget(known, "Eve", GONE, "asked")
    with pytest.raises(UsageError, match="holds the name"):
        forget(known, BEN, GONE, "ben marsh asked")
    with pytest.raises(UsageError, match="a reason"):
        forget(known, BEN, GONE, " ")
    assert totals_of(known, BEN).flights == 2


def test_a_defect_report_holds_no_name(known):
    from logbook.paths import crash_report

    with pytest.raises(DataRefused) as raised:
        totals_of(known, "Nobody of that name")
    assert "Nobody" not in crash_report(raised.value).read_text()


def test_the_table_of_packs_names_nobody(known, tmp_path):
    from logbook.services.export_table import export_table

    export_table(known, "packs", None, tmp_path / "packs.csv")
    text = (tmp_path / "packs.csv").read_text()
    assert P1 in text
    assert not any(name in text for name in (ADA, BEN, CLEO))
