"""Recordings by command: taken in, shown, taken over; as text and as JSON."""

import pytest

from tests import club
from tests.club import P1, put
from tests.recorder import flight_rows, mapping_text, written

MAP = mapping_text(aircraft="X-WATT")


@pytest.fixture
def words(tmp_path, book):
    put(book, "flight", club.flight("F1"))
    book.close()
    (tmp_path / "map.toml").write_text(MAP, encoding="utf-8")
    card = written(tmp_path / "card.csv", flight_rows())
    return ("import", card, "--recording", tmp_path / "map.toml", "--start", "2031-05-09T08:25:00Z")


def test_a_recording_is_taken_in_shown_and_taken_over(logbook, words):
    trial = logbook(*words, "--dry-run")
    assert (trial.status, "nothing was written" in trial.err) == (0, True)
    taken = logbook(*words, "--format", "json").json
    assert (taken["fate"], taken["flight_id"]) == ("new", "F1")
    assert taken["recording"]["used_count"] == 2401
    assert taken["findings"]["packs"][0]["serial_no"] == P1
    text = logbook("show", "flight", "F1").out
    assert "measured by recording" in text
    assert "by the charges" in text
    beside = logbook("recorded", "F1")
    assert "written down" in beside.out
    done = logbook("recorded", "F1", "--accept", f"{P1}.soc_landing_pct", "--by", club.ADA)
    assert f"{P1}.soc_landing_pct: 60.0 -> 57.0" in done.err
    shown = logbook("show", "flight", "F1", "--format", "json").json
    assert shown["readings"][0]["source"] == "recorder"
    assert logbook("list", "flights", "--flag", "recording_differs").status == 0


def test_the_clock_is_put_right_and_a_flight_of_another_day_is_recorded(logbook, words):
    assert logbook(*words, "--clock", "1", "--format", "json").json["recording"]["clock_offset_s"] == 60
    ahead = logbook(*words, "--clock", "-0:02", "--format", "json").json["recording"]
    assert ahead["clock_offset_s"] == -120
    other = [*words[:-1], "2031-05-12T08:25:00Z"]
    told = logbook(*other, "--format", "json").json
    assert (told["fate"], told["flight_id"]) == ("no flight", None)
    assert told["proposal"]["readings"][0]["source"] == "recorder"
    recorded = logbook(*other, "--record", "--pilot", club.ADA, "--format", "json").json
    assert recorded["fate"] == "new"
    assert logbook("recorded", recorded["flight_id"]).out.count("recorded") > 3


def test_what_is_wrong_is_said(logbook, words, tmp_path):
    (tmp_path / "map.toml").write_text("kind = 'recording'", encoding="utf-8")
    assert logbook(*words).status == 2
    assert logbook("recorded", "F9").status == 3
    assert logbook("recorded", "F1", "--accept", "all").status == 3
    assert "No recording" in logbook("recorded", "F1").out
