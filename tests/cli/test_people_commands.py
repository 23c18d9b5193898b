"""Commands on people, as a shell calls them."""

from __future__ import annotations

import json

import pytest

from logbook.cli.main import run
from logbook.services import keys
from logbook.store.database import Book
from logbook.store.settings import Settings
from tests.club import ADA, BEN, P1, flight_at, put, reading

pytestmark = pytest.mark.usefixtures("flown")

LESSON = {"pilot": BEN, "function": "dual", "second_person": ADA, "second_function": "instructor"}


@pytest.fixture
def flown(book_path, monkeypatch):
    monkeypatch.setattr(keys, "_COST", 2**4)
    with Book.open(book_path) as book:
        put(
            book,
            "flight",
            [
                flight_at(
                    8, "F", readings=[reading(P1, soc_landing_pct=20)], remarks="hot \x1b[2J", **LESSON
                ),
                flight_at(12, "S", pilot=BEN, function="solo"),
            ],
        )
    return book_path


@pytest.fixture
def secret(tmp_path, monkeypatch):
    path = tmp_path / "secret"
    path.write_text("correct horse\n")
    monkeypatch.setenv("LOGBOOK_PASSPHRASE_FILE", str(path))
    return path


def answer(capsys, *arguments, status=0):
    assert run(list(arguments)) == status
    return capsys.readouterr()


def test_totals_recency_and_a_students_history_as_text_and_json(capsys):
    assert "dual" in answer(capsys, "totals", BEN).out
    assert json.loads(answer(capsys, "totals", BEN, "--format", "json").out)["by_function"] == {
        "dual": 40,
        "solo": 40,
    }
    assert "61.57(a)" in answer(capsys, "recency", BEN, "--on", "2031-06-01").out
    rows = json.loads(answer(capsys, "recency", BEN, "--on", "2031-06-01", "--format", "json").out)
    assert rows["on"] == "2031-06-01"
    text = answer(capsys, "student", BEN, "--no-forecasts").out
    assert "below the reserve" in text
    assert "\x1b" not in text
    assert max(map(len, text.splitlines())) <= 80
    assert json.loads(answer(capsys, "student", BEN, "--format", "json").out)["person"] == BEN


def test_the_table_of_students_as_text_json_and_csv(capsys):
    assert BEN in answer(capsys, "students").out
    assert json.loads(answer(capsys, "students", "--format", "json").out)[0]["to_countersign"] == 1
    assert answer(capsys, "students", "--format", "csv").out.startswith("person,last_flight,")


def test_pages_name_what_is_incomplete_before_they_are_written(capsys, tmp_path):
    said = answer(capsys, "pages", BEN)
    assert said.err.startswith("incomplete: of the pilot")
    assert "Pilot's signature" in said.out
    target = tmp_path / "ben.html"
    answer(capsys, "pages", BEN, "--form", "american", "--format", "html", "--to", str(target))
    assert target.read_text().startswith("<!DOCTYPE html>")
    assert "is there already" in answer(capsys, "pages", BEN, "--to", str(target), status=2).err
    assert "1 to 1000" in answer(capsys, "pages", BEN, "--rows", "0", status=2).err


def test_exporting_a_person_as_a_paper_gives_the_record_and_as_a_table_the_table(capsys, book_path, tmp_path):
    assert (
        "Pilot logbook (columns of AMC1 FCL.050)"
        in answer(capsys, "export", "person", BEN, "--to", "-", "--format", "text").out
    )
    with Book.open(book_path) as book, book.writing():
        Settings(book).set("record_form", "american")
    said = answer(capsys, "export", "person", BEN, "--to", str(tmp_path / "ben.html"))
    assert "incomplete" in said.err
    assert "14 CFR 61.51(b)" in (tmp_path / "ben.html").read_text()
    assert answer(capsys, "export", "person", BEN, "--to", "-", "--format", "csv").out.startswith("flight_id")


@pytest.mark.usefixtures("secret")
def test_a_key_a_signature_and_a_change_that_shows(capsys):
    fingerprint = json.loads(answer(capsys, "key", "new", ADA, "--format", "json").out)["fingerprint"]
    assert answer(capsys, "sign", "F", "--person", ADA).out == "F: signed\n"
    assert answer(capsys, "sign", "F", "--person", ADA).out == "F: was signed already, as it is\n"
    assert answer(capsys, "signatures").out.startswith("good: F, signed by Ada Quill")
    answer(capsys, "correct", "flight", "F", "remarks=calm")
    assert "remarks: was" in answer(capsys, "signatures", status=1).out
    assert "changed since it was signed" in answer(capsys, "check", status=1).out
    listed = json.loads(answer(capsys, "key", "list", "--format", "json").out)
    assert listed == [{"person": ADA, "fingerprint": fingerprint, "pinned": True}]


@pytest.mark.usefixtures("secret")
def test_signing_what_names_another_instructor_is_noted(capsys):
    answer(capsys, "key", "new", ADA)
    answer(capsys, "key", "new", BEN)
    lesson = ("pilot=Cleo Fenn", "function=dual", f"second_person={ADA}", "second_function=instructor")
    answer(capsys, "correct", "flight", "F", *lesson)
    assert "another instructor" not in answer(capsys, "sign", "F", "--person", ADA).err
    assert f"F names another instructor: {ADA}" in answer(capsys, "sign", "F", "--person", BEN).err


@pytest.mark.usefixtures("secret")
def test_a_fingerprint_that_was_read_out_is_pinned(capsys):
    said = answer(capsys, "key", "pin", BEN, "ab" * 32).err
    assert "no key with this fingerprint" in said
    assert keys.pins() == {"ab" * 32: BEN}
    assert "no signing key" in answer(capsys, "key", "pin", ADA, status=3).err


def test_signing_without_a_key_or_with_a_wrong_passphrase_is_refused_in_words(secret, capsys):
    assert "no signing key" in answer(capsys, "sign", "F", "--person", BEN, status=3).err
    answer(capsys, "key", "new", ADA)
    secret.write_text("wrong guess\n")
    assert "passphrase does not open" in answer(capsys, "sign", "F", "--person", ADA, status=3).err


def test_a_passphrase_is_never_taken_from_a_pipe(capsys, monkeypatch):
    monkeypatch.delenv("LOGBOOK_PASSPHRASE_FILE", raising=False)
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    assert "no terminal" in answer(capsys, "key", "new", ADA, status=2).err


def test_forgetting_says_what_remains(capsys):
    said = answer(capsys, "forget", BEN, "--as", "Student 7", "--why", "asked")
    assert "now say Student 7" in said.out
    assert "copies of the file elsewhere" in said.err
    assert "no person 'Ben Marsh'" in answer(capsys, "totals", BEN, status=3).err


def test_a_months_hours_and_energy_as_csv(capsys):
    lines = answer(capsys, "billing", "--month", "2031-05", "--format", "csv").out.splitlines()
    assert lines[0].startswith("month,person,aircraft,flights,block_hours")
    assert lines[1].startswith("2031-05,Ben Marsh,X-WATT,2,")
    assert "No flights" in answer(capsys, "billing", "--month", "1999-01").out


def test_an_unknown_person_or_a_bad_day_is_a_sentence(capsys):
    assert "no person 'Nobody'" in answer(capsys, "student", "Nobody", status=3).err
    assert "not a date" in answer(capsys, "recency", BEN, "--on", "May", status=2).err
