"""Tables as CSV, JSON, text and spreadsheet: exact where exactness is promised, harmless everywhere."""

import csv
import io
import json
from pathlib import Path

import openpyxl
import pytest

from logbook.errors import FileTrouble, UsageError
from logbook.reports.table_out import write_csv, write_json, write_plain
from logbook.reports.target import text_to, written_to
from logbook.reports.xlsx_out import write_xlsx

ROWS = [
    {"name": '=1+2";=1+2', "kwh": -5.5, "list": ["a", "b"], "none": None},
    {"name": "\x1b[2J\r\n,", "kwh": 3.0, "list": [{"x": 1}], "none": None},
]
COLUMNS = ("name", "kwh", "list", "none")


def test_csv_quotes_by_rfc_4180_guards_text_and_leaves_numbers_numbers() -> None:
    # the first cell is a test vector of the OWASP page on CSV injection
    stream = io.StringIO(newline="")
    write_csv(stream, COLUMNS, ROWS)
    text = stream.getvalue()
    assert text.startswith('name,kwh,list,none\r\n"\'=1+2"";=1+2",-5.5,a;b,\r\n')
    assert text.endswith("\r\n")
    rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert rows[2] == ["\x1b[2J\r\n,", "3", '[{"x": 1}]', ""]


def test_json_carries_text_exactly() -> None:
    stream = io.StringIO()
    write_json(stream, ROWS)
    assert json.loads(stream.getvalue()) == ROWS


def test_plain_text_shows_control_characters_and_says_when_there_is_nothing() -> None:
    stream = io.StringIO()
    write_plain(stream, COLUMNS, ROWS, empty="Nothing.")
    assert "\x1b" not in stream.getvalue()
    assert r"\x1b[2J\r\n" in stream.getvalue()
    stream = io.StringIO()
    write_plain(stream, COLUMNS, [], empty="Nothing.")
    assert stream.getvalue() == "Nothing.\n"


def test_a_spreadsheet_holds_text_as_text_and_numbers_as_numbers() -> None:
    stream = io.BytesIO()
    write_xlsx(stream, "packs", COLUMNS, [*ROWS, {"name": "http://example.org", "kwh": 1}])
    sheet = openpyxl.load_workbook(io.BytesIO(stream.getvalue()))["packs"]
    assert [cell.value for cell in sheet[1]] == list(COLUMNS)
    assert (sheet["A2"].value, sheet["A2"].data_type) == ('=1+2";=1+2', "s")
    assert (sheet["B2"].value, sheet["B2"].data_type) == (-5.5, "n")
    assert sheet["A3"].value == "\\x1b[2J\\r\n,"
    assert sheet["A4"].hyperlink is None
    again = io.BytesIO()
    write_xlsx(again, "packs", COLUMNS, [*ROWS, {"name": "http://example.org", "kwh": 1}])
    assert again.getvalue() == stream.getvalue()


def test_a_file_is_there_only_when_it_is_whole(tmp_path: Path) -> None:
    target = tmp_path / "out" / "t.csv"
    with pytest.raises(ZeroDivisionError), text_to(target) as stream:
        stream.write("half" * (1 // 0))
    assert list(target.parent.iterdir()) == []
    with text_to(target) as stream:
        stream.write("whole\n")
    assert target.read_bytes() == b"whole\n"
    assert target.stat().st_mode & 0o777 == 0o600


def test_nothing_is_overwritten_unless_that_is_wanted(tmp_path: Path) -> None:
    target = tmp_path / "t.csv"
    target.write_text("old")
    with pytest.raises(UsageError, match="there already"), written_to(target):
        pass
    with pytest.raises(ZeroDivisionError), written_to(target, force=True) as stream:
        stream.write(b"half" * (1 // 0))
    assert target.read_text() == "old"
    with written_to(target, force=True) as stream:
        stream.write(b"new")
    assert target.read_text() == "new"
    with pytest.raises(UsageError, match="is a folder"), written_to(tmp_path):
        pass


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(FileTrouble, match="cannot be written"), written_to(tmp_path / "file" / "t.csv"):
        pass


def test_a_stream_is_left_open() -> None:
    stream = io.BytesIO()
    with text_to(stream) as text:
        text.write("é")
    assert stream.getvalue() == "é".encode()
