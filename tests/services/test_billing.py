"""Hours and energy of a month by person."""

from __future__ import annotations

import pytest

from logbook.errors import UsageError
from logbook.services.billing import billing
from tests.club import ADA, BEN, VOLT, WATT, flight_at, put, reading


def test_a_month_is_counted_by_person_and_aeroplane_and_the_student_pays(book):
    put(
        book,
        "flight",
        [
            flight_at(6, "A", day="2031-05-31"),
            flight_at(8, "B", pilot=ADA, function="instructor", second_person=BEN, second_function="dual"),
            flight_at(10, "C", aircraft=VOLT, pilot=BEN, readings=[]),
            flight_at(12, "D", outcome="rejected"),
            flight_at(6, "E", day="2031-06-01"),
        ],
    )
    rows = {(row["person"], row["aircraft"]): row for row in billing(book, "2031-05")}
    assert set(rows) == {(ADA, WATT), (BEN, WATT), (BEN, VOLT)}
    assert rows[BEN, WATT]["block_hours"] == pytest.approx(40 / 60, abs=1e-3)
    assert rows[BEN, WATT]["air_hours"] == 0.5
    assert rows[BEN, VOLT]["flights_without_energy"] == 1
    assert rows[ADA, WATT]["flights"] == 1


def test_energy_is_what_the_packs_gave(book):
    put(book, "flight", flight_at(8, "A", readings=[reading("LARK-01"), reading("LARK-02")]))
    from logbook.store.flights import FlightFilter, Flights

    (row,) = billing(book, "2031-05")
    assert row["energy_kwh"] == pytest.approx(Flights(book).totals(FlightFilter()).energy_kwh, abs=1e-3)
    assert row["flights_without_energy"] == 0


def test_a_month_that_is_none_is_refused(book):
    for month in ("2031-13", "May", "2031-05-01"):
        with pytest.raises(UsageError, match="not a month"):
            billing(book, month)
    assert billing(book, "1999-01") == []
