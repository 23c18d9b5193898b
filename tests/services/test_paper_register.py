"""The list of issued papers: what was written to a file stands there, and says whether what it rests on has changed."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from logbook.reports.paper_line import read_line
from logbook.services.correct import correct, strike
from logbook.services.export_book import export_package
from logbook.services.export_pages import packs_page, paper_of, table_page
from logbook.services.export_table import export_table, table_of
from logbook.services.import_book import import_package
from logbook.services.paper_check import CHANGED, UNCHANGED, UNKNOWN
from logbook.services.paper_files import write_papers
from logbook.services.paper_register import NOT_NOTED, as_data, issued_papers, note_issue
from logbook.store.database import Book
from logbook.store.records import Records
from logbook.store.settings import Settings
from tests.club import ADA, BEN, P1, P3, WATT, flight_at, put


@pytest.fixture
def flown(book: Book) -> Book:
    """Three flights of one aeroplane."""
    put(book, "flight", [flight_at(8 + n, f"F{n}") for n in range(3)])
    return book


def issue(book: Book, what: str = "pack", which: str = P1, as_of: str | None = "2031-05-20") -> None:
    assert note_issue(book, paper_of(book, what, which, as_of), ["text"], f"{what}.txt", by=ADA) == ""


def states(book: Book) -> list[tuple[str, str]]:
    return [(one.row["what"], one.records) for one in issued_papers(book)]


def test_what_was_issued_stands_in_the_list_with_all_that_is_asked_of_it(flown: Book) -> None:
    paper = paper_of(flown, "pack", P1, "2031-05-20")
    assert note_issue(flown, paper, ["pdf", "html"], "pack-LARK-01", by=ADA) == ""
    (one,) = issued_papers(flown)
    assert paper.line is not None
    told = {
        name: one.row[name] for name in ("what", "which", "as_of", "by_whom", "digest", "format", "file_name")
    }
    assert told == {
        "what": "pack", "which": P1, "as_of": "2031-05-20T23:59Z", "by_whom": ADA, "digest": paper.digest,
        "format": "pdf html", "file_name": "pack-LARK-01",
    }  # fmt: skip
    assert one.row["issued"] == f"{paper.line.issued[:16]}Z"
    read = read_line(one.row["line"].removeprefix("Paper check:"))
    assert read is not None
    assert read.line == paper.line
    assert one.title.startswith("Component record of pack LARK-01, as of 2031-05-20 23:59 UTC, issued ")
    assert one.title.endswith(" by Ada Quill (pack-LARK-01)")
    assert (one.sign, one.records) == ("ok", UNCHANGED)
    assert one.words.startswith("UNCHANGED SINCE ISSUE")


def test_each_says_whether_what_it_rests_on_has_changed(flown: Book) -> None:
    issue(flown)
    issue(flown, "aircraft", WATT)
    issue(flown, "pack", P3)
    assert states(flown) == [("pack", UNCHANGED), ("aircraft", UNCHANGED), ("pack", UNCHANGED)]
    correct(flown, "flight", "F1", {f"{P1}.soh_pct": 91.5}, by=BEN, why="misread")
    assert states(flown) == [("pack", UNCHANGED), ("aircraft", CHANGED), ("pack", CHANGED)]
    last = issued_papers(flown)[-1]
    assert last.sign == "!"
    assert last.words == "CHANGED SINCE ISSUE: flights (3, as many as then)."
    told = as_data(last)
    assert (told["records"], told["differences"]) == (CHANGED, [{"kind": "flights", "then": 3, "now": 3}])
    assert "F1" in {one["id"] for one in told["changed"]}


def test_a_limit_of_the_type_is_a_record_behind_the_paper_of_a_pack(flown: Book) -> None:
    issue(flown)
    correct(flown, "pack-type", "PK-12", {"cells_apart_limit_mv": 50}, by=BEN, why="manual")
    assert states(flown) == [("pack", CHANGED)]


def test_one_that_cannot_be_compared_any_more_says_why_and_the_others_are_answered(flown: Book) -> None:
    issue(flown, "pack", P3)
    issue(flown)
    correct(flown, "pack", P3, {"serial_no": "LARK-33"}, by=BEN, why="mistyped")
    first, second = issued_papers(flown)
    assert first.records == UNCHANGED
    assert (second.records, second.sign, second.checked) == (UNKNOWN, "!", None)
    assert second.words.startswith(
        "CANNOT BE TOLD: Since it was issued, pack 'LARK-03' got another name, 'LARK-33'"
    )
    assert as_data(second)["differences"] == []


def test_a_paper_that_was_withdrawn_is_struck_out(flown: Book) -> None:
    issue(flown)
    (one,) = issued_papers(flown)
    strike(flown, "paper", one.row["paper_id"], by=ADA, why="printed by mistake")
    assert issued_papers(flown) == []


def test_the_page_of_a_table_is_of_no_day_and_stands_in_no_list(flown: Book) -> None:
    assert note_issue(flown, table_page(flown, table_of(flown, "due", None)), ["html"], "due.html") == ""
    assert issued_papers(flown) == []
    assert note_issue(flown, packs_page(flown), ["html"], "packs.html") == ""
    (one,) = issued_papers(flown)
    assert (one.row["what"], one.row["which"], one.records) == ("packs", None, UNCHANGED)
    assert one.title.startswith("Page of all packs, as of ")


def test_the_screens_note_one_paper_in_all_its_forms_by_who_is_at_the_keys(
    flown: Book, tmp_path: Path
) -> None:
    with flown.writing():
        Settings(flown).set("operator", BEN)
    written = write_papers(flown, "pack", P1, tmp_path)
    assert written.said == ""
    (one,) = issued_papers(flown)
    assert one.row["by_whom"] == BEN
    assert one.row["file_name"] == written.files[0].stem
    forms = {"text" if path.suffix == ".txt" else path.suffix[1:] for path in written.files}
    assert set(one.row["format"].split()) == forms


def test_an_export_says_which_paper_it_wrote_and_a_table_is_none(flown: Book, tmp_path: Path) -> None:
    paper = export_table(flown, "pack", P1, tmp_path / "pack.html")
    assert paper is not None
    assert paper.line is not None
    assert export_table(flown, "packs", None, tmp_path / "packs.csv") is None
    assert issued_papers(flown) == []  # writing alone notes nothing


def test_from_a_book_that_can_only_be_read_the_paper_is_written_and_not_noted(
    flown: Book, tmp_path: Path
) -> None:
    issue(flown)
    path = flown.path
    with Book.open(path, readonly=True) as readonly:
        written = write_papers(readonly, "pack", P1, tmp_path)
        assert written.said == NOT_NOTED
        assert all(file.stat().st_size for file in written.files)
        assert len(issued_papers(readonly)) == 1
    assert len(issued_papers(flown)) == 1


def test_while_another_program_holds_the_book_the_paper_is_written_and_not_noted(flown: Book) -> None:
    flown.connection.execute("PRAGMA busy_timeout = 0")
    other = sqlite3.connect(flown.path, isolation_level=None)
    try:
        other.execute("BEGIN IMMEDIATE")
        paper = paper_of(flown, "pack", P1, "2031-05-20")
        assert note_issue(flown, paper, ["text"], "pack.txt") == NOT_NOTED
        other.execute("ROLLBACK")
    finally:
        other.close()
    assert note_issue(flown, paper, ["text"], "pack.txt") == ""


def test_the_list_goes_out_and_comes_back_with_a_package(flown: Book, tmp_path: Path) -> None:
    issue(flown)
    export_package(flown, tmp_path / "out.zip")
    with Book.open(tmp_path / "new.logbook", create=True) as other:
        import_package(other, tmp_path / "out.zip")
        assert states(other) == [("pack", UNCHANGED)]
        ours, theirs = ([row for _, row in Records(one, "paper").select()] for one in (flown, other))
        assert ours == theirs
