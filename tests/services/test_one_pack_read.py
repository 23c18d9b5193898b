"""Where one of the fitted packs was not read, what the flight took is unknown: one pack's energy is not the aeroplane's."""

from __future__ import annotations

from typing import Any

from logbook.services.questions import list_flights, show_flight
from logbook.store.database import Book
from logbook.store.flights import FlightFilter
from tests.club import P1, P2, flight, put, reading


def figures(book: Book, readings: list[dict[str, Any]]) -> tuple[Any, Any, set[str]]:
    put(book, "flight", flight("F", readings=readings))
    shown = show_flight(book, "F")
    (listed,) = list_flights(book, FlightFilter())
    assert listed["derived"] == shown["derived"]
    derived, rules = shown["derived"], {flag["rule"] for flag in shown["flags"]}
    return derived["energy_kwh"], derived["minutes_left"], rules


def test_both_read_give_energy_and_minutes(book: Book) -> None:
    energy, left, rules = figures(book, [reading(P1), reading(P2)])
    assert energy > 0
    assert left > 0
    assert "readings_missing" not in rules


def test_one_pack_without_a_row_is_no_flight_on_the_other_alone(book: Book) -> None:
    low = reading(P1, soc_landing_pct=30)
    energy, left, rules = figures(book, [low])
    assert (energy, left) == (None, None)
    assert "readings_missing" in rules
    assert "final_reserve_short" not in rules


def test_a_row_that_says_it_was_not_read_says_the_same(book: Book) -> None:
    unread = {"serial_no": P2, "source": "not-read"}
    energy, left, _ = figures(book, [reading(P1, soc_landing_pct=30), unread])
    assert (energy, left) == (None, None)
