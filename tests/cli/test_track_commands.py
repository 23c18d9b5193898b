"""A track is shown, given as JSON that `add` takes, or recorded when that is asked for."""

from pathlib import Path

import pytest

from tests import club
from tests.track_pen import Pen


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The club's book; Larkfield lies where the tracks begin."""
    path = tmp_path / "club.logbook"
    with club.club_book(path) as book:
        place = {"place": "Penfield", "latitude_deg": 45.0, "longitude_deg": 11.0, "zone": "Europe/Rome"}
        club.put(book, "place", place)
    return path


@pytest.fixture
def one(tmp_path: Path) -> Path:
    """One flight there and back; by hand: off blocks 17:01:00, on blocks 60 + 1850 s later."""
    pen = Pen()
    pen.stay(60)
    pen.there_and_back()
    pen.stay(100)
    return pen.write(tmp_path / "one.gpx")


@pytest.fixture
def two(tmp_path: Path) -> Path:
    """Seven circuits, and ten minutes later there and back."""
    pen = Pen()
    pen.stay(60)
    pen.go(30, 0, 0.05, 0)
    pen.go(30, 0, 0, 0)
    for _ in range(7):
        pen.circuit()
    pen.go(30, 0, 0.05, 0)
    pen.stay(600)
    pen.there_and_back()
    pen.stay(100)
    return pen.write(tmp_path / "two.gpx")


def test_the_json_of_a_track_is_what_add_takes(logbook, path: Path, one: Path) -> None:
    said = logbook(
        "--file", path, "import", one, "--format", "json", "--aircraft", club.WATT, "--pilot", club.ADA
    )
    assert said.status == 0
    assert "nothing was recorded" in said.err
    assert said.json["proposal"]["off_blocks"] == "2031-06-23T17:01Z"
    (found,) = said.json["flights"]
    assert found["add"]["place_from"] == found["add"]["place_to"] == "Penfield"
    assert found["origins"]["takeoff"] == "track: faster than 30 kt"
    assert logbook("--file", path, "list", "flights", "--format", "json").json == []
    assert logbook("--file", path, "add", "flight", "-", given=found["add"]).status == 0
    (flight,) = logbook("--file", path, "list", "flights", "--format", "json").json
    assert (flight["off_blocks"], flight["on_blocks"]) == ("2031-06-23T17:01Z", "2031-06-23T17:31Z")
    assert (flight["date"], flight["pilot"], flight["landings_day"]) == ("2031-06-23", club.ADA, 1)
    assert flight["readings"] == []


def test_a_track_is_recorded_when_that_is_asked_for_and_once_only(logbook, path: Path, one: Path) -> None:
    words = ("--file", path, "import", one, "--record", "--aircraft", club.WATT, "--pilot", club.ADA)
    said = logbook(*words)
    assert said.status == 0
    assert said.out.endswith(" new\n")
    assert logbook(*words).out.endswith(" same\n")
    assert len(logbook("--file", path, "list", "flights", "--format", "json").json) == 1


def test_a_flight_the_book_has_at_that_time_is_named_and_not_recorded_again(
    logbook, path: Path, one: Path
) -> None:
    said = logbook("--file", path, "import", one, "--record", "--aircraft", club.WATT, "--clock", "+10")
    assert said.status == 0
    said = logbook("--file", path, "import", one, "--record", "--aircraft", club.VOLT)
    assert said.status == 3  # the same id, another aeroplane
    flight = club.flight_at(17, "BY-HAND", day="2031-06-23", aircraft=club.VOLT, readings=[])
    assert logbook("--file", path, "add", "flight", "-", given=flight).status == 0
    said = logbook("--file", path, "import", one, "--record", "--aircraft", club.VOLT)
    assert said.status == 3
    assert "has this flight already" in said.err
    assert "BY-HAND" in said.err


def test_of_several_flights_one_is_chosen(logbook, path: Path, two: Path) -> None:
    assert logbook("--file", path, "import", two).out.count("flight ") == 2
    record = ("--file", path, "import", two, "--record", "--aircraft", club.WATT)
    said = logbook(*record)
    assert said.status == 2
    assert "--flight" in said.err
    assert "7 circuits" in said.err
    assert logbook(*record, "--flight", "3").status == 2
    assert logbook(*record, "--flight", "1").status == 0
    (flight,) = logbook("--file", path, "list", "flights", "--format", "json").json
    assert (flight["kind"], flight["circuits"], flight["landings_day"]) == ("circuits", 7, 7)


def test_an_aeroplane_must_be_named_and_known_to_record(logbook, path: Path, one: Path) -> None:
    assert logbook("--file", path, "import", one, "--record").status == 2
    said = logbook("--file", path, "import", one, "--record", "--aircraft", "NOBODY")
    assert said.status == 3
    assert logbook("--file", path, "list", "flights", "--format", "json").json == []


def test_a_trial_records_nothing(logbook, path: Path, one: Path) -> None:
    said = logbook("--file", path, "import", one, "--record", "--dry-run", "--aircraft", club.WATT)
    assert said.status == 0
    assert logbook("--file", path, "list", "flights", "--format", "json").json == []


def test_a_clock_that_was_wrong_is_put_right(logbook, path: Path, one: Path) -> None:
    said = logbook("--file", path, "import", one, "--format", "json", "--clock=-2:00")
    assert said.json["proposal"]["off_blocks"] == "2031-06-23T15:01Z"
    assert said.json["clock_offset_s"] == -7200
    assert logbook("--file", path, "import", one, "--clock", "soon").status == 2


def test_without_a_book_a_track_can_still_be_looked_at(logbook, tmp_path: Path, one: Path) -> None:
    said = logbook("--file", tmp_path / "none.logbook", "import", one)
    assert said.status == 0
    assert "off_blocks" in said.out
    assert not (tmp_path / "none.logbook").exists()
