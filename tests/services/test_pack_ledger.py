"""The ledger of a pack as a person reads it, and the rows kept between two looks."""

from __future__ import annotations

import pytest

from logbook.errors import DataRefused
from logbook.services.correct import correct
from logbook.services.pack_ledger import COLUMNS, ledger_of
from logbook.services.pack_table import PackTable
from logbook.store.database import Book
from tests.club import ADA, NOW, P1, P2, charge, flight_at, put, reading


def test_every_reading_stands_in_order_with_the_change_since_the_one_before(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    put(book, "charge", charge("C1", P1, "2031-05-09T10:00Z", ended="2031-05-09T11:00Z"))
    put(
        book,
        "observation",
        {"observation_id": "O1", "serial_no": P1, "at": "2031-05-09T18:00Z", "soc_pct": 89},
    )
    rows = ledger_of(book, P1, NOW)
    assert all(tuple(row) == COLUMNS for row in rows)
    assert [(row["what"], row["record_id"], row["soc_pct"], row["change_pct"]) for row in rows] == [
        ("departure", "F1", 90, None),
        ("landing", "F1", 60, -30),
        ("charge start", "C1", 60, 0),
        ("charge end", "C1", 90, 30),
        ("observed", "O1", 89, -1),
    ]
    assert all(row["gap_pct"] is None for row in rows)


def test_a_gap_stands_with_its_amount_the_band_and_the_likely_cause(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    put(book, "flight", flight_at(12, "F2"))
    gaps = [row for row in ledger_of(book, P1, NOW) if row["gap_pct"] is not None]
    assert [(row["record_id"], row["what"], row["gap_pct"], row["gap_cause"]) for row in gaps] == [
        ("F2", "departure", 30, "charge missing")
    ]
    assert gaps[0]["gap_allowed_pct"] == 3


def test_landing_charges_of_two_packs_written_in_each_others_place_are_found(book: Book) -> None:
    exchanged = [reading(P1, soc_landing_pct=48), reading(P2, soc_landing_pct=60)]
    put(book, "flight", flight_at(8, "F1", readings=exchanged))
    put(book, "charge", charge("C1", P1, "2031-05-09T10:00Z", soc_start_pct=60))
    put(book, "charge", charge("C1", P2, "2031-05-09T10:00Z", soc_start_pct=48))
    causes = {row["gap_cause"] for row in ledger_of(book, P1, NOW) if row["gap_pct"] is not None}
    assert causes == {"exchanged"}


def test_a_reading_nobody_made_is_no_gap(book: Book) -> None:
    put(book, "flight", flight_at(8, "F1"))
    put(book, "flight", flight_at(12, "F2", readings=[reading(P1, source="not-read")]))
    rows = ledger_of(book, P1, NOW)
    assert [row["source"] for row in rows] == ["read", "read", "not-read", "not-read"]
    assert all(row["gap_pct"] is None for row in rows)


def test_an_unknown_pack_is_refused(book: Book) -> None:
    with pytest.raises(DataRefused, match="knows no pack"):
        ledger_of(book, "P-404")


def test_rows_are_kept_until_the_book_changes(book: Book) -> None:
    table = PackTable()
    first = table(book, "2031-06-30")
    assert table(book, "2031-06-30") is first
    assert table(book, "2031-07-01") is not first
    correct(book, "pack", P1, {"limit_hours": 700}, by=ADA)
    assert table(book, "2031-07-01")[1][0]["hours_limit"] == 700
    put(book, "defect", {"serial_no": P1, "found": NOW, "text": "hot smell", "needs_inspection": 1})
    assert "inspection before next use" in table(book, "2031-07-01")[1][0]["grounded"]
