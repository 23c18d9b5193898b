"""Every file the program writes is for its owner only, whatever the umask; names in file names are tame; no secret is said aloud."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.cli.grammar import parser
from logbook.cli.main import run
from logbook.paths import crash_report
from logbook.services.drafts import Draft, Drafts
from logbook.store.database import Book
from logbook.ui.crash import crash_report as words_of_crash
from tests import club
from tests.reliability.hostile import CORPUS


@pytest.fixture
def open_umask() -> Iterator[None]:
    before = os.umask(0)
    yield
    os.umask(before)


def everything(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


@pytest.fixture(autouse=True)
def _passphrase(tmp_path, monkeypatch) -> None:
    (tmp_path / "phrase").write_text("seven lame ducks walk home\n")
    (tmp_path / "phrase").chmod(0o600)
    monkeypatch.setenv("LOGBOOK_PASSPHRASE_FILE", str(tmp_path / "phrase"))


@pytest.mark.usefixtures("open_umask")
def test_no_file_the_program_writes_can_be_read_by_others(tmp_path, settled_club, monkeypatch):
    """Each kind of file it makes: book, backups, drafts, keys, refused rows, packages, papers, salvaged books, reports."""
    work, given_to = tmp_path / "work", tmp_path / "given"
    given_to.mkdir()
    work.mkdir()
    path = work / "book.logbook"
    shutil.copyfile(settled_club, given_to / "club.logbook")
    monkeypatch.setenv("LOGBOOK_STATE", str(work / "state"))
    (given_to / "p").mkdir()
    (given_to / "p" / "people.csv").write_text("person\nAnn\n" + "x" * 300 + "\n")

    def do(*words: object, given: object = None, status: int = 0) -> None:
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(json.dumps(given).encode())))
        assert run(["--file", str(path), *map(str, words)]) == status, words

    do("add", "person", "-", given={"person": "Dot Reed"})
    do("merge", given_to / "club.logbook")
    do("add", "flight", "-", given=club.flight())
    do("backup")
    do("backup", "--to", work / "copies" / "copy.logbook")
    do("restore", work / "copies" / "copy.logbook")
    do("import", given_to / "p", "--partial")
    do("export", "all", "--to", work / "package.zip")
    do("export", "all", "--to", work / "package")
    do("export", "flights", "--to", work / "flights.csv")
    do("export", "flights", "--to", work / "flights.xlsx")
    do("export", "person", club.ADA, "--to", work / "ada.html")
    do("export", "due", "--to", work / "due.ics")
    do("salvage", path, "--to", work / "new.logbook")
    do("slips", "--to", work / "slips.html")
    do("key", "new", club.ADA)
    Drafts(path).keep(Draft("id", "flight", {"pilot": ("Ann", "read")}))
    crash_report(ValueError("x"))
    found = everything(work)
    names = " ".join(str(file.relative_to(work)) for file in found)
    for expected in ("book.logbook ", ".backups/", "copies/", ".replaced-", ".refused/", "package.zip", "package/flights.csv",
                     "ada.html", "due.ics", "new.logbook", "salvage.txt", "slips.html", "state/drafts/", "state/defect-"):  # fmt: skip
        assert expected in names + " ", (expected, names)
    loose = {
        str(file.relative_to(work)): oct(file.stat().st_mode)
        for file in found
        if stat.S_IMODE(file.stat().st_mode) & 0o077
    }
    assert loose == {}


@given(name=st.one_of(st.sampled_from(CORPUS), st.text(max_size=80)), record=st.text(max_size=80))
def test_no_name_leads_a_draft_out_of_its_folder(name, record, tmp_path_factory):
    folder = tmp_path_factory.mktemp("state")
    drafts = Drafts(Path(name.replace("\0", "") or "x"), folder)
    drafts.keep(Draft(record, name, {"a": ("1", "read")}))
    (file,) = everything(folder)
    assert re.fullmatch(r"drafts/[0-9a-f]{16}/[0-9a-f]{24}\.json", str(file.relative_to(folder)))


@pytest.mark.parametrize("text", [text for text in CORPUS if "\0" not in text], ids=ascii)
def test_no_name_leads_a_key_or_its_file_elsewhere(text, book_path, tmp_path, monkeypatch):
    """A serial number or a name never chooses where a file goes."""
    home = tmp_path / "here"
    home.mkdir()
    monkeypatch.chdir(home)
    with Book.open(book_path) as book:
        club.put(book, "person", {"person": text})
    before = set(everything(tmp_path))
    assert run(["--file", str(book_path), "key", "new", text]) in (0, 2, 3)
    for path in set(everything(tmp_path)) - before:
        assert re.fullmatch(r"[\w.@ -]+", path.name), path
        assert home not in path.parents


def test_no_command_takes_a_secret_as_a_word():
    """Whatever stands on a command line is seen by everybody on the machine, and stays in the history of the shell."""
    (commands,) = [action for action in parser()._actions if action.choices]
    options = {
        option
        for command in commands.choices.values()
        for action in command._actions
        for option in (*action.option_strings, action.dest)
    }
    assert not [option for option in options if re.search("pass|secret|pin$|token|private", option)]


def test_a_report_of_a_defect_holds_nothing_that_was_typed(tmp_path, monkeypatch):
    monkeypatch.setenv("LOGBOOK_STATE", str(tmp_path / "state"))
    for text in CORPUS:

        def inner(licence_no: str) -> None:
            raise ValueError(f"no such licence: {licence_no} SECRET-4711")

        try:
            inner(text)
        except ValueError as error:
            written = crash_report(error).read_text() + words_of_crash(error)
            assert "SECRET" not in written
            assert "licence:" not in written
            assert not set(written) & set(map(chr, [*range(9), *range(11, 32), 127, 0x9B, 0x202E]))


def test_what_is_refused_does_not_repeat_what_was_typed_beside_the_field(book_path, monkeypatch, capfd):
    """A validation error can quote its whole input; ours names the field only."""
    data = club.flight(off_blocks="SECRET-4711", remarks="SECRET-REMARK") | {"licence_no": "SECRET-LICENCE"}
    for wrong in (
        data,
        {**data, "circuits": "SECRET-2"},
        {**data, "readings": [{"serial_no": 5, "x": "SECRET-3"}]},
    ):
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(json.dumps(wrong).encode())))
        assert run(["--file", str(book_path), "add", "flight", "-"]) == 3
        said = capfd.readouterr()
        assert not re.search(r"SECRET-(REMARK|LICENCE|3)", said.err + said.out)
