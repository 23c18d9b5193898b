"""Today: one look tells who is out, what is wrong, and how every pack stands."""

import pytest

from logbook.services.drafts import Draft
from logbook.ui.screens.today_lines import today_lines
from logbook.ui.widgets.line_list import LineList
from tests import club
from tests.ui.walk import walk


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_an_overdue_flight_comes_first_and_says_so_in_words(busy_desk, size) -> None:
    async with walk(busy_desk, size) as walker:
        first = walker.text.splitlines()[2:8]
    assert "Out now" in "".join(first)
    assert "OVERDUE by 0:30 h" in " ".join("".join(first).split())


async def test_a_flight_that_is_not_late_yet_says_when_it_is_expected(busy_desk) -> None:
    busy_desk.clock = lambda: "2031-06-30T11:00Z"
    async with walk(busy_desk) as walker:
        assert "expected back 11:30 UTC" in walker.flat
        assert "OVERDUE" not in walker.flat


async def test_defects_due_items_flags_and_packs_are_there_with_sign_and_words(busy_desk) -> None:
    async with walk(busy_desk, (140, 40)) as walker:
        text = walker.flat
    assert f"‼ {club.WATT} open: Brake [red]drags\\x1b[2J" in text
    assert f"! {club.VOLT} deferred until 2031-07-05, in 5 d: Radio hiss" in text
    assert "! PAST: club check of Ben Marsh, 2031-06-25, 5 d past" in text
    assert "medical of Ada Quill, 2031-07-10, in 10 d" in text
    assert "below the reserve of 25 %" in text
    assert "20 % 9 d ago SOH 98 %" in text
    assert "33 °C" not in text  # of nine days ago: the pack is as warm as the hangar by now


@pytest.mark.parametrize(
    ("now", "seen"), [("2031-06-20T15:00Z", True), ("2031-06-20T23:00Z", True), ("2031-06-21T02:00Z", False)]
)
async def test_a_temperature_is_shown_while_it_tells_something(busy_desk, now, seen) -> None:
    busy_desk.clock = lambda: now
    async with walk(busy_desk, (140, 40)) as walker:
        assert ("33 °C" in walker.flat) is seen


async def test_the_order_is_out_defects_due_state_flags(busy_desk) -> None:
    async with walk(busy_desk, (80, 60)) as walker:
        text = walker.text
    places = [
        text.index(words) for words in ("Out now", "Defects", "Due within", f"{club.WATT}  invented", "Flags")
    ]
    assert places == sorted(places)


async def test_a_grounded_pack_says_why(busy_desk) -> None:
    club.put(busy_desk.book, "defect", {"serial_no": club.P1, "found": "2031-06-22T09:00Z", "text": "Hard landing",
                                        "needs_inspection": 1})  # fmt: skip
    async with walk(busy_desk, (140, 40)) as walker:
        assert "GROUNDED: inspection before next use" in walker.flat


@pytest.mark.parametrize(
    ("target", "seen"), [(("flight", "LOW"), "Flight 2031-06-20"), (("aircraft", club.WATT), club.WATT)]
)
async def test_enter_opens_what_the_line_is_about(busy_desk, target, seen) -> None:
    async with walk(busy_desk) as walker:
        lines = walker.app.screen.query_one("#waiting", LineList)
        while lines.target != target:
            lines.action_move(1)
        await walker.press("enter")
        await walker.until(lambda: seen in walker.text.splitlines()[1])
        await walker.press("escape")
        await walker.until(lambda: "[Today]" in walker.text)
        assert lines.target == target  # one comes back to where one was


async def test_an_unfinished_form_is_offered_and_gone_on_with(busy_desk) -> None:
    draft = Draft("new", "form:place", {"place": ("Mill", "read")}, "New place", club.NOW)
    busy_desk.drafts.keep(draft)
    async with walk(busy_desk) as walker:
        await walker.until("Unfinished entries")
        lines = walker.app.screen.query_one("#waiting", LineList)
        while lines.target[0] != "draft":
            lines.action_move(1)
        await walker.press("enter")
        await walker.until("New place")
        assert walker.app.screen._boxes["place"].text == "Mill"


async def test_a_flag_is_answered_from_here(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        lines = walker.app.screen.query_one("#waiting", LineList)
        while lines.target != ("flight", "LOW"):
            lines.action_move(1)
        await walker.press("w")
        if "Which flag?" in walker.text:
            await walker.press("enter")
        await walker.until("What to do")
        await walker.press("enter")
        assert "needs words" in walker.flat
        await walker.type("gusts; talked over")
        await walker.press("enter")
    answers = busy_desk.show("flight", "LOW")["answers"]
    assert [answer["words"] for answer in answers] == ["gusts; talked over"]


async def test_the_flag_one_is_on_is_answered_and_the_cursor_stays_with_it(busy_desk) -> None:
    hot = [club.reading(club.P1, temp_max_c=58, soc_landing_pct=12), club.reading(club.P2)]
    club.put(busy_desk.book, "flight", club.flight_at(9, "HOT", day="2031-06-22", readings=hot))
    async with walk(busy_desk) as walker:
        lines = walker.app.screen.query_one("#waiting", LineList)
        await walker.until(lambda: "reached 58 °C" in lines.plain_text)
        while "reached 58 °C" not in lines.words:
            lines.action_move(1)
        assert [line.target for line in lines._lines].count(("flight", "HOT")) > 1
        await walker.press("w")
        await walker.until("What to do")
        assert "Pack LARK-01 reached 58 °C" in walker.flat
        await walker.press("escape")
        await walker.until(lambda: "[Today]" in walker.text)
        walker.app.screen.refill()
        assert "reached 58 °C" in lines.words


async def test_a_book_without_flights_says_what_to_do(club_desk) -> None:
    async with walk(club_desk) as walker:
        assert "l log the first flight" in walker.flat
        assert "never read" in walker.flat


async def test_what_another_program_wrote_is_seen_when_one_comes_back(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        with busy_desk.elsewhere() as other:
            other.add("defect", {"aircraft": club.WATT, "found": "2031-06-30T11:00Z", "text": "Flat tyre"})
        await walker.press("f", "t")
        await walker.until("Flat tyre")


@pytest.mark.parametrize(
    ("count", "words"), [(1, "1 flight"), (999, "999 flights"), (1000, "more than 999 flights")]
)
def test_flights_that_wait_are_counted_only_so_far(busy_desk, count, words) -> None:
    view = busy_desk.today()._replace(flagged=count, missing=(count, "F1"))
    said = [
        "".join(span.text for span in line.head) + line.body
        for line in today_lines(view, [], club.NOW, [], 3)
    ]
    assert f"Flags without an answer: {words}" in said
    assert any(line.startswith(f"· {words} {'has' if count == 1 else 'have'} no charge") for line in said)


@pytest.mark.parametrize("size", [(80, 24), (140, 40)])
async def test_what_runs_out_by_hours_stands_on_today_before_dates(busy_desk, size) -> None:
    entry = {"aircraft": club.WATT, "text": "bolts", "completed": "2031-06-01T09:00Z"}
    for work, left in (("directive 2031-07", 20), ("directive 2031-09", 300), ("hundred hours", -1)):
        club.put(
            busy_desk.book,
            "maintenance",
            entry | {"work": work, "text": work, "aircraft_hours": 321.8, "next_due_hours": 321.8 + left},
        )
    async with walk(busy_desk, size) as walker:
        await walker.until(lambda: "Runs out by use" in walker.flat)
        text = walker.flat
    assert "PAST DUE: hundred hours by hours of X-WATT:" in text
    assert "directive 2031-07 by hours of X-WATT:" in text
    assert "2031-09" not in text
    assert "321.8 h read on 2031-06-01" in text


async def test_who_is_out_has_local_times_where_the_book_shows_local_times(busy_desk) -> None:
    book = busy_desk.book
    if not [row for row in busy_desk.records("place") if row["place"] == club.FIELD]:
        club.put(book, "place", {"place": club.FIELD})
    busy_desk.correct("place", club.FIELD, {"zone": "Europe/Rome"}, why="it was missing")
    async with walk(busy_desk, (140, 40)) as walker:
        assert "expected 11:30 UTC" in walker.flat
    busy_desk.set("clock", "local")
    async with walk(busy_desk, (140, 40)) as walker:
        assert "OVERDUE by 0:30 h, expected 13:30 local" in walker.flat
        assert "since 12:30 local" in walker.flat
