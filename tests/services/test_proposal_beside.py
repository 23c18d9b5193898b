"""What a file proposes stands beside what is typed; nothing typed is overwritten but by a key for that field."""

from pathlib import Path

import pytest

from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.services.proposal import TRACK, Proposal, ProposedField
from logbook.services.proposal_beside import all_empty, beside, in_the_book, to_take
from tests.services.club import LAST_FLIGHT, NOW, club_book

FIELDS = (
    ProposedField("off_blocks", "Off blocks", "2031-05-09T06:35Z", "track: first movement"),
    ProposedField("on_blocks", "On blocks", "2031-05-09T07:20Z", "track: last movement"),
    ProposedField("climb_ft", "Climbed", "2000", "track"),
    ProposedField("circuits", "Circuits", "3", "track"),
    ProposedField("P-101.soc_landing_pct", "Charge", "54.5", "recording", "recorder"),
    ProposedField("P-999.soc_landing_pct", "Charge", "54.5", "recording", "recorder"),
)
FOUND = Proposal(TRACK, "t.gpx", "ab" * 32, 0, "2031-05-09T06:35Z", "2031-05-09T07:20Z", "a flight", FIELDS)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    book = club_book(tmp_path / "club.logbook")
    return Desk(book, clock=lambda: NOW, drafts=Drafts(book.path, tmp_path / "state"))


def test_each_line_says_whether_it_is_empty_the_same_or_different(desk: Desk) -> None:
    entry = desk.begin_flight("AB-1")
    form = desk.flight_form(entry)
    zone = form.clock.zone
    off = FIELDS[0].typed(zone)
    values = {
        "off_blocks": (off, "read"),
        "on_blocks": ("+50", "read"),
        "climb_ft": ("2000", "read"),
        "circuits": ("4", "read"),
    }
    states = {line.name: line for line in beside(form, values, FOUND)}
    assert states["@day"].state == "same"
    assert states["off_blocks"].state == "same"
    assert states["on_blocks"].state == "differs"
    assert states["on_blocks"].note.startswith("5 min apart")  # 06:35 + 50 min is 07:25
    assert states["climb_ft"].state == "same"
    assert states["circuits"].note.startswith("1 apart")
    assert states["P-101.soc_landing_pct"].state == "empty"
    assert states["P-999.soc_landing_pct"].state == "not asked"


def test_all_that_are_empty_leaves_alone_what_is_typed(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1"))
    lines = beside(form, {"circuits": ("4", "read")}, FOUND)
    assert set(all_empty(lines)) == {"off_blocks", "on_blocks", "climb_ft", "P-101.soc_landing_pct"}
    assert all_empty(lines)["P-101.soc_landing_pct"] == ("54.5", "recorder")
    assert to_take(lines, "circuits") == {"circuits": ("3", "read")}
    assert to_take(lines, "P-999.soc_landing_pct") == {}


def test_times_of_another_day_cannot_be_taken_before_the_day_is(desk: Desk) -> None:
    form = desk.flight_form(desk.begin_flight("AB-1", "2031-05-08"))
    lines = beside(form, {}, FOUND)
    assert lines[0].state == "differs"
    assert {line.state for line in lines if line.name.endswith("blocks")} == {"other day"}
    assert set(all_empty(lines)) == {"climb_ft", "circuits", "P-101.soc_landing_pct"}
    assert to_take(lines, "off_blocks") == {}


def test_what_a_recorder_wrote_down_is_kept_as_such_until_somebody_types(desk: Desk) -> None:
    entry = desk.begin_flight("AB-1")
    form = desk.flight_form(entry)
    values = {
        "off_blocks": ("0635", "read"), "on_blocks": ("0720", "read"),
        "P-101.soc_landing_pct": ("54.5", "recorder"), "P-101.soc_departure_pct": ("97", "recorder"),
        "P-102.soc_landing_pct": ("54.5", "recorder"), "P-102.soc_departure_pct": ("97", "read"),
    }  # fmt: skip
    saved = desk.save_flight(form, values, entry.flight_id, open_only=False)
    sources = {reading["serial_no"]: reading["source"] for reading in saved.flight["readings"]}
    assert sources == {"P-101": "recorder", "P-102": "read"}


def test_the_flight_that_is_in_the_book_is_found_by_aeroplane_and_time(desk: Desk) -> None:
    book = desk.book
    there = in_the_book(book, "AB-1", "2031-05-08T10:44Z", "2031-05-08T11:30Z")
    assert there is not None
    assert there["flight_id"] == LAST_FLIGHT["flight_id"]
    assert in_the_book(book, "AB-1", "2031-05-08T10:45Z", "2031-05-08T11:30Z") is None
    assert in_the_book(book, "AB-1", "2031-05-08T10:44Z", "2031-05-08T11:30Z", but="last") is None
