"""The same as people run it: a fresh process, real pipes, real full disks."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from logbook.cli.main import run
from tests.club import flight

NO_SCREENS = """
import sys
from logbook.cli.main import run
for words in (["list", "flights"], ["add", "flight", sys.argv[1]], ["show", "flight", "F1"], ["check"],
              ["correct", "flight", "F1", "remarks=x"], ["list", "due"], ["backup"]):
    assert run(words) == 0, words
print(sorted(name for name in sys.modules if name.split(".")[0] in {"textual", "rich", "scipy", "pandas"}))
"""


def test_no_command_loads_the_screens(book_path, tmp_path):
    (tmp_path / "f.json").write_text(json.dumps(flight()))
    done = subprocess.run(
        [sys.executable, "-c", NO_SCREENS, str(tmp_path / "f.json")],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    assert done.stdout.splitlines()[-1] == "[]"
    assert book_path.exists()


def test_data_comes_on_standard_output_and_flags_on_standard_error(book_path, process):
    data = flight(mass_kg=-5) | {"remarks": "Ü \x1b[2J"}
    added = process("add", "flight", "-", given=json.dumps(data).encode())
    assert (added.returncode, added.stdout) == (0, b"F1\n")
    assert b"[value_improbable]" in added.stderr
    listed = process("list", "flights", "--format", "json")
    assert (listed.returncode, listed.stderr) == (0, b"")
    assert json.loads(listed.stdout)[0]["remarks"] == "Ü \x1b[2J"
    assert book_path.exists()


@pytest.mark.usefixtures("book_path")
def test_json_and_csv_are_utf_8_whatever_the_system_prefers(process):
    process("add", "flight", "-", given=json.dumps(flight(remarks="Ü → 東")).encode())
    env = {"PYTHONIOENCODING": "ascii", "LC_ALL": "C"}
    listed = process("list", "flights", "--format", "json", env=env)
    assert listed.returncode == 0
    assert "Ü → 東".encode() in listed.stdout
    assert process("show", "flight", "F1", env=env).returncode == 0


@pytest.mark.usefixtures("book_path")
def test_a_reader_that_goes_away_is_no_defect(process):
    reader, writer = os.pipe()
    os.close(reader)
    answer = process("list", "packs", stdout=writer)
    os.close(writer)
    assert answer.returncode == 141
    assert answer.stderr == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.usefixtures("book_path")
def test_an_answer_that_finds_no_room_is_trouble_with_a_file(process):
    with Path("/dev/full").open("wb") as full:
        answer = process("list", "packs", stdout=full)
    assert answer.returncode == 74
    assert answer.stderr.startswith(b"logbook: The answer could not be written")
    assert b"Traceback" not in answer.stderr


def test_a_file_that_cannot_be_used_is_named_and_not_taken_for_the_answer(monkeypatch, capsys):
    monkeypatch.setattr("logbook.wiring.sample_file", lambda: Path("/nowhere/sample.logbook"))
    assert run(["--sample", "list", "packs"]) == 74
    said = capsys.readouterr().err
    assert said.startswith("logbook: /nowhere/sample.logbook cannot be used: No such file")


@pytest.mark.usefixtures("book_path")
def test_closed_streams_are_no_defect(tmp_path):
    call = f"{sys.executable} -m logbook"
    env = os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])}
    for words, status in (("list packs >&-", 0), ("show pack none 2>&-", 3), ("add person - <&-", 3)):
        command = ["sh", "-c", f"{call} {words}"]
        done = subprocess.run(command, env=env, cwd=tmp_path, check=False, capture_output=True)
        assert done.returncode == status, words
        assert b"defect" not in done.stderr


@pytest.mark.parametrize(
    ("words", "status"),
    [(["list", "flights"], 0), (["fly"], 2), (["show", "flight", "none"], 3), (["--version"], 0)],
)
@pytest.mark.usefixtures("book_path")
def test_the_process_ends_with_the_status_of_the_contract(process, words, status):
    assert process(*words).returncode == status
