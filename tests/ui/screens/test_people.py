"""People: who flew what, what runs out and what waits; the instructor's students on one key."""

import pytest

from logbook.ui.screens.people import PeopleScreen
from logbook.ui.screens.person import PersonScreen
from logbook.ui.screens.student import StudentScreen
from logbook.ui.widgets.line_list import LineList
from tests import club
from tests.ui.walk import walk

SIZES = [(60, 20), (80, 24), (140, 40)]


@pytest.fixture
def taught_desk(busy_desk):
    """Cleo flies dual with Ada, with her own estimate, and once alone; nobody has signed yet."""
    for hour in range(7, 17):
        low = 27 if hour == 9 else 45
        readings = [
            club.reading(club.P1, soc_landing_pct=low),
            club.reading(club.P2, soc_landing_pct=low + 4),
        ]
        crew = {
            "pilot": club.CLEO,
            "function": "dual",
            "second_person": club.ADA,
            "second_function": "instructor",
        }
        club.put(busy_desk.book, "flight", club.flight_at(
            hour, f"D{hour}", day="2031-06-10", pilot_estimate_soc_pct=40, exercise="[b]circuits\x1b[2J",
            debrief="Look out", readings=readings, **crew))  # fmt: skip
    club.put(
        busy_desk.book,
        "flight",
        club.flight_at(9, "SOLO", day="2031-06-12", pilot=club.CLEO, function="solo"),
    )
    club.put(busy_desk.book, "person-item", {
        "person": club.CLEO, "item": "solo authorisation", "valid_until": "2031-07-04", "aircraft": club.WATT,
        "limit_wind_kt": 12, "limit_landing_soc_pct": 40, "issued_by": club.ADA,
    })  # fmt: skip
    return busy_desk


@pytest.mark.parametrize("size", SIZES)
async def test_everybody_is_listed_with_what_waits_for_them(taught_desk, size) -> None:
    async with walk(taught_desk, size, first="people") as walker:
        await walker.until("3 people")
        assert all(name in walker.text for name in (club.ADA, club.BEN, club.CLEO))
        walker.app.screen.query_one("RecordTable").cursor = [
            line.person for line in walker.app.screen.shown
        ].index(club.BEN)
        await walker.until("Ben Marsh: run out: club check 5 d past")
        assert "Runs out" in walker.text


async def test_flags_entries_to_sign_and_times_are_counted_as_the_commands_count_them(taught_desk) -> None:
    from logbook.services.people import students

    async with walk(taught_desk, (140, 40), first="people") as walker:
        await walker.until("3 people")
        lines = {line.person: line for line in walker.app.screen.lines}
    (row,) = students(taught_desk.book, club.NOW[:10])
    cleo = lines[row["person"]]
    assert (cleo.dual_min, cleo.solo_min, cleo.landings) == (
        row["dual_min"],
        row["solo_min"],
        row["landings"],
    )
    assert (cleo.open_flags, cleo.waiting) == (row["open_flags"], row["to_countersign"])
    assert [item["item"] for item in cleo.ending] == [item["item"] for item in row["ending"]]
    assert lines[club.ADA].to_sign == cleo.waiting == 10


async def test_one_key_shows_the_students_and_back(taught_desk) -> None:
    async with walk(taught_desk, first="people") as walker:
        await walker.until("3 people")
        await walker.press("f4")
        await walker.until("Students: 1")
        assert club.BEN not in walker.text
        assert "6:40" in walker.text  # ten lessons of forty minutes
        await walker.press("enter")
        await walker.until(lambda: isinstance(walker.app.screen, StudentScreen))
        await walker.press("escape", "escape")
        await walker.until("3 people")


async def test_beside_the_list_stands_the_person_under_the_cursor_where_there_is_room(taught_desk) -> None:
    async with walk(taught_desk, (140, 40), first="people") as walker:
        await walker.until("PAST: until 2031-06-25")
        await walker.press("down")
        await walker.until("solo authorisation; until 2031-07-04")
        assert "Totals, block time" in walker.text


async def test_words_narrow_the_list(taught_desk) -> None:
    async with walk(taught_desk, first="people") as walker:
        await walker.until("3 people")
        await walker.press("i")
        await walker.type("fenn")
        await walker.press("enter")
        await walker.until("With 'fenn': 1")
        await walker.press("i")
        await walker.type("zorro [b]")
        await walker.press("enter")
        await walker.until("Nobody is called so")
        await walker.press("escape")
        await walker.until("3 people")


async def test_an_empty_book_says_how_to_begin(empty_desk) -> None:
    async with walk(empty_desk, first="people") as walker:
        await walker.until("a adds a person")


async def test_what_was_there_stays_until_the_answer_comes(taught_desk, monkeypatch) -> None:
    async with walk(taught_desk, first="people") as walker:
        await walker.until("3 people")
        monkeypatch.setattr(PeopleScreen, "ask", lambda *_: None)
        await walker.press("t", "o")
        assert "3 people" in walker.text


@pytest.mark.parametrize("size", SIZES)
async def test_a_person_shows_limits_recency_and_totals(taught_desk, size) -> None:
    async with walk(taught_desk, size) as walker:
        walker.app.open_record("person", club.CLEO)
        words = "until 2031-07-04, in 4 d; only X-WATT; wind to 12 kt; land with 40 % or more"
        await walker.until(lambda: words in whole(walker))
        text = whole(walker)
        assert "solo authorisation" in walker.text
        assert "FCL.060(b)(1)" in text
        assert "dual" in text
        assert "6:40" in text


def whole(walker) -> str:
    """All lines of a person, in sight or not."""
    found = walker.app.screen.query("#held, #flown").results(LineList)
    lines = [line for one in found for line in one._lines]
    return " ".join("".join(span.text for span in line.head) + line.body for line in lines)


async def test_on_the_ninetieth_day_both_counts_are_named(taught_desk) -> None:
    async with walk(taught_desk) as walker:
        walker.app.open_record("person", club.CLEO)
        await walker.until(lambda: "Recency" in whole(walker))
        # 2031-06-10 and 2031-06-12: the third most recent landing is of the 10th, and 90 days on is 2031-09-08.
        assert "until 2031-09-08" in whole(walker)
        assert "Who counts the day itself too stops on 2031-09-07" in whole(walker)


async def test_the_flight_that_keeps_a_rule_can_be_opened(taught_desk) -> None:
    async with walk(taught_desk) as walker:
        walker.app.open_record("person", club.CLEO)
        await walker.until(lambda: "Recency" in whole(walker))
        held = walker.app.screen.query_one("#held")
        targets = [line.target for line in held._lines if line.target and line.target[0] == "flight"]
        held.post_message(held.Selected(held, targets[0]))
        await walker.until("Flight 2031-06-1")


async def test_an_item_is_added_for_the_person_one_is_on(taught_desk) -> None:
    async with walk(taught_desk) as walker:
        walker.app.open_record("person", club.BEN)
        await walker.until(lambda: "PAST: until 2031-06-25, 5 d past" in whole(walker))
        await walker.press("a")
        await walker.until(f"New dated item of {club.BEN}")
        boxes = walker.app.screen._boxes
        assert "person" not in boxes  # whose it is was said already
        boxes["item"].box.value = "Club check"
        boxes["valid_until"].box.value = "2032-06-30"
        await walker.press("f2")
        await walker.until(lambda: "until 2032-06-30" in whole(walker))
        assert "PAST" not in whole(walker)  # the newer one of the same kind counts
        assert "1 older" in whole(walker)


async def test_an_unknown_person_is_said_to_be_unknown(taught_desk) -> None:
    async with walk(taught_desk) as walker:
        walker.app.push_screen(PersonScreen("Zorro"))
        await walker.until("Zorro")


async def test_keys_of_a_person_lead_to_flights_signing_and_pages(taught_desk) -> None:
    async with walk(taught_desk) as walker:
        walker.app.open_record("person", club.CLEO)
        await walker.until("Held")
        for key, words in (
            ("f3", "Flights of Cleo Fenn"),
            ("k", "Countersign: Cleo Fenn"),
            ("z", "A pilot's pages"),
        ):
            await walker.press(key)
            await walker.until(words)
            await walker.press("escape")
            await walker.until("Held")


@pytest.mark.parametrize("size", SIZES)
async def test_a_student_s_flights_say_margin_estimate_and_forecast(taught_desk, size) -> None:
    async with walk(taught_desk, size) as walker:
        walker.app.push_screen(StudentScreen(club.CLEO))
        await walker.until("Program: earlier flights only")
        screen = walker.app.screen
        by_id = {flight["flight_id"]: flight for flight in screen.flights}
        assert (by_id["D9"]["margin_pct"], by_id["D9"]["estimate_error_pct"]) == (2, -13)
        assert "+20" in walker.text  # 45 % with a reserve of 25 %
        assert "Spare" in walker.text
        judged = sum(flight["margin_pct"] is not None for flight in screen.flights)
        assert f"Below the reserve: none of {judged}" in walker.flat


async def test_no_claim_is_made_on_few_flights(taught_desk) -> None:
    async with walk(taught_desk) as walker:
        walker.app.push_screen(StudentScreen(club.BEN))
        await walker.until("too few flights to say")


async def test_ten_flights_are_compared_half_against_half(taught_desk) -> None:
    async with walk(taught_desk, (140, 40)) as walker:
        walker.app.push_screen(StudentScreen(club.CLEO))
        # Own errors: 5, 5, 13, 5, 5 and then five times 5 points, in order of time.
        await walker.until("6.6 (")
        await walker.until("5.0 (5.0 to 5.0, n 5): no difference can be told")


async def test_remarks_and_debriefs_are_shown_as_they_were_written(taught_desk) -> None:
    async with walk(taught_desk, (140, 40)) as walker:
        walker.app.push_screen(StudentScreen(club.CLEO))
        await walker.until("Program: earlier flights only")
        await walker.press("down")
        await walker.until("debrief: Look out")
        assert "[b]circuits\\x1b[2J" in walker.text


@pytest.mark.parametrize("size", [(80, 24), (140, 40)])
async def test_plots_come_one_after_the_other_and_the_table_again(taught_desk, size) -> None:
    async with walk(taught_desk, size) as walker:
        walker.app.push_screen(StudentScreen(club.CLEO))
        await walker.until("Program: earlier flights only")
        await walker.press("g", "right")
        await walker.until("12 Jun 2031" if size[0] > 100 else "Landing charge, came less expected")
        assert walker.app.screen.focused.id == "errors"
        await walker.press("g")
        await walker.until("Margin over the reserve")
        assert walker.app.screen.focused.id == "margins"
        await walker.press("g")
        assert walker.app.screen.focused.id == "flights"
        assert "Program %" in walker.text


async def test_a_flag_of_the_flight_one_is_on_is_answered(taught_desk) -> None:
    async with walk(taught_desk) as walker:
        walker.app.push_screen(StudentScreen(club.BEN))
        await walker.until("landed with 20 %")
        await walker.press("w")
        await walker.until("Which flag?")
        await walker.press("enter")
        await walker.until("Answer the flag")
        await walker.type("Headwind, talked through")
        await walker.press("enter")
        await walker.until("Answered.")


@pytest.mark.parametrize("page", ["people", "person", "student", "countersign"])
def test_each_screen_explains_itself(page) -> None:
    from logbook.ui.help_text import blocks
    from logbook.ui.help_text import page as text_of

    assert len(blocks(text_of(page))) >= 5


async def test_while_it_is_added_up_nobody_is_said_to_be_missing(club_desk, monkeypatch) -> None:
    monkeypatch.setattr(PeopleScreen, "ask", lambda *_: None)  # the answer has not come yet
    async with walk(club_desk) as person:
        await person.press("o")
        await person.until("Adding up what everybody flew")
        assert "Nobody yet" not in person.text
