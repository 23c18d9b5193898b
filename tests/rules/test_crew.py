"""Who did what: one rule for functions, take-offs and landings."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from logbook.rules.crew import effective_crew, handler_of

ALONE = {"pilot": "Ada", "function": "pic", "landings_day": 3, "landings_night": 1}
LESSON = {
    "pilot": "Ben",
    "function": "dual",
    "second_person": "Ada",
    "second_function": "instructor",
    "landings_day": 4,
}


def by_name(flight, crew=()):
    return {part.person: part for part in effective_crew(flight, crew)}


def test_landings_belong_to_the_pilot_where_nobody_else_is_said_to_have_handled():
    ada = by_name(ALONE)["Ada"]
    assert (ada.landings_day, ada.landings_night, ada.takeoffs_day, ada.takeoffs_night) == (3, 1, 3, 1)
    assert ada.handled
    assert not ada.takeoffs_written


def test_landings_belong_to_whoever_handled():
    parts = by_name(LESSON | {"handled_by": "Ada"})
    assert parts["Ada"].landings_day == 4
    assert parts["Ben"].landings_day == 0
    assert [parts[name].function for name in ("Ben", "Ada")] == ["dual", "instructor"]


def test_crew_rows_win_person_by_person_and_may_share_the_landings():
    crew = [
        {"person": "Ben", "function": None, "handled": 1, "landings_day": 3, "takeoffs_day": 4},
        {"person": "Ada", "function": "pic", "handled": 0, "landings_day": 1},
    ]
    parts = by_name(LESSON, crew)
    assert (parts["Ben"].landings_day, parts["Ben"].takeoffs_day, parts["Ben"].takeoffs_written) == (
        3,
        4,
        True,
    )
    assert (parts["Ada"].landings_day, parts["Ada"].takeoffs_day) == (1, 1)
    assert parts["Ben"].function == "dual"
    assert parts["Ada"].function == "pic"


def test_crew_rows_without_landings_hand_the_flights_landings_to_the_one_who_handled():
    crew = [{"person": "Ada", "function": "instructor", "handled": 1}]
    parts = by_name(LESSON, crew)
    assert parts["Ada"].landings_day == 4
    assert parts["Ben"].landings_day == 0


def test_two_who_both_handled_leave_the_landings_with_the_pilot():
    crew = [{"person": "Ada", "handled": 1}, {"person": "Ben", "handled": 1}]
    assert handler_of(LESSON, crew) == "Ben"


def test_the_same_name_twice_is_one_person():
    parts = effective_crew(ALONE | {"second_person": "Ada", "second_function": "dual"})
    assert [(part.person, part.function) for part in parts] == [("Ada", "pic")]


def test_a_flight_whose_landings_were_all_by_night_ended_with_a_full_stop():
    night = {"pilot": "Ada", "landings_night": 2}
    assert by_name(night)["Ada"].landings_night_full_stop == 1
    assert by_name(night | {"landings_night_full_stop": 2})["Ada"].landings_night_full_stop == 2
    assert by_name(night | {"landings_day": 1})["Ada"].landings_night_full_stop == 0


NAMES = st.sampled_from(["Ada", "Ben", "Cleo"])
ROWS = st.lists(
    st.fixed_dictionaries({"person": NAMES, "handled": st.integers(0, 1)}),
    max_size=3,
    unique_by=lambda r: r["person"],
)


@given(
    st.fixed_dictionaries(
        {"pilot": NAMES, "second_person": NAMES | st.none(), "handled_by": NAMES | st.none()}
    ),
    ROWS,
    st.integers(0, 9),
)
def test_no_landing_is_lost_or_counted_twice_and_nobody_is_there_twice(columns, rows, landings):
    parts = effective_crew(columns | {"landings_day": landings}, rows)
    assert sum(part.landings_day for part in parts) == landings
    assert len({part.person for part in parts}) == len(parts)


def test_nobody_aboard_is_nobody():
    assert effective_crew({}) == ()
