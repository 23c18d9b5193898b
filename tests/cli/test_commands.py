"""Each command in each format; data on standard output, talk on standard error; exit statuses of the contract."""

from __future__ import annotations

import csv
import io
import json

import pytest

from tests import club
from tests.club import P1, P2, charge, flight, flight_at, reading

EVIL = "calm \x1b[2J\x9b31m\r\u202egusty\x00\x07"


@pytest.fixture
def filled(book_path, logbook):
    """Three flights over two days, a charge between them, something due, a defect."""
    logbook("add", "flight", "-", given=flight_at(8, "F1", remarks="first, calm", entered_at=club.NOW))
    rows = [charge("C1", P1, "2031-05-09T09:00Z"), charge("C1", P2, "2031-05-09T09:00Z")]
    logbook("add", "charge", "-", given=rows)
    second = flight_at(
        10,
        "F2",
        pilot=club.BEN,
        kind="circuits",
        circuits=4,
        crew=[{"person": club.CLEO}],
        entered_at=club.NOW,
    )
    logbook("add", "flight", "-", given=second)
    low = [reading(club.P3, soc_landing_pct=20), reading(club.P4, soc_landing_pct=30)]
    third = flight_at(
        9,
        "F3",
        day="2031-05-12",
        aircraft=club.VOLT,
        pilot=club.BEN,
        second_person=club.ADA,
        readings=low,
        entered_at=club.NOW,
    )
    logbook("add", "flight", "-", given=third)
    logbook(
        "add",
        "defect",
        "-",
        given={"defect_id": "D1", "aircraft": club.WATT, "found": "2031-05-10T10:00Z", "text": "worn tyre"},
    )
    logbook(
        "add", "person-item", "-", given={"person": club.ADA, "item": "medical", "valid_until": "2031-09-30"}
    )
    return book_path


def ids(answer):
    assert answer.status == 0, answer.err
    return [row.get("flight_id") or row.get("charge_id") or row.get("serial_no") for row in answer.json]


KINDS = (
    "flights",
    "charges",
    "packs",
    "pack-types",
    "aircraft",
    "people",
    "places",
    "installations",
    "person-items",
    "observations",
    "capacity-checks",
    "defects",
    "maintenance",
    "components",
    "plans",
    "signatures",
    "answers",
    "recordings",
    "papers",
    "due",
)


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_listed_as_text_as_json_and_as_csv(logbook, kind):
    text, data, table = (logbook("list", kind, "--format", form) for form in ("text", "json", "csv"))
    assert [answer.status for answer in (text, data, table)] == [0, 0, 0]
    assert [answer.err for answer in (text, data, table)] == ["", "", ""]
    assert text.out.endswith("\n")
    assert isinstance(data.json, list)
    rows = list(csv.reader(io.StringIO(table.out, newline="")))
    assert len(rows) == len(data.json) + 1
    assert all(len(row) == len(rows[0]) for row in rows)


SHOWN = [
    ("flight", "F1"),
    ("charge", "C1"),
    ("pack", P1),
    ("aircraft", club.WATT),
    ("person", club.ADA),
    ("defect", "D1"),
]


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize(("kind", "record_id"), SHOWN)
def test_a_record_is_shown_as_text_and_as_json(logbook, kind, record_id):
    text = logbook("show", kind, record_id)
    assert (text.status, text.err) == (0, "")
    assert record_id in text.out
    shown = logbook("show", kind, record_id, "--format", "json").json
    assert shown["versions"] == []
    assert shown["token"] == 0


@pytest.mark.usefixtures("filled")
def test_flights_in_json_are_a_bare_list_with_derived_figures_readings_and_flags(logbook):
    newest = logbook("list", "flights", "--format", "json").json[0]
    assert newest["flight_id"] == "F3"
    assert {"block_min", "air_min", "energy_kwh", "energy_kwh_per_min", "minutes_left"} <= newest[
        "derived"
    ].keys()
    assert newest["readings"][0]["derived"]["energy_kwh"] > 0
    flag = newest["flags"][0]
    assert {"rule", "severity", "words", "figures", "serial_no"} <= flag.keys()
    assert (flag["rule"], flag["serial_no"]) == ("landing_below_reserve", club.P3)


FILTERS = [
    ([], ["F3", "F2", "F1"]),
    (["--limit", "2"], ["F3", "F2"]),
    (["--limit", "0"], []),
    (["--since", "2031-05-10"], ["F3"]),
    (["--until", "2031-05-09"], ["F2", "F1"]),
    (["--since", "2031-05-09", "--until", "2031-05-09"], ["F2", "F1"]),
    (["--aircraft", club.VOLT], ["F3"]),
    (["--person", club.ADA], ["F3", "F1"]),
    (["--person", club.CLEO], ["F2"]),
    (["--pack", P2], ["F2", "F1"]),
    (["--flag", "landing_below_reserve"], ["F3"]),
    (["--flag", "any"], ["F3"]),
    (["--flag", "overlap"], []),
    (["--text", "CALM"], ["F1"]),
    (["--kind-of-flight", "circuits"], ["F2"]),
    (["--person", club.ADA, "--aircraft", club.WATT, "--limit", "1"], ["F1"]),
    (["--struck"], []),
]


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize(("words", "wanted"), FILTERS)
def test_flights_are_narrowed_by_what_people_ask_for(logbook, words, wanted):
    assert ids(logbook("list", "flights", *words, "--format", "json")) == wanted


OTHER_FILTERS = [
    ("charges", ["--pack", P1], ["C1"]),
    ("charges", ["--aircraft", club.WATT], ["C1", "C1"]),
    ("charges", ["--aircraft", club.VOLT], []),
    ("charges", ["--since", "2031-05-09"], ["C1", "C1"]),
    ("charges", ["--until", "2031-05-08"], []),
    ("charges", ["--text", "hangar", "--limit", "1"], ["C1"]),
    ("packs", ["--aircraft", club.VOLT], [club.P3, club.P4]),
    ("packs", ["--pack", P1], [P1]),
    ("installations", ["--aircraft", club.VOLT, "--pack", club.P4], [club.P4]),
]


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize(("kind", "words", "wanted"), OTHER_FILTERS)
def test_other_records_are_narrowed_as_far_as_they_can_be(logbook, kind, words, wanted):
    assert ids(logbook("list", kind, *words, "--format", "json")) == wanted


@pytest.mark.usefixtures("filled")
def test_what_is_due_is_narrowed_too(logbook):
    assert [
        item["what"] for item in logbook("list", "due", "--person", club.ADA, "--format", "json").json
    ] == ["medical"]
    assert logbook("list", "due", "--person", club.BEN, "--format", "json").json == []
    assert logbook("list", "due", "--until", "2031-09-29", "--format", "json").json == []


WRONG_USE = [
    ["fly"],
    ["list"],
    ["list", "kites"],
    ["add", "kite", "-"],
    ["show", "flight"],
    ["show", "kite", "K1"],
    ["list", "flights", "--limit", "many"],
    ["list", "flights", "--limit", "-1"],
    ["list", "flights", "--since", "yesterday"],
    ["list", "flights", "--since", "2031-02-30"],
    ["list", "flights", "--flag", "no_such_rule"],
    ["list", "flights", "--format", "xml"],
    ["list", "packs", "--flag", "any"],
    ["list", "places", "--person", club.ADA],
    ["list", "due", "--flag", "any"],
    ["correct", "flight", "F1"],
    ["correct", "flight", "F1", "remarks"],
    ["correct", "flight", "F1", "=5"],
    ["strike", "flight", "F1"],
    ["strike", "flight", "F1", "--why", "  "],
    ["answer", "F1", "overlap"],
    ["list", "flights", "--colour"],
]


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize("words", WRONG_USE, ids=" ".join)
def test_wrong_usage_is_said_on_standard_error_and_ends_with_2(logbook, words):
    answer = logbook(*words, given=b"{}")
    assert answer.status == 2
    assert answer.out == ""
    assert answer.err


UNKNOWN = [
    ["show", "flight", "F9"],
    ["show", "pack", "NONE"],
    ["show", "charge", "C9"],
    ["list", "flights", "--aircraft", "X-NONE"],
    ["list", "flights", "--person", "Nobody"],
    ["list", "flights", "--pack", "NONE"],
    ["list", "charges", "--pack", "NONE"],
    ["correct", "flight", "F9", "remarks=x"],
    ["correct", "charge", "C9", "price=1"],
    ["correct", "charge", "C1", "NONE.price=1"],
    ["strike", "pack", "NONE", "--why", "gone"],
    ["answer", "F9", "overlap", "--words", "seen"],
    ["answer", "F1", "overlap", "--words", "seen"],
    ["rates", "X-NONE"],
    ["capacity", "NONE"],
    ["forecasts", "X-NONE"],
    ["restore", "no-such-file"],
]


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize("words", UNKNOWN, ids=" ".join)
def test_what_the_book_does_not_know_is_said_with_what_to_do_and_ends_with_3(logbook, words):
    answer = logbook(*words)
    assert answer.status == 3
    assert answer.out == ""
    problem, step = answer.err.strip().split("\n")
    assert problem.startswith("logbook: ")
    assert step


READING = [
    ["list", "flights"],
    ["list", "due"],
    ["show", "flight", "F1"],
    ["correct", "flight", "F1", "remarks=x"],
    ["strike", "flight", "F1", "--why", "x"],
    ["answer", "F1", "overlap", "--words", "x"],
    ["check"],
    ["backup"],
    ["restore"],
    ["rates", club.WATT],
    ["capacity", P1],
    ["forecasts", club.WATT],
]


@pytest.mark.parametrize("words", READING, ids=" ".join)
def test_no_command_but_add_makes_a_missing_book(logbook, tmp_path, words):
    answer = logbook("--file", tmp_path / "none" / "no.logbook", *words)
    assert answer.status == 3
    assert answer.out == ""
    assert not (tmp_path / "none").exists()


def test_add_makes_a_missing_book_and_its_folder(logbook, tmp_path):
    path = tmp_path / "new" / "my.logbook"
    assert logbook("--file", path, "add", "person", "-", given={"person": "Dot Reed"}).status == 0
    assert path.exists()
    assert logbook("list", "people", "--file", path, "--format", "json").json[0]["person"] == "Dot Reed"


def test_the_smallest_aeroplane_is_registration_type_and_positions(logbook):
    smallest = {"registration": "X-TINY", "type": "glider", "positions": []}
    assert logbook("add", "aircraft", "-", given=smallest).status == 0
    bare = {"aircraft": "X-TINY", "off_blocks": "2031-05-09T08:30Z", "on_blocks": "2031-05-09T09:00Z"}
    answer = logbook(
        "add",
        "flight",
        "-",
        given=bare,
    )
    assert "reserve" not in answer.err
    assert answer.status == 0


def test_a_file_is_read_as_well_as_standard_input(logbook, tmp_path, book_path):
    (tmp_path / "f.json").write_text(json.dumps(flight()), encoding="utf-8")
    assert logbook("add", "flight", tmp_path / "f.json").out == "F1\n"
    missing = logbook("add", "flight", tmp_path / "none.json")
    assert missing.status == 74
    assert logbook("add", "flight", tmp_path).status == 74
    assert book_path.exists()


@pytest.mark.usefixtures("filled")
def test_a_correction_tells_what_changed_and_why_and_keeps_the_earlier_state(logbook):
    answer = logbook(
        "correct",
        "flight",
        "F1",
        f"{P1}.soc_landing_pct=58",
        "remarks=gusty",
        "--by",
        club.BEN,
        "--why",
        "paper says so",
    )
    assert answer.status == 0
    assert answer.out == ""
    assert "60.0 -> 58" in answer.err
    versions = logbook("show", "flight", "F1", "--format", "json").json["versions"]
    assert [(v["record"], v["by_whom"], v["why"]) for v in versions] == [
        ("flight", club.BEN, "paper says so"),
        ("reading", club.BEN, "paper says so"),
    ]
    assert "gusty" not in logbook("correct", "flight", "F1", "remarks=gusty").err
    text = logbook("show", "flight", "F1").out
    assert "paper says so" in text
    assert "first, calm" in text


@pytest.mark.usefixtures("filled")
def test_a_struck_flight_leaves_the_list_and_comes_back_when_it_is_restored(logbook):
    assert logbook("strike", "flight", "F2", "--by", club.BEN, "--why", "twice").status == 0
    assert ids(logbook("list", "flights", "--format", "json")) == ["F3", "F1"]
    assert ids(logbook("list", "flights", "--struck", "--format", "json")) == ["F2"]
    assert logbook("correct", "flight", "F2", "struck=0").status == 0
    assert ids(logbook("list", "flights", "--format", "json")) == ["F3", "F2", "F1"]


@pytest.mark.usefixtures("filled")
def test_undo_takes_the_last_correction_back_and_keeps_both(logbook):
    before = logbook("show", "flight", "F1", "--format", "json").json["remarks"]
    assert logbook("correct", "flight", "F1", "remarks=wrong slip").status == 0
    taken = logbook("undo", "flight", "F1", "--by", club.BEN)
    assert taken.status == 0
    assert "Taken back" in taken.err
    shown = logbook("show", "flight", "F1", "--format", "json").json
    assert shown["remarks"] == before
    assert len(shown["versions"]) == 2
    assert logbook("undo", "flight", "F2").status == 3  # nothing to take back


@pytest.mark.usefixtures("filled")
def test_an_answered_flag_is_no_longer_open(logbook):
    assert (
        logbook("answer", "F3", "landing_below_reserve", "--words", "go-around", "--by", club.BEN).status == 0
    )
    assert ids(logbook("list", "flights", "--flag", "any", "--format", "json")) == []
    assert "landing_below_reserve" not in logbook("list", "flights").out
    assert "go-around" in logbook("show", "flight", "F3").out


@pytest.mark.usefixtures("filled")
def test_a_flag_of_a_charge_is_answered_by_the_same_command(logbook):
    fallen = club.charge("C7", club.P1, "2031-05-20T10:00Z", soc_start_pct=90, soc_end_pct=60)
    assert logbook("add", "charge", "-", given=fallen).status == 0
    assert ids(logbook("list", "charges", "--flag", "any", "--format", "json")) == ["C7"]
    assert logbook("answer", "C7", "charge_fell", "--words", "gauge replaced", "--by", club.BEN).status == 0
    assert ids(logbook("list", "charges", "--flag", "any", "--format", "json")) == []
    text = logbook("show", "charge", "C7").out
    assert "[charge_fell] (answered)" in text
    assert "gauge replaced" in text
    assert logbook("answer", "C7", "overlap", "--words", "x").status == 3


@pytest.mark.usefixtures("filled")
def test_the_report_of_a_year_is_a_paper_of_the_command_line(logbook, tmp_path):
    said = logbook("paper", "year", "2031", "--as-of", "2031-12-31")
    assert said.status == 0
    assert "Report of the year 2031" in said.out
    assert "All aeroplanes" in said.out
    target = tmp_path / "year.html"
    assert logbook("export", "year", "2031", "--to", str(target)).status == 0
    assert "<h1>Report of the year 2031</h1>" in target.read_text()
    assert logbook("paper", "year", "31").status == 2
    assert logbook("export", "year", "--to", "-").status == 2


def test_check_ends_with_0_where_nothing_is_wrong_and_with_1_where_something_is(filled, logbook):
    import sqlite3

    assert logbook("check").status == 0
    raw = sqlite3.connect(filled)
    raw.execute("UPDATE flight_index SET block_min = 7")
    raw.commit()
    raw.close()
    found = logbook("check", "--format", "json")
    assert found.status == 1
    assert found.json[0]["next_step"]
    assert logbook("check", "--mend").status == 0
    assert logbook("check").out == "Nothing wrong was found.\n"


def test_a_backup_and_the_way_back(filled, logbook, tmp_path):
    copy = tmp_path / "copy.logbook"
    assert logbook("backup", "--to", copy).out == f"{copy}\n"
    assert logbook("backup", "--to", copy).status == 74
    assert logbook("backup", "--to", copy, "--force").status == 0
    logbook("strike", "flight", "F1", "--why", "a test")
    assert logbook("restore", copy, "--format", "json").json == {"book": str(filled)}
    assert ids(logbook("list", "flights", "--format", "json")) == ["F3", "F2", "F1"]


def test_trouble_with_the_file_ends_with_74_and_a_sentence(logbook, book_path):
    book_path.write_bytes(b"no logbook at all" * 100)
    for words in READING[:8]:
        answer = logbook(*words)
        assert answer.status == 74, words
        assert len(answer.err.strip().split("\n")) == 2
        assert answer.out == ""


def test_a_defect_ends_with_70_and_leaves_a_report_without_a_name(logbook, filled, monkeypatch, tmp_path):
    from logbook.services import shown

    def broken(*_):
        raise KeyError(club.ADA)

    monkeypatch.setattr(shown, "show", broken)
    answer = logbook("show", "flight", "F1")
    assert answer.status == 70
    assert answer.out == ""
    (report,) = (tmp_path / "state").glob("defect-*.txt")
    assert str(report) in answer.err
    assert "KeyError" in report.read_text()
    assert club.ADA not in report.read_text()
    assert filled.exists()


@pytest.mark.usefixtures("filled")
def test_a_defect_is_said_even_where_no_report_can_be_written(logbook, monkeypatch, tmp_path):
    from logbook.services import shown

    (tmp_path / "no-folder").touch()
    monkeypatch.setenv("LOGBOOK_STATE", str(tmp_path / "no-folder"))
    monkeypatch.setattr(shown, "show", None)
    assert logbook("show", "flight", "F1").status == 70


def everything_shown(logbook, form):
    for words in (
        ["list", "flights"],
        ["show", "flight", "E\x1b1"],
        ["list", "charges"],
        ["show", "charge", "C\x1b1"],
        ["list", "people"],
        ["list", "places"],
        ["list", "defects"],
        ["list", "due"],
    ):
        answer = logbook(*words, "--format", form)
        assert answer.status == 0, (words, answer.err)
        yield answer


@pytest.fixture
def evil(book_path, logbook):
    """A book full of text that would like to run."""
    logbook("add", "person", "-", given={"person": EVIL, "licence_no": EVIL})
    logbook("add", "place", "-", given={"place": EVIL, "text": EVIL})
    logbook(
        "add", "flight", "-", given=flight("E\x1b1", remarks=EVIL, place_from=EVIL, pilot=EVIL, debrief=EVIL)
    )
    logbook("add", "charge", "-", given=charge("C\x1b1", P1, "2031-05-09T10:00Z", charger=EVIL, place=EVIL))
    logbook("add", "defect", "-", given={"serial_no": P1, "found": "2031-05-09T10:00Z", "text": EVIL})
    logbook("add", "person-item", "-", given={"person": EVIL, "item": EVIL, "valid_until": "2031-09-30"})
    return book_path


def hidden(text):
    return [
        char
        for char in text
        if (ord(char) < 32 and char != "\n") or 127 <= ord(char) < 160 or char == "\u202e"
    ]


@pytest.mark.usefixtures("evil")
def test_text_output_shows_control_and_bidirectional_characters_as_escapes(logbook):
    for answer in everything_shown(logbook, "text"):
        assert hidden(answer.out) == []
    assert r"\x1b[2J" in logbook("show", "flight", "E\x1b1").out


@pytest.mark.usefixtures("evil")
def test_json_carries_text_exactly(logbook):
    shown = logbook("show", "flight", "E\x1b1", "--format", "json").json
    assert (shown["remarks"], shown["pilot"], shown["place_from"]) == (EVIL, EVIL, EVIL)


def test_csv_carries_text_exactly_behind_the_spreadsheet_guard(logbook, book_path):
    names = ["=1+1", "@SUM(1)", "'=1", "-5", "plain", "a\nb", '"q", r']
    for name in names:
        logbook("add", "place", "-", given={"place": name})
    rows = list(csv.reader(io.StringIO(logbook("list", "places", "--format", "csv").out, newline="")))
    cells = {row[0] for row in rows[1:]}
    assert {"'=1+1", "'@SUM(1)", "''=1", "'-5", "plain", "a\nb", '"q", r'} <= cells
    assert book_path.exists()


@pytest.mark.usefixtures("evil")
def test_errors_and_talk_hide_nothing_either(logbook):
    for words in (
        ["show", "flight", EVIL.replace("\x00", "")],
        ["show", "\x1b[2J", "x"],
        ["\x1b[2J"],
        ["list", "flights", "--\x1b[2J"],
        ["list", "flights", "--since", "\x1b[2J"],
        ["correct", "flight", "E\x1b1", "remarks=\x1b[31m"],
        ["correct", "flight", "E\x1b1", "\x1b[2J=5"],
        ["strike", "flight", "E\x1b1", "--why", "\x1b[2J"],
    ):
        assert hidden(logbook(*words).err) == [], words


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize(
    "words", [["rates", club.WATT], ["capacity", P1], ["forecasts", club.WATT, "--rows"]], ids=" ".join
)
def test_what_the_record_says_is_given_as_text_and_as_json(logbook, words):
    assert logbook(*words).status == 0
    data = logbook(*words, "--format", "json").json
    wanted = {
        "rates": {"aircraft", "flights", "rates"},
        "capacity": {"serial_no", "as_of", "usable_kwh", "n", "sources", "history"},
        "forecasts": {
            "flights",
            "mae_pct",
            "bias_pct",
            "inside_90",
            "mean_width_pct",
            "handbook_mae_pct",
            "average_mae_pct",
            "suspects",
            "rows",
        },
    }[words[0]]
    assert wanted <= data.keys()


@pytest.mark.usefixtures("filled")
def test_units_are_a_setting_of_text_and_of_nothing_else(logbook):
    logbook("correct", "flight", "F1", "mass_kg=590", "--why", "weighed")
    before = [logbook("list", "flights", "--format", form).out for form in ("json", "csv")]
    answer = logbook("settings", "mass=lb", "temperature=F", "duration=h")
    assert answer.status == 0, answer.err
    assert "°F" in answer.out
    shown = logbook("show", "flight", "F1").out
    assert "mass [lb]" in shown
    assert "1300.7" in shown
    assert "block h " in logbook("list", "flights").out
    assert [logbook("list", "flights", "--format", form).out for form in ("json", "csv")] == before
    assert logbook("settings", "--format", "json").json["mass"] == "lb"
    assert logbook("settings", "mass=stone").status == 3
    assert logbook("settings", "mass").status == 2
