"""What any tool that opens the file is held to: nothing deleted, nothing replaced, every earlier state kept."""

from __future__ import annotations

import json
import sqlite3

import pytest

from logbook.services.add import add
from logbook.services.freshness import freshen
from logbook.services.questions import show_flight
from logbook.store.catalogue import TABLES
from logbook.store.database import Book
from tests import club
from tests.club import P1, P2, put


@pytest.fixture
def full_path(book_path):
    """A book with a row in every table of records."""
    with Book.open(book_path) as book:
        crew = [{"person": club.ADA, "function": "pic"}]
        phases = [{"sequence": 1, "phase": "climb", "minutes": 4}]
        put(book, "flight", club.flight(crew=crew, phases=phases))
        put(book, "charge", club.charge("C1", P1, "2031-05-09T10:00Z"))
        put(book, "person-item", {"person": club.ADA, "item": "medical"})
        put(book, "observation", {"serial_no": P1, "at": "2031-05-10T10:00Z"})
        put(book, "capacity-check", {"serial_no": P1, "at": "2031-05-10T10:00Z", "kwh": 11})
        put(book, "defect", {"aircraft": club.WATT, "found": "2031-05-10T10:00Z", "text": "tyre"})
        put(book, "maintenance", {"aircraft": club.WATT, "completed": "2031-05-10T10:00Z", "text": "tyre"})
        put(book, "component", {"aircraft": club.WATT, "name": "propeller"})
        put(book, "plan", {"plan_id": "PL", "aircraft": club.WATT, "inputs": "{}"})
        put(
            book,
            "signature",
            {
                "signature_id": "S",
                "flight_id": "F1",
                "person": club.BEN,
                "fingerprint": "aa",
                "signed_at": "2031-05-10T10:00Z",
                "payload": "{}",
                "signature": "bb",
            },
        )
        put(book, "answer", {"charge_id": "C1", "rule": "charge_fell", "figures": "{}", "words": "seen"})
        put(book, "answer", {"flight_id": "F1", "rule": "overlap", "figures": "{}", "words": "seen"})
        put(
            book,
            "paper",
            {
                "what": "pack",
                "which": club.P1,
                "as_of": "2031-05-10T10:00Z",
                "issued": "2031-05-10T10:00Z",
                "digest": "ab" * 32,
                "format": "pdf",
                "line": "Paper check: …",
            },
        )
        put(
            book,
            "recording",
            {
                "flight_id": "F1",
                "file_name": "card.csv",
                "digest": "ab" * 32,
                "mapping": "club recorder",
                "units": "front: soc %",
                "started": "2031-05-09T08:25Z",
                "ended": "2031-05-09T09:15Z",
                "row_count": 3000,
                "used_count": 3000,
                "gap_limit_s": 5,
                "findings": "{}",
            },
        )
    return book_path


@pytest.fixture
def tool(full_path):
    """Some other program with the file open: SQLite as it comes."""
    connection = sqlite3.connect(full_path, isolation_level=None)
    yield connection
    connection.close()


def history(tool):
    return tool.execute("SELECT record, record_id, was, by_whom, why FROM version ORDER BY seq").fetchall()


@pytest.mark.parametrize("table", TABLES)
def test_no_row_of_any_table_can_be_deleted(tool, table):
    assert tool.execute(f"SELECT count(*) FROM {table}").fetchone()[0] > 0
    with pytest.raises(sqlite3.IntegrityError, match="never deleted"):
        tool.execute(f"DELETE FROM {table}")


@pytest.mark.parametrize("table", TABLES)
def test_no_row_can_be_replaced_by_an_insert(tool, table):
    before = tool.execute(f"SELECT * FROM {table}").fetchall()
    with pytest.raises(sqlite3.IntegrityError):
        tool.execute(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")
    assert tool.execute(f"SELECT * FROM {table}").fetchall() == before


@pytest.mark.parametrize(
    "table", [name for name in TABLES if name not in ("reading", "crew", "phase", "charge")]
)
def test_an_insert_that_replaces_by_id_only_is_refused_too(tool, table):
    names = [row[1] for row in tool.execute(f"PRAGMA table_info({table})") if row[1] != "n"]
    columns = ", ".join(f'"{name}"' for name in names)
    with pytest.raises(sqlite3.IntegrityError):
        tool.execute(f"REPLACE INTO {table} ({columns}) SELECT {columns} FROM {table} LIMIT 1")


def test_replacing_by_the_place_in_the_record_is_refused(tool):
    for sql in (
        "REPLACE INTO reading (flight, serial_no, source) SELECT flight, serial_no, source FROM reading LIMIT 1",
        "REPLACE INTO crew (flight, person, handled) SELECT flight, person, 0 FROM crew LIMIT 1",
        "REPLACE INTO phase (flight, sequence, phase) SELECT flight, sequence, 'x' FROM phase LIMIT 1",
        "REPLACE INTO charge (id, serial_no, started) SELECT id, serial_no, started FROM charge LIMIT 1",
        """REPLACE INTO flight (id, date, aircraft, state, outcome, off_blocks)
        SELECT 'other', date, aircraft, state, outcome, off_blocks FROM flight LIMIT 1""",
        "REPLACE INTO pack (id, serial_no) SELECT 'other', serial_no FROM pack LIMIT 1",
    ):
        with pytest.raises(sqlite3.IntegrityError):
            tool.execute(sql)


@pytest.mark.parametrize("table", [name for name in TABLES if name not in ("reading", "crew", "phase")])
def test_an_id_never_changes(tool, table):
    with pytest.raises(sqlite3.IntegrityError, match="never changes"):
        tool.execute(f"UPDATE {table} SET id = id || 'x'")


@pytest.mark.parametrize("table", ["reading", "crew", "phase"])
def test_a_part_never_moves_to_another_flight(tool, table):
    with pytest.raises(sqlite3.IntegrityError, match="never changes"):
        tool.execute(f"UPDATE {table} SET flight = flight + 1")


@pytest.mark.parametrize("table", TABLES)
def test_an_update_by_any_tool_leaves_the_row_as_it_was(tool, table):
    column = {"reading": "soh_pct", "phase": "minutes", "crew": "handled"}.get(table, "entered_by")
    value = 1 if table in ("reading", "phase", "crew") else "an outside tool"
    n, old = tool.execute(f"SELECT n, {column} FROM {table} LIMIT 1").fetchone()
    tool.execute(f"UPDATE {table} SET {column} = ? WHERE n = ?", (value, n))
    record, _, was, by_whom, why = history(tool)[-1]
    assert record == table
    assert json.loads(was)[column] == old
    assert (by_whom, why) == (None, None)


def test_an_update_that_changes_nothing_leaves_no_version(tool):
    tool.execute("UPDATE flight SET remarks = remarks")
    assert history(tool) == []


def test_the_parts_of_a_flight_are_filed_under_the_flight(tool):
    tool.execute("UPDATE reading SET soc_landing_pct = 59 WHERE n = 1")
    assert history(tool)[-1][:2] == ("reading", "F1")


@pytest.mark.parametrize(
    "sql",
    [
        "DELETE FROM version",
        "UPDATE version SET why = 'nothing'",
        "REPLACE INTO version SELECT seq, record, record_id, '{}', at, by_whom, why FROM version",
    ],
)
def test_the_history_itself_cannot_be_rewritten(tool, sql):
    tool.execute("UPDATE flight SET remarks = 'gusty'")
    before = history(tool)
    with pytest.raises(sqlite3.IntegrityError):
        tool.execute(sql)
    assert history(tool) == before


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("off_blocks", "'yesterday'"),
        ("off_blocks", "'2031-05-09T08:30:00Z'"),
        ("off_blocks", "'2031-04-31T08:30Z'"),
        ("date", "'2031-02-30'"),
        ("landings_day", "-1"),
        ("landings_day", "'many'"),
        ("outcome", "'crashed'"),
        ("pilot", "99"),
        ("reserve_soc_pct", "101"),
        ("struck", "2"),
    ],
)
def test_a_value_that_cannot_be_is_refused_from_any_tool(tool, column, value):
    tool.execute("PRAGMA foreign_keys=ON")
    with pytest.raises(sqlite3.IntegrityError):
        tool.execute(f"UPDATE flight SET {column} = {value}")


def test_what_an_outside_tool_changes_is_judged_again_when_the_book_is_opened_next(full_path, tool):
    tool.execute("UPDATE reading SET soc_landing_pct = 10 WHERE n = 1")
    with Book.open(full_path) as book:
        freshen(book)
        assert "landing_below_reserve" in {flag["rule"] for flag in show_flight(book, "F1")["flags"]}


def fit(tool, serial, position, fitted, removed=None, *, struck=0):
    tool.execute(
        "INSERT INTO installation (id, serial_no, aircraft, position, fitted, removed, struck) "
        "SELECT ?, p.n, a.n, ?, ?, ?, ? FROM pack p, aircraft a WHERE p.serial_no = ? AND a.registration = ?",
        (f"{serial}{position}{fitted}", position, fitted, removed, struck, serial, club.WATT),
    )


@pytest.fixture
def bench(tool):
    """The two packs fitted from one noon to another, then free."""
    tool.execute("UPDATE installation SET fitted = '2031-06-10T12:00Z', removed = '2031-06-20T12:00Z'")
    return tool


@pytest.mark.parametrize(
    ("fitted", "removed"),
    [
        ("2031-06-15T12:00Z", "2031-06-16T12:00Z"),  # inside
        ("2031-06-01T12:00Z", "2031-06-10T12:01Z"),  # into its beginning
        ("2031-06-20T11:59Z", "2031-06-25T12:00Z"),  # out of its end
        ("2031-06-01T12:00Z", None),  # around it, without end
        ("2031-06-10T12:00Z", "2031-06-20T12:00Z"),  # the same
    ],
)
def test_a_pack_is_in_one_place_at_a_time_and_a_position_holds_one_pack(bench, fitted, removed):
    with pytest.raises(sqlite3.IntegrityError, match="fitted elsewhere"):
        fit(bench, P1, "nose", fitted, removed)
    other = spare(bench)
    with pytest.raises(sqlite3.IntegrityError, match="position is taken"):
        fit(bench, other, "front", fitted, removed)


def spare(tool):
    tool.execute("INSERT OR IGNORE INTO pack (id, serial_no) VALUES ('SPARE', 'SPARE')")
    return "SPARE"


@pytest.mark.parametrize(
    ("fitted", "removed"),
    [("2031-06-01T12:00Z", "2031-06-10T12:00Z"), ("2031-06-20T12:00Z", None)],
)
def test_intervals_that_only_touch_do_not_overlap(bench, fitted, removed):
    fit(bench, P1, "rear2", fitted, removed)
    fit(bench, spare(bench), "front", fitted, removed)
    assert bench.execute("SELECT count(*) FROM installation").fetchone()[0] == 6


def test_an_update_cannot_make_an_overlap_either_nor_can_a_restored_fitting(bench):
    fit(bench, P1, "nose", "2031-06-20T12:00Z", "2031-06-25T12:00Z")
    with pytest.raises(sqlite3.IntegrityError):
        bench.execute("UPDATE installation SET removed = NULL WHERE position = 'front' AND aircraft = 1")
    fit(bench, P2, "tail", "2031-06-11T12:00Z", "2031-06-12T12:00Z", struck=1)
    with pytest.raises(sqlite3.IntegrityError):
        bench.execute("UPDATE installation SET struck = 0 WHERE position = 'tail'")


def test_a_struck_fitting_is_in_nobodys_way(bench):
    bench.execute("UPDATE installation SET struck = 1")
    fit(bench, P1, "nose", "2031-06-11T12:00Z")
    assert bench.execute("SELECT count(*) FROM installation WHERE struck = 0").fetchone()[0] == 1


def test_who_and_why_never_stay_behind_for_the_next_writer(full_path, tool):
    with Book.open(full_path) as book:
        add(book, "person", {"person": "Dot Reed"}, by=club.ADA)
        with pytest.raises(RuntimeError), book.writing(by="nobody", why="a test"):
            raise RuntimeError
    tool.execute("UPDATE flight SET remarks = 'from outside'")
    assert history(tool)[-1][3:] == (None, None)
