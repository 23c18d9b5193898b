"""Importing: from another program, whole or not at all, in part where that is wanted, the same rules as adding."""

import csv
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.errors import DataRefused, NoBook, UsageError
from logbook.services.add import add
from logbook.services.check import check
from logbook.services.import_book import import_package
from logbook.services.questions import show
from logbook.store.database import Book
from tests.exchange.foreign_package import AIRCRAFT, PACKS, flight, reading, write


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(tmp_path / "a.logbook", create=True) as opened:
        yield opened


def dump(book: Book) -> list[str]:
    """The whole book as SQL, without the note of when it was made."""
    return [line for line in book.connection.iterdump() if "_sqlite_migrations" not in line]


def test_a_package_of_another_program_enters_whole(book: Book, tmp_path: Path) -> None:
    readings = [reading(n, serial) for n in (2, 0, 1) for serial in ("S2", "S1")]
    folder = write(tmp_path / "p", flights=[flight(n) for n in range(3)], readings=readings)
    report = import_package(book, folder, by="Ann")
    assert {kind: counts.new for kind, counts in report.counts.items() if counts.new} == {
        "aircraft": 1,
        "pack": 2,
        "person": 1,
        "installation": 2,
        "flight": 3,
    }
    shown = show(book, "flight", "F0")
    assert shown["date"] == "2031-01-01"
    assert shown["on_blocks"] == "2031-01-01T09:30Z"
    assert {one["serial_no"] for one in shown["readings"]} == {"S1", "S2"}
    assert shown["entered_by"] == "Ann"
    assert show(book, "aircraft", "X-ABC")["positions"] == ["F", "R"]
    assert check(book) == []


def test_a_zip_with_a_folder_inside_and_other_files_beside_is_read(book: Book, tmp_path: Path) -> None:
    folder = write(tmp_path / "p", flights=[flight(0)])
    with zipfile.ZipFile(tmp_path / "p.zip", "w") as archive:
        archive.writestr("export/README.txt", "hello")
        archive.writestr("export/weather.csv", "not,ours\n")
        for path in folder.iterdir():
            archive.write(path, f"export/{path.name}")
    assert import_package(book, tmp_path / "p.zip").counts["flight"].new == 1


def test_numbers_and_yes_or_no_are_read_as_other_programs_write_them(book: Book, tmp_path: Path) -> None:
    rows = [flight(0, circuits="3.0", struck="False", level_kw="2.15e1", wind_kt="")]
    import_package(book, write(tmp_path / "p", flights=rows))
    shown = show(book, "flight", "F0")
    assert (shown["circuits"], shown["struck"], shown["level_kw"], shown["wind_kt"]) == (3, 0, 21.5, None)


@pytest.mark.parametrize(
    ("files", "words"),
    [
        ({"flights": [flight(0, colour="red")]}, "unknown column 'colour'"),
        ({"flights": [flight(0, readings="x")]}, "unknown column 'readings'"),
        ({"flights": [flight(0)], "readings": [reading(9, "S1")]}, "no flight 'F9'"),
        ({"flights": [flight(0)], "readings": [reading(0, "S9")]}, "knows no pack 'S9'"),
        ({"flights": [flight(0, aircraft="X-NO")]}, "knows no aircraft 'X-NO'"),
        ({"flights": [flight(0, pilot="Nobody")]}, "knows no person 'Nobody'"),
        ({"flights": [flight(0, on_blocks="2031-01-01T08:00Z")]}, "before off blocks"),
        ({"flights": [flight(0)], "readings": [reading(0, "S1", soc_landing_pct=101)]}, "less than or equal to 100"),
        ({"flights": [flight(0), flight(0, remarks="other")]}, "with other content"),
        ({"flights": [flight(0), flight(0, flight_id="F1")]}, "another flight with off blocks"),
        ({"flights": [flight(0)], "readings": [reading(0, "S1"), reading(0, "S1")]}, "two readings"),
        ({"flights": [flight(0, circuits="many")]}, "'many' is not a number"),
        ({"flights": [flight(0, climb_ft="1,5")]}, "is not a number"),
        ({"flights": [flight(0, mass_kg="9" * 400)]}, "is not a number"),
        ({"flights": [flight(0, mass_kg="1e999")]}, "mass_kg"),
        ({"flights": [flight(0, mass_kg="nan")]}, "is not a number"),
        ({"installations": [{"serial_no": "S1", "aircraft": "X-ABC", "position": "F", "fitted": "2030-01-01T00:00Z"},
                            {"serial_no": "S2", "aircraft": "X-ABC", "position": "F", "fitted": "2031-01-01T00:00Z"}]}, "position is taken"),
    ],
)  # fmt: skip
def test_what_add_refuses_is_refused_and_the_book_is_as_before(
    book: Book, tmp_path: Path, files: dict, words: str
) -> None:
    add(book, "place", {"place": "HOME"})
    before = dump(book)
    with pytest.raises(DataRefused, match=words):
        import_package(book, write(tmp_path / "p", **files))
    assert dump(book) == before


def test_the_refusal_names_file_and_line(book: Book, tmp_path: Path) -> None:
    folder = write(tmp_path / "p", flights=[flight(0), flight(1, aircraft="X-NO")])
    with pytest.raises(DataRefused, match=r"flights\.csv, line 3: ") as refused:
        import_package(book, folder)
    assert "--partial" in refused.value.next_step


def test_a_trial_run_says_what_would_happen_and_changes_nothing(book: Book, tmp_path: Path) -> None:
    before = dump(book)
    report = import_package(
        book, write(tmp_path / "p", flights=[flight(0), flight(1, aircraft="X-NO")]), dry_run=True
    )
    assert dump(book) == before
    assert (report.counts["flight"].new, report.counts["flight"].refused) == (1, 1)
    assert report.refused[0][:3] == ("flights.csv", 3, "F1")
    assert report.refused_to is None


def test_in_part_the_good_enters_and_the_rest_can_be_mended_and_imported(book: Book, tmp_path: Path) -> None:
    flights = [flight(0), flight(1, aircraft="X-NO"), flight(2)]
    readings = [reading(n, s) for n in range(3) for s in ("S1", "S2")]
    readings[4]["soc_landing_pct"] = 140
    report = import_package(book, write(tmp_path / "p", flights=flights, readings=readings), partial=True)
    assert report.counts["flight"].new == 1
    folder = report.refused_to
    assert folder == tmp_path / "a.logbook.refused"
    reasons = list(csv.DictReader((folder / "reasons.csv").read_text().splitlines()))
    assert [row["record_id"] for row in reasons if row["file"] == "flights.csv"] == ["F1", "F2"]
    assert any("less than or equal to 100" in row["why"] for row in reasons)
    for name, wrong, right in (("flights.csv", "X-NO", "X-ABC"), ("readings.csv", "140", "41")):
        text = (folder / name).read_text().replace(wrong, right)
        (folder / name).write_text(text)
    again = import_package(book, folder)
    assert again.counts["flight"].new == 2
    assert len(show(book, "flight", "F2")["readings"]) == 2
    assert check(book) == []


def test_rows_refused_earlier_are_never_overwritten(book: Book, tmp_path: Path) -> None:
    folder = write(tmp_path / "p", flights=[flight(1, aircraft="X-NO")])
    first = import_package(book, folder, partial=True).refused_to
    second = import_package(book, folder, partial=True).refused_to
    assert first != second
    with pytest.raises(UsageError, match="holds something already"):
        import_package(book, folder, partial=True, refused=first)


def test_a_reading_of_a_flight_that_is_not_in_the_package_is_refused_even_in_part(
    book: Book, tmp_path: Path
) -> None:
    report = import_package(
        book, write(tmp_path / "p", flights=[flight(0)], readings=[reading(7, "S1")]), partial=True
    )
    assert report.counts["reading"].refused == 1
    assert report.counts["flight"].new == 1


def test_a_large_import_leaves_the_same_book_as_a_small_one_row_by_row(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    readings = [
        reading(n, serial, soc_landing_pct=20 + n % 60, soh_pct=99 - n / 10 + (n == 20) * 5)
        for n in range(60)
        for serial in ("S1", "S2")
    ]
    charges = [
        {
            "serial_no": s,
            "started": f"{flight(n)['off_blocks'][:10]}T11:00Z",
            "soc_start_pct": 25,
            "soc_end_pct": 97 - n % 9,
        }
        for n in range(60)
        for s in ("S1", "S2")
    ]
    folder = write(tmp_path / "p", flights=[flight(n) for n in range(60)], readings=readings, charges=charges)
    monkeypatch.setattr("logbook.services.import_book.now", lambda: "2031-12-01T00:00Z")
    dumps = []
    for name, limit in (("many", 0), ("few", 10**9)):
        monkeypatch.setattr("logbook.services.import_book._MANY_BYTES", limit)
        monkeypatch.setattr("logbook.services.refresh._MANY", 10**9 if name == "few" else 1)
        with Book.open(tmp_path / f"{name}.logbook", create=True) as opened:
            import_package(opened, folder)
            assert check(opened) == []
            dumps.append(sorted(dump(opened)))
    assert dumps[0] == dumps[1]
    assert any("ledger_gap" in line for line in dumps[0])


def test_the_guards_stand_again_after_a_large_import(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("logbook.services.import_book._MANY_BYTES", 0)
    with Book.open(tmp_path / "b.logbook", create=True) as book:
        before = dict(book.connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
        with pytest.raises(DataRefused):
            import_package(book, write(tmp_path / "bad", flights=[flight(0, aircraft="X-NO")]))
        assert (
            dict(book.connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
            == before
        )
        import_package(book, write(tmp_path / "good", flights=[flight(0)]))
        assert (
            dict(book.connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
            == before
        )


def test_the_same_again_is_the_same_and_other_content_is_refused(book: Book, tmp_path: Path) -> None:
    folder = write(tmp_path / "p", flights=[flight(0)], readings=[reading(0, "S1")])
    import_package(book, folder)
    before = dump(book)
    assert import_package(book, folder).counts["flight"].same == 1
    assert dump(book) == before
    with pytest.raises(DataRefused, match="with other content"):
        import_package(
            book, write(tmp_path / "q", flights=[flight(0)], readings=[reading(0, "S1", soc_landing_pct=41)])
        )
    assert dump(book) == before


def test_a_single_file_of_a_known_name_is_a_package_too(book: Book, tmp_path: Path) -> None:
    assert (
        import_package(book, write(tmp_path / "p", aircraft=AIRCRAFT, packs=PACKS) / "packs.csv")
        .counts["pack"]
        .new
        == 2
    )


def test_progress_is_told(book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("logbook.services.import_book._TELL_EVERY", 2)
    told: list[tuple[int, str]] = []
    import_package(
        book,
        write(tmp_path / "p", flights=[flight(n) for n in range(4)]),
        progress=lambda done, name: told.append((done, name)),
    )
    assert told[-1] == (10, "flights")


def test_nothing_there_is_said(book: Book, tmp_path: Path) -> None:
    with pytest.raises(NoBook):
        import_package(book, tmp_path / "none")
    (tmp_path / "x.txt").write_text("hello")
    with pytest.raises(DataRefused, match="not a package"):
        import_package(book, tmp_path / "x.txt")
