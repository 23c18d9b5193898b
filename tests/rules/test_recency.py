"""Recency against the dates of published examples, commentaries and our own count from the rule.

Where a row's source is an example somebody published, it is named; "computed here" marks dates counted from the words
of the rule. The extra day (D + 90 against D + 89) has no legal interpretation that we could find.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import DataRefused
from logbook.rules.crew import CrewPart
from logbook.rules.experience import Experience
from logbook.rules.recency import add_months, end_of_month, standings
from logbook.rules.recency_rules import BUILT_IN, rules_in_force

RULES = {rule.rule: rule for rule in BUILT_IN}


def flown(day, *, landings=1, night=0, minutes=60, function="pic", flight_id=None, group="SEP", **changes):
    part = CrewPart("Ada", function, True, landings, night, landings, night, night, False)
    return Experience(
        flight_id or day,
        day,
        "X-WATT",
        "two-seater",
        group,
        function,
        minutes,
        0,
        0,
        False,
        part,
        night,
        night,
        True,
    )._replace(**changes)


def stand(rule, experience, on, items=()):
    (found,) = standings([RULES[rule]], experience, items, on)
    return found


NINETY = [
    ("2008-11-09", "2009-02-07", "2009-02-06"),  # published example: passengers on 7 Feb 2009 judged legal
    ("2018-01-31", "2018-05-01", "2018-04-30"),  # published example, European: good on 1 May, not on 2 May
    ("2023-12-01", "2024-02-29", "2024-02-28"),  # from here on computed here
    ("2024-01-01", "2024-03-31", "2024-03-30"),
    ("2024-01-10", "2024-04-09", "2024-04-08"),
    ("2024-02-29", "2024-05-29", "2024-05-28"),
    ("2024-11-30", "2025-02-28", "2025-02-27"),
    ("2025-12-31", "2026-03-31", "2026-03-30"),
]


@pytest.mark.parametrize("rule", ["61.57(a)", "FCL.060(b)(1)"])
@pytest.mark.parametrize(("third", "last", "stricter"), NINETY)
def test_three_landings_last_through_the_ninetieth_day_after(rule, third, last, stricter):
    experience = [flown(third, landings=3)]
    found = stand(rule, experience, last)
    assert (found.state, found.valid_until, found.stricter_until) == ("current", last, stricter)
    assert found.kept_by == third
    after = (date.fromisoformat(last) + timedelta(days=1)).isoformat()
    assert stand(rule, experience, after).state == "lapsed"


def test_the_last_day_warns_that_others_count_one_day_less():
    experience = [flown("2024-01-01", landings=3)]
    assert "D + 89" in stand("61.57(a)", experience, "2024-03-31").words
    assert "D + 89" not in stand("61.57(a)", experience, "2024-03-30").words


def test_the_third_most_recent_landing_keeps_it():
    experience = [flown("2024-01-10"), flown("2024-02-05"), flown("2024-03-01")]
    found = stand("61.57(a)", experience, "2024-03-02")
    assert (found.valid_until, found.kept_by) == ("2024-04-09", "2024-01-10")


def test_take_offs_and_landings_are_counted_apart():
    landings_only = flown("2024-03-01", landings=3)
    landings_only = landings_only._replace(part=landings_only.part._replace(takeoffs_day=1))
    found = stand("61.57(a)", [flown("2024-01-10", landings=2), landings_only], "2024-03-02")
    assert (found.valid_until, found.kept_by) == ("2024-04-09", "2024-01-10")


def test_night_landings_count_by_day_and_day_landings_never_by_night():
    night, day = [flown("2024-03-01", landings=0, night=3)], [flown("2024-03-01", landings=3)]
    assert stand("61.57(a)", night, "2024-03-02").state == "current"
    assert stand("61.57(b)", night, "2024-03-02").state == "current"
    assert stand("61.57(b)", day, "2024-03-02").state == "never"


def test_one_landing_by_night_is_enough_in_europe_or_an_instrument_rating():
    night = [flown("2024-01-31", landings=0, night=1)]
    assert stand("FCL.060(b)(2)", night, "2024-04-30").state == "current"
    assert stand("FCL.060(b)(2)", night, "2024-05-01").state == "lapsed"
    rating = {"item": "Instrument rating", "valid_from": "2023-01-01", "valid_until": "2024-12-31"}
    assert stand("FCL.060(b)(2)", night, "2024-05-01", [rating]).state == "void"
    assert stand("FCL.060(b)(2)", night, "2025-01-01", [rating]).state == "lapsed"


def test_an_instrument_rating_counts_without_any_flight_once_it_is_valid():
    """FCL.060(b)(2): or holds an instrument rating."""
    rating = {"item": "instrument rating", "valid_from": "2024-03-01"}
    assert stand("FCL.060(b)(2)", [], "2024-03-01", [rating]).state == "void"
    assert stand("FCL.060(b)(2)", [], "2024-02-29", [rating]).state == "never"


def test_what_the_record_cannot_judge_is_said_in_the_answer():
    for experience in ([], [flown("2024-03-01", landings=3)]):
        american = stand("61.57(a)", experience, "2024-03-02").words
        assert "Not judged here: landings to a full stop in a tailwheel aeroplane" in american
        for rule in ("61.57(a)", "61.57(b)", "FCL.060(b)(1)", "FCL.060(b)(2)"):
            assert "type rating" in stand(rule, experience, "2024-03-02").words


def test_a_rule_of_the_book_may_say_what_it_does_not_judge():
    own = [{"rule": "club", "needs": {"landings": 1}, "days": 28, "not_judged": "the chief's mood"}]
    (rule,) = (rule for rule in rules_in_force(own) if rule.rule == "club")
    (found,) = standings([rule], [flown("2024-03-01")], (), "2024-03-02")
    assert found.words.endswith("Not judged here: the chief's mood.")
    with pytest.raises(DataRefused, match="'not_judged' of rule 'club' must be text"):
        rules_in_force([own[0] | {"not_judged": 3}])


def test_classes_are_judged_apart():
    experience = [flown("2024-03-01", landings=3), flown("2024-03-01", landings=2, group="TMG")]
    found = standings([RULES["61.57(a)"]], experience, (), "2024-03-02")
    assert {one.scope: one.state for one in found} == {"SEP": "current", "TMG": "never"}


REVIEWS = [
    ("2023-04-12", "2025-04-30"),  # commentary on 14 CFR 61.56, read second-hand: 1 May 2025 is not legal
    ("2010-07-01", "2012-07-31"),  # published example
    ("2024-02-29", "2026-02-28"),  # computed here, as are the next two
    ("2024-01-31", "2026-01-31"),
    ("2022-02-01", "2024-02-29"),
]


@pytest.mark.parametrize(("done", "last"), REVIEWS)
def test_a_flight_review_lasts_to_the_end_of_the_twenty_fourth_calendar_month(done, last):
    review = [{"item": "flight review", "valid_from": done, "valid_until": None, "item_id": "R"}]
    found = stand("61.56", [], last, review)
    assert (found.state, found.valid_until, found.kept_by) == ("current", last, "R")
    after = (date.fromisoformat(last) + timedelta(days=1)).isoformat()
    assert stand("61.56", [], after, review).state == "lapsed"


def test_without_a_review_the_answer_says_what_to_record():
    assert stand("61.56", [], "2024-01-01").state == "never"
    assert "flight review" in stand("61.56", [], "2024-01-01").words


def lapl(day, **changes):
    return flown(day, minutes=60 * 12, landings=12, **changes)


def test_rolling_sums_are_counted_to_the_day():
    """FCL.140.A, read second-hand: 12 h as PIC with 12 take-offs and landings and 1 h with an instructor in 24 months."""
    lesson = flown("2023-05-10", function="dual", minutes=60, with_instructor=True)
    experience = [lapl("2023-03-15"), lesson]
    assert stand("FCL.140.A", experience, "2025-03-15").state == "current"
    assert stand("FCL.140.A", experience, "2025-03-16").state == "lapsed"
    assert stand("FCL.140.A", experience, "2025-03-15").kept_by == "2023-03-15"
    assert stand("FCL.140.A", experience[:1], "2023-03-16").state == "never"


def test_a_rating_is_revalidated_by_what_was_flown_in_the_year_before_it_ends():
    """FCL.740.A(b)(1)(ii), read second-hand: 12 h, 6 h of them as PIC, 12 take-offs and landings, 1 h with an instructor."""
    rating = [{"item": "SEP rating", "valid_until": "2025-06-30", "valid_from": "2023-06-30"}]
    before = flown("2024-06-30", minutes=600)
    enough = [
        before,
        flown("2024-07-01", minutes=360, landings=6),
        flown("2024-08-01", minutes=300, landings=6),
    ]
    lesson = flown("2025-06-30", function="dual", minutes=60, with_instructor=True)
    found = stand("FCL.740.A", [*enough, lesson], "2025-06-30", rating)
    assert found.state == "current"
    assert {share.measure: share.have for share in found.shares} == {
        "hours": 12,
        "pic_hours": 11,
        "takeoffs": 13,
        "landings": 13,
        "instructor_hours": 1,
    }
    short = stand("FCL.740.A", enough, "2025-06-29", rating)
    assert short.state == "lapsed"
    assert {share.measure: share.missing for share in short.shares if share.missing} == {
        "hours": 1,
        "instructor_hours": 1,
    }
    assert "11:00 hours (12 needed)" in short.words  # as everywhere: 69.15 hours would read like 69 h 15 min
    unclear = stand("FCL.740.A", [flown("2025-01-01", group=None)], "2025-06-29", rating)
    assert "class is not written down" in unclear.words


def test_a_question_about_the_past_does_not_see_what_came_later():
    experience = [flown("2024-01-01", landings=3), flown("2024-06-01", landings=3)]
    assert stand("61.57(a)", experience, "2024-02-01").valid_until == "2024-03-31"
    assert stand("61.57(a)", experience, "2024-05-01").state == "lapsed"
    assert stand("61.57(a)", experience, "2024-06-02").state == "current"


def test_months_end_where_the_month_ends():
    assert add_months(date(2024, 2, 29), 12) == date(2025, 2, 28)
    assert add_months(date(2024, 1, 31), -2) == date(2023, 11, 30)
    assert end_of_month(date(2024, 12, 5), 2) == date(2025, 2, 28)


DAYS = st.lists(st.tuples(st.integers(0, 250), st.integers(1, 2)), min_size=1, max_size=12)


@settings(max_examples=60, deadline=None)
@given(DAYS, st.integers(0, 400))
def test_the_answer_is_what_counting_day_by_day_gives(flights, today):
    """The other way round: count what lies in the ninety days before, and look for the last day on which it is enough."""
    start = date(2024, 1, 1)
    experience = [flown((start + timedelta(days=day)).isoformat(), landings=n) for day, n in sorted(flights)]

    def enough(on: int, seen: int) -> bool:
        return sum(n for day, n in flights if on - 90 <= day <= min(on, seen)) >= 3

    found = standings([RULES["61.57(a)"]], experience, (), (start + timedelta(days=today)).isoformat())[0]
    assert (found.state == "current") == enough(today, today)
    if found.state == "current":
        last = (date.fromisoformat(found.valid_until) - start).days
        assert enough(last, today)
        assert not enough(last + 1, today)


def test_a_book_adds_replaces_and_drops_rules():
    own = [
        {"rule": "club", "title": "fly solo", "needs": {"landings": 1}, "days": 28},
        {"rule": "61.56", "off": True},
    ]
    rules = {rule.rule: rule for rule in rules_in_force(own)}
    assert "61.56" not in rules
    (found,) = standings([rules["club"]], [flown("2024-01-01")], (), "2024-01-29")
    assert (found.state, found.valid_until, found.source) == ("current", "2024-01-29", "the book's own rule")


@pytest.mark.parametrize(
    ("setting", "why"),
    [
        ({}, "list of rules"),
        ([1], "object with an id"),
        ([{"rule": "x", "needs": {"loops": 3}, "days": 9}], "needs numbers above 0"),
        ([{"rule": "x", "needs": {"landings": True}, "days": 9}], "needs numbers above 0"),
        ([{"rule": "x", "needs": {"landings": 3}}], "either 'days' or 'months'"),
        ([{"rule": "x", "needs": {"landings": 3}, "days": 9, "months": 2}], "either 'days' or 'months'"),
        ([{"rule": "x", "days": 9}], "asks for nothing"),
        ([{"rule": "x", "kind": "item", "months": 9}], "needs an 'item'"),
        ([{"rule": "x", "day": 9}], "no field 'day'"),
        ([{"rule": "x", "title": 9}], "must be text"),
        ([{"rule": "x", "kind": "moon", "days": 9}], "kind is one of"),
    ],
)
def test_a_table_that_cannot_be_read_says_why(setting, why):
    with pytest.raises(DataRefused, match=why):
        rules_in_force(setting)
