"""The committed sample is the one the script builds, holds each kind of trouble, and is found where it is looked for."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from logbook.paths import sample_file
from logbook.services.check import check
from logbook.services.questions import list_records
from logbook.services.waiting import waiting_packs
from logbook.store.attention import Attention
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests.sample.build import build, dump


def test_the_committed_sample_is_the_one_that_is_built(tmp_path: Path) -> None:
    built = tmp_path / "sample.logbook"
    build(built)
    assert dump(built) == dump(sample_file()), "run: python -m tests.sample.build"


def test_the_sample_is_whole(tmp_path: Path) -> None:
    copy = tmp_path / "copy.logbook"
    copy.write_bytes(sample_file().read_bytes())
    with Book.open(copy) as book:
        assert check(book) == []


@pytest.mark.parametrize(
    "rule",
    [
        "landing_below_reserve",
        "final_reserve_short",
        "temperature_limit",
        "ledger_gap",
        "readings_missing",
        "charge_start_differs",
    ],
)
def test_the_sample_holds_each_kind_of_trouble(rule: str) -> None:
    connection = sqlite3.connect(f"file:{sample_file()}?mode=ro", uri=True)
    try:
        found = connection.execute("SELECT count(*) FROM flight_flag WHERE rule = ?", (rule,)).fetchone()[0]
    finally:
        connection.close()
    assert found >= 1


def test_night_instrument_time_and_ground_training_are_written_down_of_some_flights() -> None:
    connection = sqlite3.connect(f"file:{sample_file()}?mode=ro", uri=True)
    try:
        count = (
            "SELECT count(night_min), count(simulated_instrument_min), count(safety_pilot),"
            " count(ground_training_min) FROM flight"
        )
        night, simulated, safety, ground = connection.execute(count).fetchone()
    finally:
        connection.close()
    assert (night, simulated, safety) == (1, 1, 1)
    assert ground >= 2


def test_a_replaced_pack_a_tug_without_packs_and_a_deferred_defect_are_there() -> None:
    connection = sqlite3.connect(f"file:{sample_file()}?mode=ro", uri=True)
    try:
        one = lambda sql: connection.execute(sql).fetchone()[0]  # noqa: E731
        assert one("SELECT count(*) FROM installation WHERE removed IS NOT NULL") == 1
        assert one("SELECT count(*) FROM pack") == 5
        assert one("SELECT count(*) FROM flight") == 400
        assert one("SELECT count(*) FROM aircraft WHERE positions = '[]'") == 1
        assert one("SELECT count(*) FROM defect WHERE state = 'deferred'") == 1
    finally:
        connection.close()


def test_each_hot_pack_was_looked_at_after_the_flight_so_that_none_is_still_held_up() -> None:
    with Book.open(sample_file(), readonly=True) as book:
        assert Attention(book).overheated("2025-02-10T21:00Z") == {"A1-417": "2025-02-10"}
        assert Attention(book).overheated("9") == {}


def test_one_pack_drifts_into_the_caution_of_its_cells_and_none_is_beyond_a_limit() -> None:
    with Book.open(sample_file(), readonly=True) as book:
        rows = list_records(book, "observation", FlightFilter(flag="any"))
        assert [(row["serial_no"], [flag["rule"] for flag in row["flags"]]) for row in rows] == [
            ("A1-417", ["cells_apart_caution"])
        ]
        assert waiting_packs(book, "9") == {}
