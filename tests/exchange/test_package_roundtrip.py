"""A package loses nothing, and says nothing about when, where or by which program run it was made."""

import io
import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.errors import UsageError
from logbook.exchange.layout import LAYOUTS
from logbook.services.add import add
from logbook.services.check import check
from logbook.services.correct import correct
from logbook.services.export_book import export_package
from logbook.services.import_book import import_package
from logbook.services.kinds import KINDS
from logbook.store.database import Book
from logbook.store.version_chain import chain_head, chain_heads
from tests.exchange.example_book import NASTY, make_book


def bytes_of(book: Book) -> bytes:
    stream = io.BytesIO()
    export_package(book, stream)
    return stream.getvalue()


def text_of(package: bytes, name: str) -> str:
    return zipfile.ZipFile(io.BytesIO(package)).read(name).decode()


def dump_of(book: Book) -> list[str]:
    return list(book.connection.iterdump())


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return make_book(tmp_path / "first.logbook")


def test_out_into_an_empty_book_and_out_again_is_the_same_to_the_byte(book: Book, tmp_path: Path) -> None:
    first = bytes_of(book)
    (tmp_path / "p.zip").write_bytes(first)
    with Book.open(tmp_path / "second.logbook", create=True) as second:
        report = import_package(second, tmp_path / "p.zip")
        assert bytes_of(second) == first
        assert report.counts["flight"].new == len(NASTY)
        assert (
            report.counts["version"].new
            == book.connection.execute("SELECT count(*) FROM version").fetchone()[0]
            > 5
        )
        assert check(second) == check(book)


def test_folder_zip_file_and_stream_hold_the_same(book: Book, tmp_path: Path) -> None:
    export_package(book, tmp_path / "folder")
    export_package(book, tmp_path / "p.zip")
    assert (tmp_path / "p.zip").read_bytes() == bytes_of(book)
    archive = zipfile.ZipFile(tmp_path / "p.zip")
    assert sorted(archive.namelist()) == sorted(path.name for path in (tmp_path / "folder").iterdir())
    assert all(archive.read(path.name) == path.read_bytes() for path in (tmp_path / "folder").iterdir())
    with Book.open(tmp_path / "second.logbook", create=True) as second:
        import_package(second, tmp_path / "folder")
        assert bytes_of(second) == bytes_of(book)


def test_flags_and_figures_are_the_same_after_the_journey(book: Book, tmp_path: Path) -> None:
    export_package(book, tmp_path / "p.zip")
    with Book.open(tmp_path / "second.logbook", create=True) as second:
        import_package(second, tmp_path / "p.zip")
        by_flight = """SELECT f.id, g.rule, p.serial_no, g.words, g.answered FROM flight_flag g JOIN flight f ON f.n = g.flight
            LEFT JOIN pack p ON p.n = g.pack ORDER BY 1, 2, 3"""
        flags = [b.connection.execute(by_flight).fetchall() for b in (book, second)]
        assert flags[0] == flags[1]
        assert any(answered for *_, answered in flags[0])


def test_the_chain_of_earlier_states_holds_after_the_journey(book: Book, tmp_path: Path) -> None:
    export_package(book, tmp_path / "p.zip")
    with Book.open(tmp_path / "second.logbook", create=True) as second:
        import_package(second, tmp_path / "p.zip")
        numbers = [
            b.connection.execute("SELECT n FROM pack WHERE serial_no = 'S1'").fetchone()
            for b in (book, second)
        ]
        assert numbers[0] != numbers[1]
        assert chain_head(second) == chain_head(book)
        correct(second, "person", "=Ann", {"person": "Ann Brown"})
        assert (
            chain_heads(second, {chain_head(book).states})[chain_head(book).states] == chain_head(book).head
        )


def test_importing_twice_changes_nothing(book: Book, tmp_path: Path) -> None:
    export_package(book, tmp_path / "p.zip")
    before = dump_of(book)
    report = import_package(book, tmp_path / "p.zip")
    assert dump_of(book) == before
    assert sum(counts.new for counts in report.counts.values()) == 0
    assert report.counts["flight"].same == len(NASTY)
    assert report.refused == []


def test_a_package_tells_neither_time_nor_path_nor_book(book: Book, tmp_path: Path) -> None:
    package = bytes_of(book)
    assert str(tmp_path).encode() not in package
    infos = zipfile.ZipFile(io.BytesIO(package)).infolist()
    assert {info.date_time for info in infos} == {(1980, 1, 1, 0, 0, 0)}
    assert "created" not in json.loads(text_of(package, "datapackage.json"))


def test_rows_come_in_order_of_id_and_struck_ones_are_there(book: Book) -> None:
    lines = text_of(bytes_of(book), "readings.csv").split("\r\n")
    assert [line.split(",")[:2] for line in lines[1:5]] == [
        ["F-00", "S1"],
        ["F-00", "S2"],
        ["F-01", "S1"],
        ["F-01", "S2"],
    ]
    header, *rows = (line.split(",") for line in text_of(bytes_of(book), "charges.csv").split("\r\n")[:3])
    assert [row[header.index("struck")] for row in rows] == ["1", "1"]


def test_every_column_of_the_contract_stands_first_and_in_its_order(book: Book) -> None:
    for layout in LAYOUTS.values():
        header = text_of(bytes_of(book), f"{layout.name}.csv").split("\r\n")[0].split(",")
        assert tuple(header[: len(layout.promised)]) == layout.promised
        assert len(set(header)) == len(header)


def test_every_kind_of_record_has_a_file() -> None:
    assert {kind.file for kind in KINDS.values()} <= set(LAYOUTS)
    assert all(LAYOUTS[kind.file].kind == kind.name for kind in KINDS.values())


def test_text_that_a_spreadsheet_would_run_is_guarded_and_comes_back_bare(book: Book, tmp_path: Path) -> None:
    # first characters: OWASP, CSV Injection; ASVS 5.0 requirement 1.2.10
    package = bytes_of(book)
    assert "'=HYPERLINK(1)" in text_of(package, "flights.csv")
    assert "''=x" not in text_of(package, "people.csv")
    assert '"\'=1+2"";=1+2"' in text_of(package, "flights.csv")
    (tmp_path / "p.zip").write_bytes(package)
    with Book.open(tmp_path / "second.logbook", create=True) as second:
        import_package(second, tmp_path / "p.zip")
        kept = [row[0] for row in second.connection.execute("SELECT remarks FROM flight ORDER BY id")]
    assert kept[0] == NASTY[0]
    assert kept[3:] == NASTY[3:]


def test_text_of_another_program_is_taken_as_it_is(tmp_path: Path) -> None:
    folder = tmp_path / "p"
    folder.mkdir()
    (folder / "people.csv").write_text("person,licence_no\n'=Ann,''5\n")
    with Book.open(tmp_path / "b.logbook", create=True) as book:
        import_package(book, folder)
        assert book.connection.execute("SELECT person, licence_no FROM person").fetchall() == [
            ("'=Ann", "''5")
        ]


def test_nothing_is_overwritten_unless_that_is_wanted(book: Book, tmp_path: Path) -> None:
    for target in (tmp_path / "p", tmp_path / "p.zip"):
        export_package(book, target)
        with pytest.raises(UsageError, match="there already"):
            export_package(book, target)
        export_package(book, target, force=True)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["first.logbook", "p", "p.zip"]


def judged_by_frictionless(folder: Path) -> tuple[int, str]:
    """Status (0: valid) and words of the reference library, in a process of its own as it warns when imported."""
    program = """import sys, frictionless
report = frictionless.Package(sys.argv[1]).validate()
print(report.flatten(["type", "note"]))
sys.exit(not report.valid)"""
    run = [sys.executable, "-W", "ignore", "-c", program, "datapackage.json"]
    done = subprocess.run(run, cwd=folder, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr[-2000:]


def test_the_frictionless_reference_library_finds_the_package_valid(book: Book, tmp_path: Path) -> None:
    export_package(book, tmp_path / "folder")
    assert judged_by_frictionless(tmp_path / "folder")[0] == 0
    readings = tmp_path / "folder" / "readings.csv"
    readings.write_bytes(readings.read_bytes().replace(b"F-00,S1", b"F-00,S9"))
    status, words = judged_by_frictionless(tmp_path / "folder")
    assert status == 1
    assert "foreign-key" in words


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    text=st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40)
    | st.text("'=+-@\t\r\n\0,\"x", min_size=1, max_size=8)
)
def test_any_text_survives_the_journey(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    folder = tmp_path_factory.mktemp("any")
    with (
        Book.open(folder / "a.logbook", create=True) as first,
        Book.open(folder / "b.logbook", create=True) as second,
    ):
        add(first, "person", {"person": "P", "role_text": text})
        export_package(first, folder / "p")
        import_package(second, folder / "p")
        read = "SELECT role_text FROM person"
        assert second.connection.execute(read).fetchall() == first.connection.execute(read).fetchall()
        assert bytes_of(second) == bytes_of(first)
