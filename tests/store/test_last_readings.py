"""What was read last on many packs at once is what is read on each by itself."""

from __future__ import annotations

from logbook.services.add import add
from logbook.services.today import today
from logbook.store.book_facts import BookFacts, LastReading
from tests import club
from tests.bench.counting import asked
from tests.club import NOW, P1, P2, P3, P4, charge, flight_at, put, reading


def test_many_at_once_say_what_each_says_alone(book) -> None:
    put(book, "flight", flight_at(6, "F1", readings=[reading(P1), reading(P2, soh_pct=None)]))
    for hour in range(8, 16):  # so many charges that the health and temperature of the flight lie far back
        put(book, "charge", charge(f"C{hour}", P1, f"2031-05-09T{hour:02}:00Z"))
    put(book, "charge", charge("D", P3, "2031-05-09T08:00Z", soc_start_pct=None, soc_end_pct=None))
    facts = BookFacts(book)
    found = facts.last_readings([P1, P2, P3, P4, "nobody's"])
    assert found == {serial: facts.last_reading(serial) for serial in (P1, P2, P3, P4)} | {
        "nobody's": LastReading()
    }
    assert (found[P1].soc_pct, found[P1].soc_at) == (90, "2031-05-09T15:00Z")
    assert (found[P1].soh_pct, found[P1].temp_c) == (98, 33)
    assert found[P2].soh_pct is None
    assert found[P3] == LastReading()


def test_today_asks_as_often_for_a_large_fleet_as_for_a_small_one(book) -> None:
    with asked(book) as few:
        today(book, NOW)
    add(book, "aircraft", [club.aircraft(f"X-M{n:03}") for n in range(20)])
    add(book, "pack", [club.pack(f"M{n:03}") for n in range(40)])
    add(book, "installation", [club.fitting(f"M{n:03}", "front" if n % 2 else "rear", f"X-M{n // 2:03}") for n in range(40)])  # fmt: skip
    with asked(book) as many:
        assert len(today(book, NOW).aircraft) == 22
    known = [sql for sql, _ in many if "table_info" not in sql]
    assert len(known) <= len(few)
