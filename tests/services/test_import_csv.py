"""A foreign CSV file by a mapping: as documented, with a trial run that tells every row's fate."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from logbook.errors import DataRefused, UsageError
from logbook.exchange.mapping import mapping_of
from logbook.services.add import add
from logbook.services.import_csv import import_csv
from logbook.services.questions import list_flights, show
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from logbook.store.records import Records

DOCUMENTED = re.search(
    r"```toml\n(.*?)```", (Path(__file__).parents[2] / "docs" / "exchange.md").read_text(), re.DOTALL
)[1]
FILE = """our club's list
Day;Out;Hours;Up;Pilot;Task;Weight;Text;More text;Charge before;Charge after;Charge before 2
5.6.31;8:30;1,2;8:36;Zoë;lesson;1.200,5;windy;;97;40,5;98
30.3.31;2:30;0,5;;Zoë;alone;;;;97;40;
26.10.31;2:30;0,5;;Zoë;alone;;late;light;97;40;
6.6.31;23:50;0,5;0:05;Zoë;;;;;97;40;
7.6.31;8:30;1,2;;Zoë;nonsense;;;;97;40;
8.6.31;8:30;1.2;;Zoë;alone;;;;97;40;
"""


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(tmp_path / "a.logbook", create=True) as opened:
        add(opened, "aircraft", {"registration": "X-TWIN", "positions": ["front", "rear"]})
        add(opened, "pack", [{"serial_no": "S1"}, {"serial_no": "S2"}, {"serial_no": "S3"}])
        add(opened, "person", {"person": "Zoë"})
        for serial, position, fitted, removed in (
            ("S1", "front", "2030-01-01", "2031-06-06"),
            ("S3", "front", "2031-06-06", None),
            ("S2", "rear", "2030-01-01", None),
        ):
            add(
                opened,
                "installation",
                {
                    "serial_no": serial,
                    "aircraft": "X-TWIN",
                    "position": position,
                    "fitted": f"{fitted}T00:00Z",
                    "removed": removed and f"{removed}T00:00Z",
                },
            )
        yield opened


@pytest.fixture
def source(tmp_path: Path) -> Path:
    (tmp_path / "list.csv").write_bytes(FILE.replace("\n", "\r\n").encode("cp1252"))
    (tmp_path / "map.toml").write_text(DOCUMENTED)
    return tmp_path / "list.csv"


def mapping(**told: Any) -> Any:
    return mapping_of(told)


def test_the_documented_mapping_reads_the_file(book: Book, source: Path) -> None:
    report = import_csv(book, source, source.with_name("map.toml"), partial=True)
    assert (report.counts["flight"].new, report.counts["flight"].refused) == (3, 3)
    flights = {flight["date"]: flight for flight in list_flights(book, FlightFilter())}
    first = flights["2031-06-05"]
    assert (first["off_blocks"], first["takeoff"], first["on_blocks"]) == (
        "2031-06-05T06:30Z",
        "2031-06-05T06:36Z",
        "2031-06-05T07:42Z",
    )
    assert (first["function"], first["mass_kg"], first["remarks"]) == ("dual", 544.538, "windy")
    assert [(r["serial_no"], r["soc_departure_pct"], r["soc_landing_pct"]) for r in first["readings"]] == [
        ("S1", 97, 40.5),
        ("S2", 98, None),
    ]
    assert flights["2031-10-26"]["off_blocks"] == "2031-10-26T00:30Z"
    assert flights["2031-10-26"]["remarks"] == "late / light"
    over_midnight = flights["2031-06-06"]
    assert (over_midnight["takeoff"], over_midnight["function"]) == ("2031-06-06T22:05Z", None)
    assert [r["serial_no"] for r in over_midnight["readings"]] == ["S3"]


def test_a_trial_run_lists_every_row_and_changes_nothing(book: Book, source: Path) -> None:
    before = list(book.connection.iterdump())
    report = import_csv(book, source, source.with_name("map.toml"), dry_run=True)
    assert list(book.connection.iterdump()) == before
    assert [(fate.line, fate.fate) for fate in report.fates] == [
        (3, "new"),
        (4, "refused"),
        (5, "new"),
        (6, "new"),
        (7, "refused"),
        (8, "refused"),
    ]
    reasons = [fate.why for fate in report.fates if fate.why]
    assert [
        "never showed" in reasons[0],
        "'nonsense'" in reasons[1],
        "where no thousands end" in reasons[2],
    ] == [True] * 3


def test_same_and_differing_rows_are_told_apart(book: Book, source: Path) -> None:
    import_csv(book, source, source.with_name("map.toml"), partial=True)
    source.write_bytes(FILE.replace("windy", "calm").encode("cp1252"))
    fates = [fate.fate for fate in import_csv(book, source, source.with_name("map.toml"), dry_run=True).fates]
    assert fates == ["differs", "refused", "same", "same", "refused", "refused"]


def test_one_bad_row_keeps_the_whole_file_out(book: Book, source: Path) -> None:
    before = list(book.connection.iterdump())
    with pytest.raises(DataRefused, match=r"list\.csv, line 4: "):
        import_csv(book, source, source.with_name("map.toml"))
    assert list(book.connection.iterdump()) == before


def test_refused_rows_are_mended_and_imported_with_the_same_mapping(book: Book, source: Path) -> None:
    folder = import_csv(book, source, source.with_name("map.toml"), partial=True).refused_to
    left = folder / "list.csv"
    assert left.read_bytes().startswith("our club's list\r\nDay;Out".encode("cp1252"))
    mended = (
        left.read_bytes()
        .replace(b"30.3.31;2:30", b"30.3.31;3:30")
        .replace(b"nonsense", b"alone")
        .replace(b"1.2", b"1,2")
    )
    left.write_bytes(mended)
    assert import_csv(book, left, source.with_name("map.toml")).counts["flight"].new == 3


def test_one_figure_for_the_whole_aeroplane_stays_one(book: Book, tmp_path: Path) -> None:
    (tmp_path / "f.csv").write_text("off,on,soc\n2031-05-01 08:00,2031-05-01 09:00,40\n")
    columns = {
        "aircraft": {"value": "X-TWIN"},
        "off_blocks": {"column": "off", "as": "instant"},
        "on_blocks": {"column": "on", "as": "instant"},
    }
    told = mapping(
        dates={"order": "year month day", "zone": "UTC"},
        columns=columns,
        readings={"whole": {"soc_landing_pct": "soc"}},
    )
    import_csv(book, tmp_path / "f.csv", told)
    readings = next(iter(list_flights(book, FlightFilter())))["readings"]
    assert [(r["serial_no"], r["soc_landing_pct"]) for r in readings] == [(None, 40)]


def test_a_charge_of_two_packs_in_one_row_is_two_records_of_one_session(book: Book, tmp_path: Path) -> None:
    (tmp_path / "c.csv").write_text("n\tbegin\tlength\ta\tb\n7\t2031-05-01 10:00\t1:30\t40\t42\n")
    columns = {
        "charge_id": "n",
        "started": {"column": "begin", "as": "instant"},
        "ended": {"column": "length", "as": "duration", "in": "h:mm", "after": "started"},
    }
    packs = {
        "one": {"serial_no": {"value": "S1"}, "soc_start_pct": "a"},
        "two": {"serial_no": {"value": "S2"}, "soc_start_pct": "b"},
    }
    told = mapping(
        kind="charge",
        file={"separator": "\t"},
        dates={"order": "year month day", "zone": "UTC"},
        columns=columns,
        packs=packs,
    )
    import_csv(book, tmp_path / "c.csv", told)
    rows = [row for _, row in Records(book, "charge").select(order="serial_no")]
    assert [(row["charge_id"], row["serial_no"], row["soc_start_pct"], row["ended"]) for row in rows] == [
        ("7", "S1", 40, "2031-05-01T11:30Z"),
        ("7", "S2", 42, "2031-05-01T11:30Z"),
    ]  # fmt: skip


def test_foreign_text_is_taken_as_it_is(book: Book, tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text('who,what\n\'=Ben,"=1+2\n<b>"\n', newline="")
    import_csv(
        book, tmp_path / "p.csv", mapping(kind="person", columns={"person": "who", "role_text": "what"})
    )
    assert show(book, "person", "'=Ben")["role_text"] == "=1+2\n<b>"


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"columns": {}}, "names no field"),
        ({"colums": {}}, "unknown word 'colums'"),
        ({"columns": {"date": {"column": "d", "as": "date"}}}, "dates need"),
        ({"columns": {"off_blocks": {"column": "d", "as": "instant"}}, "dates": {"order": "day month year"}}, "need .dates. zone"),
        ({"columns": {"off_blocks": {"column": "d", "as": "instant"}}, "dates": {"order": "day month year", "zone": "Mars/North"}}, "no time zone"),
        ({"columns": {"off_blocks": {"column": "d", "as": "time"}}, "dates": {"zone": "UTC"}}, "needs 'date'"),
        ({"columns": {"level_min": {"column": "d", "as": "duration"}}}, "needs 'in'"),
        ({"columns": {"mass_kg": {"column": "d", "from": "stone"}}}, "'from' is not one of"),
        ({"columns": {"mass_kg": {"column": "d", "as": "eval"}}}, "'as' is not one of"),
        ({"columns": {"mass_kg": {"column": "d", "value": 5}}}, "exactly one of"),
        ({"columns": {"pilot": "a"}, "file": {"encoding": "zip"}}, "'encoding' is not one of"),
        ({"columns": {"pilot": "a"}, "file": {"decimal": ",", "thousands": ","}}, "the same sign"),
        ({"columns": {"pilot": "a"}, "file": {"separator": "||"}}, "not one character"),
        ({"columns": {"pilot": "a"}, "packs": {"one": {}}}, "has no .packs."),
    ],
)  # fmt: skip
def test_a_mapping_that_says_what_none_can_say_is_refused(told: dict, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        mapping_of(told)


def test_a_mapping_that_names_what_is_not_there_is_refused(book: Book, tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("who\nAnn\n")
    with pytest.raises(UsageError, match="names the column 'whom'"):
        import_csv(book, tmp_path / "p.csv", mapping(kind="person", columns={"person": "whom"}))
    with pytest.raises(UsageError, match="field 'colour'"):
        import_csv(book, tmp_path / "p.csv", mapping(kind="person", columns={"colour": "who"}))
    (tmp_path / "bad.toml").write_text("kind = ")
    with pytest.raises(UsageError, match="not TOML"):
        import_csv(book, tmp_path / "p.csv", tmp_path / "bad.toml")
    (tmp_path / "p.csv").write_bytes("who\nZoë\n".encode("cp1252"))
    with pytest.raises(DataRefused, match="stated encoding"):
        import_csv(book, tmp_path / "p.csv", mapping(kind="person", columns={"person": "who"}))


def test_the_documented_mapping_is_toml() -> None:
    assert tomllib.loads(DOCUMENTED)["kind"] == "flight"
