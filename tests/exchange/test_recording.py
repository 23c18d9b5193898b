"""Recordings of the aeroplane: read, refused, and what they say; expected figures are worked out by hand."""

import tomllib
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.exchange.recording_mapping import recording_mapping_of
from logbook.exchange.recording_trace import read_trace
from tests.recorder import TOLD, findings, flight_rows, mapping, out_kwh, steady, traced, written


@pytest.fixture
def file(tmp_path):
    return tmp_path / "card.csv"


def test_twenty_kilowatt_for_half_an_hour_and_the_digest_of_the_file(file):
    trace = traced(file, steady(range(1801), 20))
    assert out_kwh(trace) == pytest.approx(10)
    assert trace.digest == sha256(file.read_bytes()).hexdigest()
    assert (trace.read, trace.used, trace.left_out, trace.interval_s) == (1801, 1801, {}, 1.0)


def test_ten_rows_a_second_are_added_up_whole_and_kept_once_a_second(file):
    trace = traced(file, steady((n / 10 for n in range(6001)), lambda t: 36.0 if t % 1 < 0.45 else 0.0))
    assert len(trace.at) <= 602
    # five of ten steps at 36 kW, less half a step on one side and more on the other
    assert out_kwh(trace) == pytest.approx(600 * 0.5 * 36 / 3600, rel=0.001)


def test_decimal_comma_semicolon_other_units_and_a_word_for_no_value(file):
    file.write_text(
        "x\nt;alt;gs;soc;u;i;temp\n0,0;100,0;36,0;0,905;400,0;-50,0;68,0\n1,0;100,0;36,0;--;400,0;-50,0;68,0\n",
        encoding="cp1252",
    )
    told = mapping(
        file={"separator": ";", "decimal": ",", "encoding": "cp1252", "skip_lines": 1, "missing": ["--"]},
        altitude={"unit": "m"},
        speed={"unit": "km/h"},
        packs={
            "front": {
                "soc": {"column": "soc", "unit": "fraction"},
                "voltage": "u",
                "current": {"column": "i", "discharge": "negative"},
                "temp_high": {"column": "temp", "unit": "fahrenheit"},
            }
        },
    )
    trace = read_trace(file, told)
    assert trace.altitude_ft[0] == pytest.approx(328.084, abs=1e-3)
    assert trace.speed_kt[0] == pytest.approx(19.438, abs=1e-3)
    assert trace.packs[0].soc[0] == pytest.approx(90.5)
    assert trace.packs[0].hot[0] == pytest.approx(20)
    assert out_kwh(trace) == pytest.approx(20 / 3600)
    assert "current A (discharge negative)" in told.units


def test_repeated_and_backward_times_and_one_far_ahead_are_left_out_and_named(file):
    times = [0, 1, 1, 2, 1.5, 3, 90_000, 4, 5]
    trace = traced(file, steady(times, 36))
    assert trace.left_out == {
        "a time before that of an earlier row": 1,
        "a time far ahead, which the next row took back": 1,
        "the time of the row before once more": 1,
    }
    assert (trace.read, trace.used) == (9, 6)
    assert out_kwh(trace) == pytest.approx(5 * 36 / 3600)


def test_a_gap_is_named_and_its_energy_is_missing(file):
    rows = [row for row in flight_rows() if not 1000 < row[0] < 1090]
    found = findings(traced(file, rows))
    whole = findings(traced(file, flight_rows()))
    assert found.at_least
    assert found.without_data_min == pytest.approx(1.5)
    assert whole.energy_kwh - found.energy_kwh == pytest.approx(20 * 90 / 3600, rel=1e-3)
    assert not whole.at_least
    assert whole.without_data_min == 0


def test_a_flight_by_its_phases(file):
    found = findings(traced(file, flight_rows()))
    assert found.times == {
        "off_blocks": "2031-05-08T16:05Z",
        "takeoff": "2031-05-08T16:10Z",
        "landing": "2031-05-08T16:34Z",
        "on_blocks": "2031-05-08T16:38Z",
    }
    assert [phase["phase"] for phase in found.phases] == ["ground", "climb", "level", "descent", "ground"]
    # 5 min at 3 kW, 5 at 40, 15 at 20, 5 at -2, 3 at 3
    out = [phase["packs"]["S1"]["energy_kwh"] for phase in found.phases]
    assert out == pytest.approx([0.25, 40 / 12, 5.0, 0.0, 0.15], abs=0.12)
    assert found.energy_kwh == pytest.approx(0.25 + 40 / 12 + 5 + 0.15, abs=0.02)
    assert found.energy_back_kwh == pytest.approx(2 / 12, abs=0.01)
    assert found.flown == {
        "circuits": 0,
        "landings": 1,
        "climb_ft": 2000,
        "highest_ft": 2500,
        "level_min": pytest.approx(15, abs=1),
    }
    pack = found.packs[0]
    assert (pack["soc_departure_pct"], pack["soc_landing_pct"], pack["peak_kw"]) == (90, 57, 40)
    assert (pack["temp_departure_c"], pack["temp_max_c"], pack["soc_step_pct"]) == (
        21.2,
        30,
        pytest.approx(0.1),
    )


def test_circuits_are_what_lies_between_touches(file):
    rows = []
    for t in range(2401):
        m = t / 60
        gs = 0 if m < 2 or m >= 38 else 10 if m < 5 or m >= 35 else 65
        alt = 500 + (max(0.0, 800 - abs((m - 5) % 6 - 3) * 300) if gs == 65 else 0)
        rows.append((t, round(alt), gs, 80, 10, 20))
    found = findings(traced(file, rows))
    assert (found.flown["circuits"], found.flown["landings"], found.flown["climb_ft"]) == (5, 5, 0)
    assert [phase["phase"] for phase in found.phases] == ["ground", "circuits", "ground"]


def test_a_recording_that_begins_in_the_air_tells_no_take_off_and_no_departure_charge(file):
    found = findings(traced(file, [row for row in flight_rows() if row[0] > 900]))
    assert found.times["takeoff"] is found.times["off_blocks"] is None
    assert found.packs[0]["soc_departure_pct"] is None
    assert found.packs[0]["soc_landing_pct"] == 57
    assert found.at_least
    assert "begins in the air" in " ".join(found.notes)


def test_a_gap_over_the_landing_leaves_it_unknown(file):
    found = findings(traced(file, [row for row in flight_rows() if not 2050 < row[0] < 2160]))
    assert found.times["landing"] is None
    assert found.times["takeoff"] == "2031-05-08T16:10Z"


def test_clocks_in_all_three_forms_and_an_offset_say_the_same(file):
    first = traced(file, steady(range(61), 1)).at
    iso = [
        (f"2031-05-08T18:{t // 60:02d}:{t % 60:02d}+02:00", *row[1:])
        for t, row in enumerate(steady(range(61), 1))
    ]
    assert traced(file, iso, time={"as": "iso", "start": ""}).at == first
    parts = [(*reversed(cells[0][:19].split("T")), *cells[1:]) for cells in iso]
    written(file, parts, ("t", "day", "alt", "gs", "soc", "kw", "temp"))
    told = {
        "as": "date and time",
        "start": "",
        "date": "day",
        "order": "year month day",
        "zone": "Europe/Rome",
    }
    assert read_trace(file, mapping(time=told)).at == first
    late = traced(file, steady(range(61), 1), time={"clock_offset_s": -90})
    assert late.at[0] == first[0] - 90


def test_a_last_line_that_was_cut_off_is_left_out(file):
    written(file, steady(range(10), 36))
    whole = file.read_bytes()
    for cut in range(1, 17):
        file.write_bytes(whole[:-cut])
        trace = read_trace(file, mapping())
        assert trace.left_out == {"cut short at the end of the file": 1}
        assert trace.used == 9


HOSTILE = {
    "huge": (b"t,alt,gs,soc,kw,temp\n0,1,1,1,1e999,1\n1,1,1,1,1,1\n", "is not a number"),
    "digits": (b"t,alt,gs,soc,kw,temp\n0,1,1,1," + b"9" * 5000 + b",1\n1,1,1,1,1,1\n", "is not a number"),
    "nan": (b"t,alt,gs,soc,kw,temp\n0,1,1,nan,1,1\n1,1,1,1,1,1\n", "is not a number"),
    "power": (b"t,alt,gs,soc,kw,temp\n0,1,1,1,2001,1\n1,1,1,1,1,1\n", "'kw' shows 2001 kW, which cannot be"),
    "charge": (b"t,alt,gs,soc,kw,temp\n0,1,1,101,1,1\n1,1,1,1,1,1\n", "'soc' shows 101 %, which cannot be"),
    "width": (b"t,alt,gs,soc,kw,temp\n0,1,1,1,1\n1,1,1,1,1,1\n2,1,1,1,1,1\n", "line 2: 5 cells"),
    "binary": (b"t,alt,gs,soc,kw,temp\n0,1,1,\0,1,1\n", "NUL"),
    "encoding": (b"t,alt,gs,soc,kw,temp\n0,1,1,\xff,1,1\n", "encoding"),
    "line": (b"t,alt,gs,soc,kw,temp\n" + b"1" * 70_000, "longer than"),
    "time": (b"t,alt,gs,soc,kw,temp\n1e5,1,1,1,1,1\n", "is not a number"),
    "years": (b"t,alt,gs,soc,kw,temp\n0,1,1,1,1,1\n90000,1,1,1,1,1\n90001,1,1,1,1,1\n", "24 hours"),
    "empty": (b"t,alt,gs,soc,kw,temp\n", "only 0 of 0"),
    "back": (b"t,alt,gs,soc,kw,temp\n" + b"".join(b"%d,1,1,1,1,1\n" % t for t in (9, 8, 7, 6, 5, 4, 3)), "could be used"),
    "quote": (b't,alt,gs,soc,kw,temp\n0,"1"x,1,1,1,1\n1,1,1,1,1,1\n', "line 2"),
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_what_cannot_be_a_recording_is_refused_in_words(file, name):
    data, words = HOSTILE[name]
    file.write_bytes(data)
    with pytest.raises(DataRefused, match=words.replace("(", r"\(")):
        read_trace(file, mapping())


WRONG = {
    "no kind": {"kind": "flight"},
    "word": {"guess": True},
    "unit": {"speed": {"column": "gs", "of": "ground"}},
    "of": {"speed": {"column": "gs", "unit": "kt"}},
    "sign": {"packs": {"front": {"power": {"column": "kw", "unit": "kW"}}}},
    "half": {"packs": {"front": {"voltage": "soc"}}},
    "both": {"packs": {"front": {"voltage": "a", "current": {"column": "b", "discharge": "positive"}, "power": {"column": "kw", "unit": "kW", "discharge": "positive"}}}},
    "twice": {"packs": {"front": {"soc": "gs"}}},
    "gap": {"gaps": {}},
    "nan": {"gaps": {"longest_s": float("nan")}},
    "clock": {"time": {"column": "t"}},
    "zone": {"time": {"column": "t", "as": "iso", "zone": "Nowhere/At all"}},
    "date": {"time": {"column": "t", "as": "date and time"}},
    "list": {"speed": ["gs"]},
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_a_mapping_that_leaves_something_to_be_guessed_is_refused(name):
    with pytest.raises(UsageError, match=r"docs/recordings\.md|docs/exchange\.md"):
        recording_mapping_of(TOLD | WRONG[name])


def test_a_column_that_is_not_there_and_seconds_without_a_start_are_refused(file):
    with pytest.raises(UsageError, match="does not have"):
        traced(file, steady(range(3), 1), altitude={"column": "height"})
    with pytest.raises(UsageError, match="from when"):
        traced(file, steady(range(3), 1), time={"start": ""})


def test_the_example_of_the_document_is_a_mapping_that_reads_what_it_says(file):
    page = (Path(__file__).parents[2] / "docs" / "recordings.md").read_text(encoding="utf-8")
    told = recording_mapping_of(tomllib.loads(page.split("```toml", 1)[1].split("```", 1)[0]))
    header = "Time;Day;Alt;GS;SOC F;P F;T F;T F min;SOC R;U R;I R;T R"
    row = "09:30:{};09.05.2031;100;0;90;--;20,5;19;91;400;-10,5;68"
    lines = ["written by", "an invented recorder", header, row.format("00"), row.format("01,5"), ""]
    file.write_text("\n".join(lines), encoding="cp1252")
    trace = read_trace(file, told)
    front, rear = trace.packs
    assert (front.serial_no, rear.serial_no) == ("", "LARK-02")
    assert trace.at[1] - trace.at[0] == pytest.approx(1.5)
    assert trace.at[0] == datetime(2031, 5, 9, 9, 29, 23, tzinfo=UTC).timestamp()  # 37 s earlier
    assert rear.energy(0, 1).out_kwh == pytest.approx(4.2 * 1.5 / 3600)
    assert front.energy(0, 1).covered_s == 0
