"""Papers written by command are listed and asked about; one on standard output is only looked at."""

from __future__ import annotations

from pathlib import Path

import pytest

from logbook.store.database import Book
from tests import club
from tests.club import P1, put


@pytest.fixture
def _flown(book: Book) -> None:
    put(book, "flight", [club.flight_at(8, "F1"), club.flight_at(10, "F2")])


pytestmark = pytest.mark.usefixtures("_flown")


def test_a_paper_in_a_file_is_listed_and_one_on_standard_output_is_not(logbook, tmp_path: Path) -> None:
    assert logbook("paper", "pack", P1).status == 0
    assert logbook("list", "papers", "--format", "json").json == []
    assert logbook("paper", "pack", P1, "--to", str(tmp_path / "p.html"), "--by", "Cleo Fenn").status == 0
    to = str(tmp_path / "year.txt")
    assert logbook("export", "year", "2031", "--to", to, "--format", "text").status == 0
    assert logbook("export", "packs", "--to", str(tmp_path / "packs.csv")).status == 0
    rows = logbook("list", "papers", "--format", "json").json
    known = {(row["what"], row["which"], row["format"], row["file_name"], row["by_whom"]) for row in rows}
    assert known == {("pack", P1, "html", "p.html", "Cleo Fenn"), ("year", "2031", "text", "year.txt", None)}
    assert P1 in logbook("list", "papers").out


def test_a_refused_paper_is_not_listed(logbook, tmp_path: Path) -> None:
    taken = tmp_path / "p.html"
    taken.write_text("mine")
    assert logbook("paper", "pack", P1, "--to", str(taken)).status == 2
    assert logbook("list", "papers", "--format", "json").json == []


def test_check_without_a_file_answers_for_each(logbook, tmp_path: Path) -> None:
    nothing = logbook("paper", "check")
    assert (nothing.status, nothing.out) == (0, "")
    assert "No paper was issued" in nothing.err
    logbook("paper", "pack", P1, "--to", str(tmp_path / "p.html"), "--as-of", "2031-05-20")
    same = logbook("paper", "check")
    assert same.status == 0
    assert same.out.startswith(f"ok Component record of pack {P1}, as of 2031-05-20 23:59 UTC, issued ")
    assert "(p.html): UNCHANGED SINCE ISSUE" in same.out
    assert logbook("correct", "flight", "F1", f"{P1}.soh_pct=90", "--why", "misread").status == 0
    changed = logbook("paper", "check")
    assert changed.status == 1
    assert changed.out.startswith("!  Component record of pack")
    assert "CHANGED SINCE ISSUE: flights (2, as many as then)." in changed.out
    told = logbook("paper", "check", "--format", "json")
    assert told.status == 1
    assert [(one["what"], one["records"], one["file_name"]) for one in told.json] == [
        ("pack", "changed", "p.html")
    ]


def test_a_paper_without_a_name_is_asked_for_it(logbook) -> None:
    answer = logbook("paper", "pack")
    assert answer.status == 2
    assert "Which pack?" in answer.err
