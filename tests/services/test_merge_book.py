"""Merging: what is new enters, what continues is continued, what differs waits for a decision, nothing is lost."""

import shutil
import sqlite3
from pathlib import Path

import pytest

from logbook.errors import DataRefused, FileTrouble, LogbookError, UsageError
from logbook.services.add import add
from logbook.services.check import check
from logbook.services.correct import correct, strike
from logbook.services.merge_book import merge_book
from logbook.services.questions import show
from logbook.store.database import Book

FLIGHT = {
    "flight_id": "F1",
    "aircraft": "X-ABC",
    "pilot": "Ann",
    "off_blocks": "2031-05-01T08:00Z",
    "on_blocks": "2031-05-01T09:00Z",
    "readings": [{"serial_no": "S1", "soc_departure_pct": 97, "soc_landing_pct": 40}],
}


def base(path: Path) -> Book:
    book = Book.open(path, create=True)
    add(book, "aircraft", {"registration": "X-ABC", "positions": ["F"]})
    add(book, "pack", [{"serial_no": "S1", "nominal_kwh": 11}, {"serial_no": "S2", "nominal_kwh": 11}])
    add(book, "person", {"person": "Ann", "licence_no": "L1"})
    add(book, "flight", FLIGHT)
    return book


@pytest.fixture
def two(tmp_path: Path) -> tuple[Book, Book]:
    """A book and a copy of it that goes its own way."""
    ours = base(tmp_path / "ours.logbook")
    shutil.copyfile(tmp_path / "ours.logbook", tmp_path / "theirs.logbook")
    return ours, Book.open(tmp_path / "theirs.logbook")


def dump(book: Book) -> list[str]:
    return [line for line in book.connection.iterdump() if "_sqlite_migrations" not in line]


def flight(number: int, **others: object) -> dict:
    times = {"off_blocks": f"2031-06-{number:02d}T08:00Z", "on_blocks": f"2031-06-{number:02d}T09:00Z"}
    return FLIGHT | {"flight_id": f"N{number}"} | times | others


def test_what_is_new_enters_with_its_history_and_a_second_time_nothing_changes(
    two: tuple[Book, Book],
) -> None:
    ours, theirs = two
    add(theirs, "person", {"person": "Ben"})
    add(theirs, "flight", flight(1, pilot="Ben"))
    correct(theirs, "flight", "N1", {"S1.soc_landing_pct": "45", "remarks": "late"}, by="Ben", why="typo")
    add(
        theirs,
        "charge",
        [{"charge_id": "C1", "serial_no": s, "started": "2031-06-01T10:00Z"} for s in ("S1", "S2")],
    )
    correct(theirs, "charge", "C1", {"S2.soc_end_pct": "90"}, by="Ben")
    before = dump(ours)
    report = merge_book(ours, theirs.path, dry_run=True)
    assert dump(ours) == before
    assert report.counts["flight"].new == 1
    report = merge_book(ours, theirs.path, by="Ann")
    assert report.written
    assert (report.counts["flight"].new, report.counts["flight"].same, report.counts["charge"].new) == (
        1,
        1,
        2,
    )
    mine, yours = (show(book, "flight", "N1") for book in (ours, theirs))
    told = [
        {key: version[key] for key in ("record", "was", "at", "by_whom", "why")}
        for version in mine["versions"]
    ]
    assert told == [
        {key: version[key] for key in ("record", "was", "at", "by_whom", "why")}
        for version in yours["versions"]
    ]
    assert mine["readings"] == yours["readings"]
    assert len(show(ours, "charge", "C1")["versions"]) == 1
    assert check(ours) == []
    after = dump(ours)
    again = merge_book(ours, theirs.path)
    assert not again.written
    assert dump(ours) == after


def test_a_backup_is_made_first_and_is_the_book_as_it_was(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    add(theirs, "flight", flight(1))
    before = dump(ours)
    report = merge_book(ours, theirs.path)
    with Book.open(report.backup, readonly=True) as copy:
        assert dump(copy) == before


def test_the_other_book_is_not_changed(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    add(theirs, "flight", flight(1))
    theirs.close()
    before = theirs.path.read_bytes()
    merge_book(ours, theirs.path)
    assert theirs.path.read_bytes() == before
    assert not theirs.path.with_name("theirs.logbook-journal").exists()


def test_what_the_other_only_continues_is_continued_with_its_own_dates_and_reasons(
    two: tuple[Book, Book],
) -> None:
    ours, theirs = two
    correct(theirs, "flight", "F1", {"S1.soc_landing_pct": "35", "remarks": "x"}, by="Ben", why="misread")
    correct(theirs, "flight", "F1", {"S2.soc_landing_pct": "36"}, by="Ben")
    correct(theirs, "pack", "S1", {"limit_hours": "500"})
    report = merge_book(ours, theirs.path)
    assert report.differences == []
    assert (report.counts["flight"].continued, report.counts["pack"].continued) == (1, 1)
    mine, yours = (show(book, "flight", "F1") for book in (ours, theirs))
    assert [(v["was"], v["at"], v["by_whom"], v["why"]) for v in mine["versions"]] == [
        (v["was"], v["at"], v["by_whom"], v["why"]) for v in yours["versions"]
    ]
    assert mine["readings"] == yours["readings"]
    assert check(ours) == []


def test_where_this_book_is_ahead_nothing_happens(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    correct(ours, "flight", "F1", {"remarks": "mine"})
    report = merge_book(ours, theirs.path)
    assert (report.counts["flight"].ahead, report.differences, report.written) == (1, [], False)


def test_what_differs_is_listed_and_nothing_is_written_until_it_is_decided(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    correct(ours, "flight", "F1", {"remarks": "mine"})
    correct(theirs, "flight", "F1", {"remarks": "yours"})
    add(theirs, "flight", flight(1))
    before = dump(ours)
    report = merge_book(ours, theirs.path)
    assert dump(ours) == before
    assert report.differences[0].fields == (("remarks", "mine", "yours"),)
    report = merge_book(ours, theirs.path, take="ours")
    assert show(ours, "flight", "F1")["remarks"] == "mine"
    assert show(ours, "flight", "N1")["pilot"] == "Ann"


def test_taking_theirs_keeps_ours_as_an_earlier_state(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    correct(ours, "flight", "F1", {"remarks": "mine", "S1.soc_landing_pct": "41"})
    correct(theirs, "flight", "F1", {"remarks": "yours", "S1.soc_landing_pct": "42"})
    merge_book(ours, theirs.path, take="theirs", by="Ann")
    shown = show(ours, "flight", "F1")
    assert (shown["remarks"], shown["readings"][0]["soc_landing_pct"]) == ("yours", 42)
    last = [version for version in shown["versions"] if version["record"] == "flight"][-1]
    assert (last["was"]["remarks"], last["by_whom"], last["why"]) == (
        "mine",
        "Ann",
        "taken from another book in a merge",
    )
    after = dump(ours)
    assert not merge_book(ours, theirs.path, take="theirs").written
    assert dump(ours) == after


def test_the_same_flight_entered_in_both_books_is_a_difference_to_decide(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    add(ours, "flight", flight(1, flight_id="M1"))
    add(theirs, "flight", flight(1, flight_id="Y1", off_blocks="2031-06-01T08:02Z"))
    report = merge_book(ours, theirs.path)
    assert [(d.record_id, d.other_id, d.words) for d in report.differences] == [
        ("M1", "Y1", "the same aeroplane at the same time")
    ]
    merge_book(ours, theirs.path, take="theirs")
    assert show(ours, "flight", "M1")["off_blocks"] == "2031-06-01T08:02Z"
    with pytest.raises(DataRefused):
        show(ours, "flight", "Y1")


def test_the_same_flight_under_two_ids_with_the_same_content_is_one(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    add(ours, "flight", flight(1, flight_id="M1"))
    add(theirs, "flight", flight(1, flight_id="Y1"))
    report = merge_book(ours, theirs.path)
    assert report.counts["flight"].same == 2
    assert not report.written


def test_people_are_told_by_their_licence(tmp_path: Path) -> None:
    ours, theirs = base(tmp_path / "ours.logbook"), Book.open(tmp_path / "theirs.logbook", create=True)
    add(theirs, "person", {"person": "Ann Other", "licence_no": "L1"})
    add(theirs, "aircraft", {"registration": "X-ABC", "positions": ["F"]})
    add(
        theirs,
        "flight",
        {key: value for key, value in flight(1, pilot="Ann Other").items() if key != "readings"}
        | {"safety_pilot": "Ann Other"},
    )
    report = merge_book(ours, theirs.path)
    assert report.people == {"Ann Other": "Ann"}
    assert report.counts["person"].same == 1
    assert show(ours, "flight", "N1")["pilot"] == show(ours, "flight", "N1")["safety_pilot"] == "Ann"


def test_two_people_of_one_name_never_run_together(tmp_path: Path) -> None:
    ours, theirs = base(tmp_path / "ours.logbook"), Book.open(tmp_path / "theirs.logbook", create=True)
    add(theirs, "person", {"person": "Ann", "licence_no": "L2"})
    before = dump(ours)
    with pytest.raises(DataRefused, match="licence numbers 'L1' and 'L2'"):
        merge_book(ours, theirs.path, take="theirs")
    assert dump(ours) == before


def test_a_fitting_that_cannot_be_beside_ours_is_a_difference(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    add(
        ours,
        "installation",
        {"serial_no": "S1", "aircraft": "X-ABC", "position": "F", "fitted": "2031-01-01T00:00Z"},
    )
    add(
        theirs,
        "installation",
        {"serial_no": "S2", "aircraft": "X-ABC", "position": "F", "fitted": "2031-02-01T00:00Z"},
    )
    before = dump(ours)
    report = merge_book(ours, theirs.path)
    assert "position is taken" in report.differences[0].words
    with pytest.raises(DataRefused, match="position is taken"):
        merge_book(ours, theirs.path, take="theirs")
    assert dump(ours) == before


def test_a_struck_flight_stays_struck_on_the_way(two: tuple[Book, Book]) -> None:
    ours, theirs = two
    strike(theirs, "flight", "F1", by="Ben", why="never flown")
    merge_book(ours, theirs.path)
    assert show(ours, "flight", "F1")["struck"] == 1
    assert show(ours, "flight", "F1")["versions"][-1]["why"] == "never flown"


def test_books_that_were_tampered_with_are_refused(two: tuple[Book, Book], tmp_path: Path) -> None:
    ours, theirs = two
    theirs.close()
    for number, statement in enumerate(
        (
            "DROP TRIGGER flight_version",
            "CREATE TRIGGER evil AFTER INSERT ON place BEGIN DELETE FROM setting; END",
            "CREATE TABLE evil (x)",
            "PRAGMA user_version=99",
            "PRAGMA application_id=1",
        )
    ):
        path = tmp_path / f"bad{number}.logbook"
        shutil.copyfile(theirs.path, path)
        connection = sqlite3.connect(path)
        connection.execute(statement)
        connection.commit()
        connection.close()
        with pytest.raises(FileTrouble):
            merge_book(ours, path)


def test_odd_rows_behind_the_right_schema_are_refused(two: tuple[Book, Book], tmp_path: Path) -> None:
    ours, theirs = two
    add(theirs, "place", {"place": "HOME"})
    theirs.close()
    for number, statement in enumerate(
        (
            "UPDATE flight SET date = 'x' WHERE id = 'F1'",
            "INSERT INTO version (record, record_id, was, at) VALUES ('evil', 'F1', '{}', '2031-01-01T00:00Z')",
            """INSERT INTO version (record, record_id, was, at) VALUES ('place', 'HOME', '{"evil": 1}','2031-01-01T00:00Z')""",
        )
    ):
        path = tmp_path / f"odd{number}.logbook"
        shutil.copyfile(theirs.path, path)
        connection = sqlite3.connect(path)
        connection.execute("PRAGMA ignore_check_constraints=ON")
        connection.execute(statement)
        connection.commit()
        connection.close()
        before = dump(ours)
        with pytest.raises(LogbookError):
            merge_book(ours, path)
        assert dump(ours) == before


def test_a_book_is_not_merged_into_itself_and_words_are_checked(
    two: tuple[Book, Book], tmp_path: Path
) -> None:
    ours, theirs = two
    with pytest.raises(UsageError, match="into itself"):
        merge_book(ours, ours.path)
    with pytest.raises(UsageError, match="Whose word"):
        merge_book(ours, theirs.path, take="both")
    (tmp_path / "theirs.logbook-journal").write_bytes(b"x")
    with pytest.raises(FileTrouble, match="middle of a change"):
        merge_book(ours, theirs.path)
