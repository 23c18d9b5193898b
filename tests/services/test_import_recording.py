"""A recording beside the flight it belongs to: found, kept, compared, flagged, taken over; nothing typed is lost."""

import json

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.services.correct import correct, strike
from logbook.services.import_recording import import_recording, record_flight
from logbook.services.questions import show_flight
from logbook.services.recorded import accept_recorded
from logbook.services.recorded_sheet import recorded_beside
from logbook.services.recording_read import Reading
from logbook.services.refresh import refresh_all
from logbook.store.derived import Derived
from logbook.store.records import Records
from tests import club
from tests.club import P1, P2, put
from tests.recorder import flight_rows, mapping, written

START = "2031-05-09T08:25:00Z"
"""The recorded flight then leaves the blocks at 08:30, takes off at 08:35, lands at 08:59, rests at 09:03."""
HEADER = ("t", "alt", "gs", "soc", "kw", "temp", "soc 2", "kw 2", "temp 2")


def told(**changes):
    pack = {
        "soc": "soc 2",
        "power": {"column": "kw 2", "unit": "kW", "discharge": "positive"},
        "temp_high": {"column": "temp 2", "unit": "celsius"},
    }
    packs = {"front": mapping().packs and {
        "soc": "soc", "power": {"column": "kw", "unit": "kW", "discharge": "positive"},
        "temp_high": {"column": "temp", "unit": "celsius"},
    }, "second": pack | {"serial_no": P2}}  # fmt: skip
    return mapping(**({"packs": packs, "aircraft": club.WATT} | changes))


@pytest.fixture
def file(tmp_path):
    rows = [(*row, *row[3:]) for row in flight_rows()]
    return written(tmp_path / "card.csv", rows, HEADER)


@pytest.fixture
def flight(book):
    put(book, "flight", club.flight("F1", landing="2031-05-09T08:59Z", on_blocks="2031-05-09T09:03Z"))


def how(file, **changes):
    return Reading(file, told(**changes), start=START)


@pytest.mark.usefixtures("flight")
def test_a_recording_finds_its_flight_and_stays_beside_what_was_written_down(book, file):
    before = show_flight(book, "F1")["readings"]
    taken = import_recording(book, how(file))
    assert (taken.fate, taken.flight["flight_id"]) == ("new", "F1")
    shown = show_flight(book, "F1")
    assert shown["readings"] == before
    (recording,) = shown["derived"]["recordings"]
    assert recording["energy_kwh"] == pytest.approx(2 * (0.25 + 40 / 12 + 5 + 0.15), abs=0.05)
    assert recording["at_least"] == 0
    rows = {(row["serial_no"], row["name"]): row for row in shown["derived"]["beside"]}
    charge = rows[P1, "soc_landing_pct"]
    assert (charge["typed"], charge["recorded"], charge["difference"], charge["counts"]) == (
        60,
        57,
        -3,
        "written down",
    )
    assert rows[P1, "soc_departure_pct"]["counts"] == "both"
    assert rows[P2, "soc_takeoff_pct"]["counts"] == "neither"
    assert rows["", "takeoff"]["difference"] == -1
    assert import_recording(book, how(file)).fate == "same"
    assert len(list(Records(book, "recording").select())) == 1


@pytest.mark.usefixtures("flight")
def test_a_trial_writes_nothing(book, file):
    assert import_recording(book, how(file), dry_run=True).fate == "new"
    assert list(Records(book, "recording").select()) == []


@pytest.mark.usefixtures("flight")
def test_the_same_file_read_with_another_clock_replaces_the_reading_and_keeps_the_earlier_one(book, file):
    import_recording(book, how(file))
    again = import_recording(book, Reading(file, told(), offset_s=60, start=START))
    assert again.fate == "read anew"
    (row,) = [row for _, row in Records(book, "recording").select()]
    assert row["clock_offset_s"] == 60
    rows = {row["name"]: row for row in show_flight(book, "F1")["derived"]["beside"]}
    assert rows["takeoff"]["difference"] == 0
    count = book.connection.execute("SELECT count(*) FROM version WHERE record = 'recording'").fetchone()
    assert count == (1,)


@pytest.mark.usefixtures("flight")
def test_taking_over_changes_the_source_and_the_earlier_version_keeps_what_was_typed(book, file):
    import_recording(book, how(file))
    changes = accept_recorded(book, "F1", [f"{P1}.soc_landing_pct", "phases"], by=club.BEN)
    assert (f"{P1}.soc_landing_pct", 60.0, 57.0) in changes
    shown = show_flight(book, "F1")
    first, second = shown["readings"]
    assert (first["soc_landing_pct"], first["source"]) == (57, "recorder")
    assert (second["soc_landing_pct"], second["source"]) == (60, "read")
    assert [phase["phase"] for phase in shown["phases"]] == ["ground", "climb", "level", "descent", "ground"]
    assert shown["phases"][1]["mean_kw"] == pytest.approx(80, rel=0.05)
    was = next(v["was"] for v in shown["versions"] if v["record"] == "reading")
    assert (was["soc_landing_pct"], was["source"]) == (60, "read")
    row = next(
        r for r in shown["derived"]["beside"] if (r["serial_no"], r["name"]) == (P1, "soc_landing_pct")
    )
    assert row["counts"] == "recorded"
    with pytest.raises(DataRefused, match="says 'mass_kg'"):
        accept_recorded(book, "F1", ["mass_kg"])


def flags(book):
    return {(f["rule"], f["serial_no"]) for f in show_flight(book, "F1")["flags"]}


@pytest.mark.usefixtures("flight")
def test_a_difference_is_flagged_and_the_flag_goes_with_it(book, file):
    correct(book, "flight", "F1", {f"{P1}.soc_landing_pct": 61}, why="typo")
    assert ("recording_differs", P1) not in flags(book)
    recording_id = import_recording(book, how(file)).recording
    assert ("recording_differs", P1) in flags(book)
    assert ("recording_differs", P2) in flags(
        book
    )  # temperatures 20 and 21.2: none; charge 60 and 57: none; 33 and 29.5
    kept = Derived(book).flags([1])
    with book.writing():
        refresh_all(book)
    assert Derived(book).flags([1]) == kept
    (row,) = [row for _, row in Records(book, "recording").select()]
    assert recording_id["flight_id"] == "F1"
    strike(book, "recording", row["recording_id"], why="another aeroplane's")
    assert ("recording_differs", P1) not in flags(book)
    assert "recordings" not in show_flight(book, "F1")["derived"]


def test_a_recording_without_a_flight_is_a_proposal_that_can_be_recorded(book, file):
    taken = import_recording(book, how(file))
    assert (taken.fate, taken.flight) == ("no flight", None)
    fields = {field.name: field for field in taken.proposal.fields}
    assert fields["off_blocks"].value == "2031-05-09T08:30Z"
    assert (fields[f"{P2}.soc_landing_pct"].value, fields[f"{P2}.soc_landing_pct"].source) == (
        "57",
        "recorder",
    )
    assert list(Records(book, "flight").select()) == []
    flight_id = record_flight(book, how(file), taken, pilot=club.ADA, by=club.ADA)
    assert import_recording(book, how(file)).fate == "new"
    shown = show_flight(book, flight_id)
    assert [r["source"] for r in shown["readings"]] == ["recorder", "recorder"]
    assert shown["readings"][0]["temp_max_c"] == 30


def test_several_flights_in_one_recording_are_asked_for_and_cut(book, file):
    put(
        book,
        "flight",
        club.flight(
            "A", off_blocks="2031-05-09T08:30Z", takeoff=None, landing=None, on_blocks="2031-05-09T08:45Z"
        ),
    )
    put(
        book,
        "flight",
        club.flight(
            "B", off_blocks="2031-05-09T08:50Z", takeoff=None, landing=None, on_blocks="2031-05-09T09:03Z"
        ),
    )
    with pytest.raises(DataRefused, match="2 flights"):
        import_recording(book, how(file))
    taken = import_recording(book, how(file), flight_id="A")
    assert taken.recording["ended"] == "2031-05-09T08:55Z"
    assert taken.findings.at_least


@pytest.mark.usefixtures("flight")
def test_what_does_not_fit_is_refused(book, file):
    with pytest.raises(DataRefused, match="no flight 'F9'"):
        import_recording(book, how(file), flight_id="F9")
    with pytest.raises(DataRefused, match="--clock"):
        import_recording(book, Reading(file, told(), start="2031-05-10T08:25:00Z"), flight_id="F1")
    with pytest.raises(DataRefused, match="the flight of X-WATT"):
        import_recording(book, Reading(file, told(), start=START, aircraft=club.VOLT), flight_id="F1")
    packs = {"front": {"serial_no": "GHOST", "soc": "soc"}}
    with pytest.raises(DataRefused, match="no pack 'GHOST'"):
        import_recording(book, how(file, packs=packs))
    with pytest.raises(DataRefused, match="position 'nose'"):
        import_recording(book, how(file, packs={"nose": {"soc": "soc 2"}}))
    with pytest.raises(UsageError, match="which aeroplane"):
        import_recording(book, how(file, aircraft="", packs={"front": {"soc": "soc"}}))
    with pytest.raises(DataRefused, match="has no recording"):
        accept_recorded(book, "F1", ["all"])


@pytest.mark.usefixtures("flight")
def test_found_by_somebody_elses_tool_must_be_of_the_form(book, file):
    import_recording(book, how(file))
    (row,) = [row for _, row in Records(book, "recording").select()]
    for found in (
        "[]",
        '{"packs": [{"serial_no": "X", "soc_landing_pct": 700}]}',
        '{"guess": 1}',
        "{",
        "NaN",
    ):
        with pytest.raises(DataRefused):
            put(book, "recording", row | {"recording_id": "R2", "findings": found})
    with pytest.raises(DataRefused):
        put(book, "recording", row | {"recording_id": "R2", "digest": "short"})
    book.connection.execute(
        "UPDATE recording SET findings = ?", (json.dumps({"packs": [3], "takeoff": "noon"}),)
    )
    assert show_flight(book, "F1")["derived"]["beside"] == []


@pytest.mark.usefixtures("flight")
def test_the_sheet_says_of_each_recorded_value_which_counts(book, file):
    import_recording(book, how(file))
    accept_recorded(book, "F1", [f"{P2}.temp_max_c"])
    (block,) = recorded_beside(show_flight(book, "F1"))
    notes = {line.label: (line.value, line.note) for line in block.lines}
    assert notes[f"{P1} charge after stop"] == ("57 %", "-3 points; written down 60 %: that one counts")
    assert notes[f"{P1} charge before start"] == ("90 %", "the same as written down")
    assert notes[f"{P1} charge at take-off"][1] == "not written down, and not taken over: does not count"
    assert notes[f"{P2} highest temperature"] == ("30 °C", "taken over: this one counts")
    assert "by the charges" in notes["measured by recording"][1]
