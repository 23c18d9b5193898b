"""A student's history from a real book."""

from __future__ import annotations

import json

from logbook.reports.student_words import below_words, flag_words
from logbook.services.answer import answer
from logbook.services.student import student_of
from tests.club import ADA, BEN, MOSS, P1, P2, flight_at, put, reading

LESSON = {"pilot": BEN, "function": "dual", "second_person": ADA, "second_function": "instructor"}


def lesson(day: int, landed: float, estimate: float | None, **changes):
    return flight_at(
        8,
        f"L{day:02d}",
        day=f"2031-05-{day:02d}",
        pilot_estimate_soc_pct=estimate,
        readings=[reading(P1, soc_landing_pct=landed + 4), reading(P2, soc_landing_pct=landed)],
        **(LESSON | changes),
    )


def test_the_weaker_pack_is_held_against_the_reserve_and_the_students_estimate(book):
    put(
        book,
        "flight",
        [lesson(1, 22, 35, exercise="circuits", debrief="too late on the go-around"), lesson(2, 48, None)],
    )
    history = student_of(book, BEN)
    first, second = history["flights"]
    assert (first["landing_soc_pct"], first["weaker_pack"], first["margin_pct"]) == (22, P2, -3)
    assert (first["estimate_error_pct"], first["instructor"], first["debrief"]) == (
        -13,
        ADA,
        "too late on the go-around",
    )
    assert "landing_below_reserve" in {flag["rule"] for flag in first["flags"]}
    assert (second["estimate_error_pct"], second["margin_pct"]) == (None, 23)


def test_the_programs_own_hindcast_of_the_weaker_pack_stands_beside(book):
    put(book, "flight", [lesson(day, 60, 58) for day in range(1, 5)])
    rows = student_of(book, BEN)["flights"]
    assert all(row["program_low_pct"] < row["program_mid_pct"] < row["program_high_pct"] for row in rows)
    assert all(row["program_error_pct"] == round(60 - row["program_mid_pct"], 2) for row in rows)
    assert student_of(book, BEN, hindcasts=False)["flights"][0]["program_mid_pct"] is None


def test_the_reserve_in_force_on_the_day_holds(book):
    put(book, "flight", lesson(1, 40, None, reserve_soc_pct=45))
    assert student_of(book, BEN, hindcasts=False)["flights"][0]["margin_pct"] == -5


def test_an_answered_flag_no_longer_waits(book):
    put(book, "flight", lesson(1, 22, None))
    before = student_of(book, BEN, hindcasts=False)["open_flags"]
    answer(book, "L01", "landing_below_reserve", "talked over", serial_no=P2, by=ADA)
    history = student_of(book, BEN, hindcasts=False)
    assert history["open_flags"] == before - 1
    flags = {(flag["rule"], flag["serial_no"]): flag for flag in history["flights"][0]["flags"]}
    flag = flags["landing_below_reserve", P2]
    assert flag["answer"] == {"words": "talked over", "by_whom": ADA}
    assert flag_words(flag).endswith(f"Answered by {ADA}: talked over")
    assert all(other["answer"] is None for key, other in flags.items() if not other["answered"])


def test_landings_below_the_reserve_are_counted_of_those_that_can_be_judged(book):
    unread = lesson(4, 40, None) | {"readings": []}
    put(book, "flight", [lesson(1, 22, None), lesson(2, 48, None), lesson(3, 24, None), unread])
    history = student_of(book, BEN, hindcasts=False)
    assert history["below_reserve"]["judged"] == 3
    assert history["below_reserve"]["pct"] == ["2031-05-01", "2031-05-03"]
    assert below_words(history).startswith("Below the reserve: 2 of 3, last 2031-05-03; in minutes: ")


def test_without_a_reserve_or_a_charge_it_is_not_said_that_there_was_no_landing_below(book):
    put(book, "flight", lesson(1, 40, None) | {"readings": []})
    assert "cannot be told" in below_words(student_of(book, BEN, hindcasts=False))


def test_a_landing_below_the_final_reserve_in_minutes_is_counted_apart(book):
    """Legs of 20 minutes by day leave 24 % of 9 kWh or so in each pack: less than 30 min at 20 kW."""
    put(book, "flight", lesson(1, 28, None, kind="cross-country", place_to=MOSS))
    below = student_of(book, BEN, hindcasts=False)["below_reserve"]
    assert (below["pct"], below["minutes"]) == ([], ["2031-05-01"])


def test_progress_is_claimed_only_with_enough_flights(book):
    few = [lesson(day, 60, 60 - day) for day in range(1, 9)]
    put(book, "flight", few)
    assert student_of(book, BEN, hindcasts=False)["progress"]["estimate_error_pct"]["state"] == "too few"
    put(book, "flight", [lesson(day, 60, 58 + day % 2) for day in range(9, 21)])
    progress = student_of(book, BEN, hindcasts=False)["progress"]["estimate_error_pct"]
    assert progress["state"] == "lower"
    assert progress["flights"] == 20
    assert progress["first"]["n"] == 10


def test_the_estimate_of_another_pilot_is_not_held_against_a_passenger(book):
    put(book, "flight", flight_at(8, "P", pilot=ADA, pilot_estimate_soc_pct=50, second_person=BEN))
    assert student_of(book, BEN, hindcasts=False)["flights"][0]["own_estimate_pct"] is None


def test_attempts_and_devices_have_no_landing(book):
    put(book, "flight", flight_at(8, "X", outcome="rejected", **LESSON))
    (row,) = student_of(book, BEN, hindcasts=False)["flights"]
    assert (row["landing_soc_pct"], row["margin_pct"], row["minutes"]) == (None, None, 0)


def test_what_waits_for_the_instructors_signature_is_named_and_all_is_plain_json(book):
    put(book, "flight", [lesson(1, 60, 58), flight_at(12, "S", pilot=BEN, function="solo")])
    history = student_of(book, BEN)
    assert history["to_countersign"] == ["L01"]
    assert json.loads(json.dumps(history)) is not None
