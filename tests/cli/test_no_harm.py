"""What a command must never do by the way: overwrite a book, leave one behind, answer by half."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from logbook import open_logbook
from logbook.errors import FileTrouble, UsageError
from logbook.paths import refuse_unfit
from logbook.services.desk import Desk
from logbook.store.backup import back_up, backups_of
from logbook.store.database import Book
from tests.club import flight, put


@pytest.mark.parametrize("beside", ["", "-journal", "-wal"])
@pytest.mark.parametrize(
    "words",
    [("flights", "--format", "csv"), ("packs", "--format", "html"), ("all",), ("due", "--format", "ics")],
    ids=" ".join,
)
def test_no_export_replaces_a_book_or_what_belongs_to_it_even_by_force(logbook, book_path, words, beside):
    before = book_path.read_bytes()
    answer = logbook("export", *words, "--to", f"{book_path}{beside}", "--force")
    assert answer.status == 2
    assert "a book or another database" in answer.err
    assert book_path.read_bytes() == before
    assert not Path(f"{book_path}-wal").exists()


def test_a_book_is_no_backup_of_itself(logbook, book_path):
    before = book_path.read_bytes()
    answer = logbook("backup", "--to", book_path, "--force")
    assert answer.status == 2
    assert book_path.read_bytes() == before


def test_a_pipe_or_a_device_is_not_replaced_by_a_file(logbook, book_path, tmp_path):
    assert book_path.exists()
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    answer = logbook("export", "packs", "--to", pipe, "--force")
    assert answer.status == 2
    assert "no ordinary file" in answer.err
    assert pipe.is_fifo()
    with pytest.raises(UsageError):
        refuse_unfit(Path("/dev/null"))


def test_other_files_are_replaced_by_force_as_before(logbook, book_path, tmp_path):
    assert book_path.exists()
    target = tmp_path / "packs.csv"
    target.write_text("SQLite format", encoding="utf-8")
    assert logbook("export", "packs", "--to", target, "--force").status == 0
    assert target.read_text().startswith("serial_no")


@pytest.mark.parametrize(
    ("words", "given"),
    [
        (("import", "nowhere"), None),
        (("import", "rows", "--dry-run"), None),
        (("add", "person", "-"), {"person": ""}),
        (("add", "person", "-"), b"{"),
    ],
    ids=["no such file", "tried only", "refused", "no json"],
)
def test_a_command_that_wrote_nothing_leaves_no_book_behind(logbook, tmp_path, monkeypatch, words, given):
    monkeypatch.chdir(tmp_path)
    Path("rows").mkdir()
    Path("rows/people.csv").write_text("person\nAda\n", encoding="utf-8")
    path = tmp_path / "new.logbook"
    assert logbook("--file", path, *words, given=given).status == (0 if "--dry-run" in words else 3)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["rows"]
    assert logbook("--file", path, "list", "people").status == 3


PERSON = {"person": "Dora Reed"}


def _without_its_book(book_path: Path) -> Path:
    """A backup of a book that is gone; as when a card is not in its slot, or somebody tidied up."""
    with Book.open(book_path) as book:
        put(book, "flight", flight())
    kept = back_up(book_path, reason="daily")
    book_path.unlink()
    return kept


def test_who_reads_a_book_that_is_gone_is_told_of_its_backups(logbook, book_path):
    kept = _without_its_book(book_path)
    answer = logbook("list", "flights")
    assert answer.status == 3
    assert f"'logbook restore {kept}' puts it back" in answer.err
    assert "salvage" not in answer.err
    assert not book_path.exists()
    assert logbook("restore").status == 0
    assert "F1" in logbook("list", "flights").out


def test_a_book_begun_where_one_is_gone_says_so_and_leaves_the_backups_of_the_other_alone(logbook, book_path):
    kept = _without_its_book(book_path)
    answer = logbook("add", "person", "-", given=PERSON)
    assert answer.status == 0
    (aside,) = book_path.parent.glob("book.logbook.earlier-*.backups")
    now = aside / kept.name
    assert f"a new book was begun. The newest backup is now {now}" in answer.err
    assert "Dora Reed" in logbook("list", "people").out
    assert [path.parent.name for path in backups_of(book_path)] == ["book.logbook.backups"]
    assert logbook("merge", now).status == 0
    assert "F1" in logbook("list", "flights").out
    assert logbook("restore", now).status == 0
    assert "Dora Reed" not in logbook("list", "people").out
    assert "F1" in logbook("list", "flights").out


def test_what_is_refused_begins_no_book_and_moves_no_backup(logbook, book_path):
    kept = _without_its_book(book_path)
    assert logbook("add", "person", "-", given={"person": ""}).status == 3
    assert not book_path.exists()
    assert kept.exists()


def test_an_empty_file_where_a_book_was_is_not_written_over(logbook, book_path):
    kept = _without_its_book(book_path)
    book_path.touch()
    answer = logbook("add", "person", "-", given=PERSON)
    assert answer.status == 74
    assert "is empty, and there are backups of it" in answer.err
    assert str(kept) in answer.err


def test_screens_and_the_library_begin_no_book_where_one_is_gone(book_path):
    """Nobody reads a note there before the first entry is made."""
    _without_its_book(book_path)
    with pytest.raises(FileTrouble, match="not there any more"):
        Desk.at(book_path)
    with pytest.raises(FileTrouble, match="not there any more"):
        open_logbook(book_path, create=True)


def test_a_book_that_somebody_else_wrote_to_meanwhile_stays(tmp_path):
    path = tmp_path / "new.logbook"
    with Book.open(path, create=True) as made:
        with Book.open(path) as other:
            put(other, "person", {"person": "Ada"})
        made.take_back()
    with Book.open(path) as book:
        assert book.connection.execute("SELECT person FROM person").fetchall() == [("Ada",)]
        book.take_back()
    assert path.exists()  # this opening did not make it


def test_what_is_refused_leaves_no_half_answer(logbook, book_path):
    assert book_path.exists()
    for form in ("json", "csv", "text"):
        answer = logbook("list", "packs", "--person", "Ada", "--format", form)
        assert (answer.status, answer.out) == (2, "")
    assert json.loads(logbook("list", "flights", "--format", "json", "--text", "nowhere at all").out) == []


@pytest.mark.parametrize("limit", [2**63, 10**30])
@pytest.mark.usefixtures("book_path")
def test_any_limit_is_one(logbook, limit):
    assert logbook("add", "flight", "-", given=flight()).status == 0
    assert len(logbook("list", "flights", "--limit", limit, "--format", "json").json) == 1
    assert len(logbook("list", "packs", "--limit", limit, "--format", "json").json) > 1


@pytest.mark.parametrize(
    "words",
    [
        ("all", "--format", "json"),
        ("all", "--format", "pdf"),
        ("flights", "F1"),
        ("packs", "LARK-01"),
        ("due", "soon"),
        ("all", "everything"),
    ],
    ids=" ".join,
)
def test_an_export_that_would_not_be_what_was_asked_for_is_refused(logbook, book_path, tmp_path, words):
    assert book_path.exists()
    what, *others = words
    answer = logbook("export", what, *others, "--to", tmp_path / "out")
    assert answer.status == 2
    assert not (tmp_path / "out").exists()


def test_a_folder_without_a_file_of_a_known_name_is_no_empty_success(logbook, tmp_path):
    (tmp_path / "rows").mkdir()
    (tmp_path / "rows/People.csv").write_text("person\nAda\n", encoding="utf-8")
    answer = logbook("--file", tmp_path / "new.logbook", "import", tmp_path / "rows")
    assert answer.status == 3
    assert "such as flights.csv" in answer.err
