"""Exports of single tables, through the same function as the commands."""

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.exchange.layout import LAYOUTS
from logbook.services.export_table import export_table
from logbook.store.database import Book
from tests.exchange.example_book import NASTY, make_book


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with make_book(tmp_path / "a.logbook") as opened:
        yield opened


def written(book: Book, what: str, which: str | None, form: str) -> str:
    stream = io.BytesIO()
    export_table(book, what, which, stream, form)
    return stream.getvalue().decode()


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_flights_come_oldest_first_with_what_is_derived_and_without_struck_ones(book: Book) -> None:
    found = rows(written(book, "flights", None, "csv"))
    assert [row["flight_id"] for row in found] == [f"F-{n:02d}" for n in range(len(NASTY)) if n != 2]
    assert list(found[0])[: len(LAYOUTS["flights"].promised)] == list(LAYOUTS["flights"].promised)
    assert found[0]["block_min"] == "60"
    assert found[0]["landing_soc_pct"] == "25"
    assert found[0]["remarks"] == "'" + NASTY[0]
    listed = json.loads(written(book, "flights", None, "json"))
    assert listed[0]["remarks"] == NASTY[0]
    assert listed[0]["readings"][0]["derived"]
    assert listed[0]["flags"]


def test_a_person_has_their_flights_and_totals(book: Book) -> None:
    found = rows(written(book, "person", "Ben", "csv"))
    assert {row["function"] for row in found} == {"dual"}
    assert len(found) == len(NASTY) - 1
    whole = json.loads(written(book, "person", "Ben", "json"))
    assert len(whole["flights"]) == len(NASTY) - 1
    assert whole["totals"]
    with pytest.raises(DataRefused):
        written(book, "person", "Nobody", "csv")


def test_packs_and_one_pack(book: Book) -> None:
    assert [row["serial_no"] for row in rows(written(book, "packs", None, "csv"))] == ["S1", "S2"]
    events = rows(written(book, "pack", "S2", "csv"))
    assert [row["at"] for row in events] == sorted(row["at"] for row in events)
    assert len(events) == len(NASTY) - 1
    with pytest.raises(DataRefused):
        written(book, "pack", "S9", "csv")


def test_due_dates_of_all_or_of_one(book: Book) -> None:
    assert rows(written(book, "due", None, "csv"))[0]["due"] == "2031-12-31"
    assert "SUMMARY:solo authorisation: Ben" in written(book, "person", "Ben", "ics")
    assert "BEGIN:VEVENT" not in written(book, "aircraft", "X-ABC", "ics")
    with pytest.raises(UsageError, match="have none"):
        written(book, "flights", None, "ics")


def test_a_plan_comes_whole_as_json(book: Book) -> None:
    assert json.loads(written(book, "plan", "P1", "json"))["inputs"] == {"legs": []}
    with pytest.raises(DataRefused):
        written(book, "plan", "P9", "json")


def test_the_form_follows_the_ending_of_the_file(book: Book, tmp_path: Path) -> None:
    for ending, start in (
        (".csv", b"flight_id,"),
        (".json", b"["),
        (".txt", b"flight_id "),
        (".xlsx", b"PK"),
    ):
        export_table(book, "flights", None, str(tmp_path / f"f{ending}"))
        assert (tmp_path / f"f{ending}").read_bytes().startswith(start)


def test_unknown_words_are_refused(book: Book) -> None:
    for what, which, form in (("flights", None, "odt"), ("weather", None, "csv"), ("pack", None, "csv")):
        with pytest.raises(UsageError):
            written(book, what, which, form)
