"""What the Rates screen shows agrees with the estimates, and is honest about few flights."""

import pytest

from logbook.services.correct import correct
from logbook.services.estimates import forecasts_of
from logbook.services.rates_view import chance_range, rates_view
from tests import club


def fly(book, count, **odd):
    for number in range(count):
        changes = odd if odd and number == count - 1 else {}
        day = f"2031-05-{1 + number // 3:02d}"
        hour = 6 + 3 * (number % 3)
        club.put(book, "flight", club.flight_at(hour, f"F{number}", day=day, **changes))
        for serial in (club.P1, club.P2):
            club.put(
                book,
                "charge",
                club.charge(None, serial, f"{day}T{hour + 1:02d}:00Z", ended=f"{day}T{hour + 2:02d}:00Z"),
            )


def test_without_flights_the_figures_are_said_to_be_the_handbooks(book) -> None:
    view = rates_view(book, club.WATT)
    assert view.rows == ()
    assert "handbook's" in view.words[0]


def test_without_flights_and_handbook_nobody_is_told_that_the_rough_start_is_the_handbooks(book) -> None:
    stated = ("ground_kwh", "climb_kwh_per_1000ft", "level_kwh_per_min", "circuit_kwh", "departure_kwh")
    correct(book, "aircraft", club.WATT, {f"handbook_{name}": None for name in stated}, why="not known")
    words = rates_view(book, club.WATT).words[0]
    assert "no figure of the handbook is entered" in words
    assert "not to plan with" in words


def test_after_few_flights_the_rough_start_is_not_called_the_handbook_either(book) -> None:
    stated = ("ground_kwh", "climb_kwh_per_1000ft", "level_kwh_per_min", "circuit_kwh", "departure_kwh")
    correct(book, "aircraft", club.WATT, {f"handbook_{name}": None for name in stated}, why="not known")
    fly(book, 4)
    words = " ".join(rates_view(book, club.WATT).words)
    assert "more from a rough start than from the record" in words
    assert "a rough start alone" in words
    assert "the handbook alone" not in words


def test_few_flights_are_said_to_be_few(book) -> None:
    fly(book, 4)
    view = rates_view(book, club.WATT)
    assert "4 flights so far" in view.words[0]
    assert len(view.rows) == 8
    assert view.rows[0].date >= view.rows[-1].date


def test_the_groups_hold_the_scores_of_the_forecasts(book) -> None:
    fly(book, 4)
    view, found = rates_view(book, club.WATT), forecasts_of(book, club.WATT)
    graded = {group.name: group.score for group in view.graded}
    assert graded["all flights"]["mae_pct"] == found["mae_pct"]
    assert graded["local"] == found["by_kind"]["local"]
    assert graded[club.ADA] == found["by_person"][club.ADA]


def test_an_entry_that_does_not_fit_is_named_with_what_would(book) -> None:
    readings = [club.reading(club.P1, soc_landing_pct=20), club.reading(club.P2)]
    fly(book, 24, readings=readings)
    suspects = rates_view(book, club.WATT).suspects
    assert [(one.flight_id, one.what, one.serial_no, one.recorded) for one in suspects] == [
        ("F23", "landing charge", club.P1, 20)
    ]
    assert suspects[0].fits == pytest.approx(60, abs=5)


def test_the_range_that_chance_allows_narrows_with_the_number() -> None:
    # Normal approximation to the binomial, computed here: 0.9 ± 1.645 · √(0.09/n).
    assert chance_range(100) == (85, 95)
    assert chance_range(1) == (41, 100)
