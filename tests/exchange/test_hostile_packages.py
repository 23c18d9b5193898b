"""Packages made to do harm are refused with a sentence, in little time and memory, and leave the book as it was."""

import os
import stat
import struct
import tracemalloc
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.errors import DataRefused, LogbookError
from logbook.services.import_book import import_package
from logbook.store.database import Book
from tests.exchange.foreign_package import flight, write


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(tmp_path / "a.logbook", create=True) as opened:
        before = list(opened.connection.iterdump())
        yield opened
        assert list(opened.connection.iterdump()) == before


def zipped(path: Path, **files: bytes) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return path


@pytest.mark.parametrize(
    "name",
    [
        "/etc/people.csv",
        "../people.csv",
        "a/../../people.csv",
        "C:\\people.csv",
        "..\\people.csv",
        "http://x/people.csv",
    ],
)
def test_paths_that_lead_out_are_refused(book: Book, tmp_path: Path, name: str) -> None:
    with pytest.raises(DataRefused, match="leads out"):
        import_package(book, zipped(tmp_path / "p.zip", **{name: b"person\nAnn\n"}))


@pytest.mark.parametrize("path", ["/etc/people.csv", "../people.csv", "http://example.org/people.csv"])
def test_paths_of_the_descriptor_that_lead_out_are_refused(book: Book, tmp_path: Path, path: str) -> None:
    folder = write(tmp_path / "p")
    (folder / "datapackage.json").write_text(
        '{"resources": [{"name": "people", "path": "PATH"}]}'.replace("PATH", path)
    )
    with pytest.raises(DataRefused, match="leads out"):
        import_package(book, folder)


def test_a_link_in_a_zip_is_refused(book: Book, tmp_path: Path) -> None:
    info = zipfile.ZipInfo("people.csv")
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(tmp_path / "p.zip", "w") as archive:
        archive.writestr(info, "/etc/passwd")
    with pytest.raises(DataRefused, match="link"):
        import_package(book, tmp_path / "p.zip")


def test_a_link_or_a_pipe_in_a_folder_is_refused(book: Book, tmp_path: Path) -> None:
    (tmp_path / "p").mkdir()
    (tmp_path / "p" / "people.csv").symlink_to("/etc/passwd")
    with pytest.raises(DataRefused, match="link"):
        import_package(book, tmp_path / "p")
    (tmp_path / "q").mkdir()
    os.mkfifo(tmp_path / "q" / "people.csv")
    with pytest.raises(DataRefused, match="no plain file"):
        import_package(book, tmp_path / "q")


def test_a_name_that_occurs_twice_is_refused(book: Book, tmp_path: Path) -> None:
    with pytest.raises(DataRefused, match="occurs twice"):
        import_package(
            book,
            zipped(
                tmp_path / "p.zip", **{"a/people.csv": b"person\nAnn\n", "b/people.csv": b"person\nBen\n"}
            ),
        )


def test_a_bomb_is_refused_before_it_is_unpacked(book: Book, tmp_path: Path) -> None:
    path = zipped(tmp_path / "p.zip", **{"people.csv": b"person\n" + b"A" * 30_000_000})
    tracemalloc.start()
    with pytest.raises(DataRefused, match="would unpack to more"):
        import_package(book, path)
    assert tracemalloc.get_traced_memory()[1] < 5_000_000
    tracemalloc.stop()


def test_a_zip_that_lies_about_its_size_is_refused(book: Book, tmp_path: Path) -> None:
    path = zipped(tmp_path / "p.zip", **{"people.csv": b"person\n" + b"Ann\n" * 1_000_000})
    data = bytearray(path.read_bytes())
    central = data.rfind(b"PK\x01\x02")
    data[central + 24 : central + 28] = struct.pack("<I", 100)  # the size said in the central directory
    path.write_bytes(data)
    with pytest.raises(DataRefused):
        import_package(book, path)


def test_a_row_without_an_end_is_refused_within_bounded_memory(book: Book, tmp_path: Path) -> None:
    (tmp_path / "p").mkdir()
    with (tmp_path / "p" / "people.csv").open("w") as file:
        file.write('person,role_text\n"A","')
        for _ in range(40):
            file.write("x" * 1_000_000)
    tracemalloc.start()
    with pytest.raises(DataRefused, match=r"without an end|larger than"):
        import_package(book, tmp_path / "p")
    assert tracemalloc.get_traced_memory()[1] < 150_000_000
    tracemalloc.stop()


def test_many_quoted_lines_that_never_end_a_row_are_refused(book: Book, tmp_path: Path) -> None:
    (tmp_path / "p").mkdir()
    with (tmp_path / "p" / "people.csv").open("w") as file:
        file.write("person,role_text\n")
        for _ in range(40):
            file.write('"\n",' * 100_000)
    with pytest.raises(DataRefused, match="without an end"):
        import_package(book, tmp_path / "p")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xff\xfe\x00person", "not UTF-8"),
        (b"person\nA\xc3(\n", "not UTF-8"),
        (b'person\n"A"x\n', "expected after"),
        (b"", "no header"),
        (b"person,person\nA,B\n", "twice"),
        (b"person,\nA,B\n", "unknown column '\\(no name\\)'"),
        (b"person,licence_no\nA\n", "1 cells, the header 2"),
    ],
)
def test_broken_files_are_refused_in_words(book: Book, tmp_path: Path, data: bytes, words: str) -> None:
    (tmp_path / "p").mkdir()
    (tmp_path / "p" / "people.csv").write_bytes(data)
    with pytest.raises(DataRefused, match=words):
        import_package(book, tmp_path / "p")


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        '{"resources": ' + "9" * 10_000 + "}",
        "not json",
        '{"resources": [{"path": "flights.csv"}]}',
        '{"resources": 5',
        '{"resources": [{"path": "people.csv", "dialect": {"delimiter": "ab"}}]}',
    ],
)
def test_a_broken_descriptor_is_refused(book: Book, tmp_path: Path, text: str) -> None:
    folder = write(tmp_path / "p")
    (folder / "datapackage.json").write_text(text)
    with pytest.raises(DataRefused):
        import_package(book, folder)


@pytest.mark.parametrize("cut", [10, 100, 400])
def test_a_damaged_zip_is_refused(book: Book, tmp_path: Path, cut: int) -> None:
    folder = write(tmp_path / "p", flights=[flight(n) for n in range(20)])
    path = zipped(tmp_path / "p.zip", **{file.name: file.read_bytes() for file in folder.iterdir()})
    data = bytearray(path.read_bytes())
    (tmp_path / "short.zip").write_bytes(data[:-cut])
    data[cut : cut + 40] = os.urandom(40)
    (tmp_path / "stirred.zip").write_bytes(data)
    for name in ("short.zip", "stirred.zip"):
        with pytest.raises(LogbookError):
            import_package(book, tmp_path / name)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("0,person,Ann,{},2031-01-01T00:00Z", "whole number above 0"),
        ("1,secret,Ann,{},2031-01-01T00:00Z", "no kind of record"),
        ("1,person,Ben,{},2031-01-01T00:00Z", "not in the book"),
        ("1,person,Ann,[],2031-01-01T00:00Z", "not a JSON object"),
        ('1,person,Ann,"{""n"": 5}",2031-01-01T00:00Z', "no field 'n'"),
        ('1,person,Ann,"{""person"": ""\\ud800""}",2031-01-01T00:00Z', "not a value of its kind"),
        ('1,person,Ann,"{""brought_forward_pic_min"": NaN}",2031-01-01T00:00Z', "not a value of its kind"),
        ("1,person,Ann,{},yesterday", "when it was replaced"),
    ],
)  # fmt: skip
def test_false_histories_are_refused(book: Book, tmp_path: Path, row: str, words: str) -> None:
    folder = write(tmp_path / "p")
    (folder / "versions.csv").write_text(f"seq,record,record_id,was,at\n{row}\n")
    with pytest.raises(DataRefused, match=words):
        import_package(book, folder)
