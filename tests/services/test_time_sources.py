"""Where a time of a flight was taken from is recorded with it, shown, and gone once somebody writes another time."""

import io
from typing import Any

import pytest

from logbook.errors import DataRefused
from logbook.reports.record_text import write_record
from logbook.services.correct import correct
from logbook.services.flight_entry import save, values_of
from logbook.services.flight_form import Choice, form_for
from logbook.services.flight_sheet import recorded
from logbook.services.import_recording import import_recording
from logbook.services.questions import show_flight
from logbook.services.recorded import accept_recorded
from logbook.services.recorded_sheet import recorded_beside
from logbook.services.recording_read import Reading
from logbook.services.typed_time import Clock
from tests import club
from tests.club import put
from tests.recorder import flight_rows, mapping, written

DAY = "2031-05-09"
TIMES = {
    "off_blocks": ("0830", "track"), "takeoff": ("0835", "recorder"), "landing": ("0859", "read"), "on_blocks": ("0903", "track"),
}  # fmt: skip
SOURCES = {"off_blocks": "track", "takeoff": "recorder", "landing": None, "on_blocks": "track"}


def sources(flight: Any) -> dict[str, Any]:
    return {name: flight[f"{name}_source"] for name in SOURCES}


def notes(flight: Any) -> dict[str, str]:
    (block,) = [block for block in recorded(flight, "UTC") if block.heading == "Times"]
    return {line.label: line.note for line in block.lines}


def saved(book: Any, values: dict[str, tuple[str, str]], **how: bool) -> Any:
    form = form_for(book, Choice(club.WATT, Clock(DAY, "UTC", "UTC")), now=f"{DAY}T18:00Z")
    return save(book, form, values, "T1", open_only=how.get("open_only", False), at=f"{DAY}T18:00Z").flight


def test_what_was_taken_into_the_form_is_recorded_and_said_on_the_sheet_and_as_text(book: Any) -> None:
    flight = saved(book, TIMES)
    assert sources(flight) == SOURCES
    assert notes(flight) == {
        "Off blocks": "taken from a track", "Take-off": "taken from a recording of the aeroplane", "Landing": "",
        "On blocks": "taken from a track",
    }  # fmt: skip
    text = io.StringIO()
    write_record(text, "flight", flight)
    assert [line.split() for line in text.getvalue().splitlines() if "_source" in line] == [
        ["off_blocks_source", "track"], ["takeoff_source", "recorder"], ["on_blocks_source", "track"],
    ]  # fmt: skip


def test_a_time_somebody_writes_is_no_longer_that_of_the_file_and_the_earlier_state_tells(book: Any) -> None:
    saved(book, TIMES)
    flight = correct(book, "flight", "T1", {"off_blocks": f"{DAY}T08:29Z"}, why="clock").record
    assert sources(flight) == SOURCES | {"off_blocks": None}
    assert flight["versions"][0]["was"]["off_blocks_source"] == "track"
    same = correct(book, "flight", "T1", {"takeoff": f"{DAY}T08:35Z", "remarks": "calm"}).record
    assert same["takeoff_source"] == "recorder"


def test_an_open_flight_keeps_the_sources_it_was_opened_with_but_for_what_is_typed_anew(book: Any) -> None:
    opened = saved(book, {"off_blocks": ("0830", "track")}, open_only=True)
    assert opened["off_blocks_source"] == "track"
    again = values_of(opened, "UTC") | {"landing": ("0859", "track"), "on_blocks": ("0903", "read")}
    closed = saved(book, again)
    assert sources(closed) == {"off_blocks": "track", "takeoff": None, "landing": "track", "on_blocks": None}
    assert sources(correct(book, "flight", "T1", {"struck": 0}).record)["landing"] == "track"


def test_a_source_that_is_none_is_refused(book: Any) -> None:
    saved(book, TIMES)
    with pytest.raises(DataRefused):
        correct(book, "flight", "T1", {"landing_source": "hearsay"})


def test_a_recorded_time_that_was_taken_over_counts_as_such(book: Any, tmp_path: Any) -> None:
    put(book, "flight", club.flight("F1", landing=f"{DAY}T08:59Z", on_blocks=f"{DAY}T09:03Z"))
    card = written(tmp_path / "card.csv", flight_rows())
    import_recording(book, Reading(card, mapping(aircraft=club.WATT), start=f"{DAY}T08:25:00Z"))
    accept_recorded(book, "F1", ["takeoff"])
    flight = show_flight(book, "F1")
    assert sources(flight) == {"off_blocks": None, "takeoff": "recorder", "landing": None, "on_blocks": None}
    (block,) = recorded_beside(flight)
    said = {line.label: line.note for line in block.lines}
    assert said["take-off"] == "taken over: this one counts"
    assert said["landing"] == "the same as written down"
