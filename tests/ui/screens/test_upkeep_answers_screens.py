"""Flags of observations and entries on the screens: asked for, answered with w, and then shown as answered."""

from __future__ import annotations

import pytest

from logbook.services.maintenance import aircraft_totals
from logbook.services.questions import show
from logbook.ui.screens.record import RecordScreen
from logbook.ui.widgets.line_list import LineList
from tests import club
from tests.club import P1, WATT, put
from tests.ui.walk import walk

SIZES = [(60, 20), (80, 24), (140, 40)]


@pytest.fixture
def back(busy_desk):
    """The cycle counter of a pack and the total time of an aeroplane went back."""
    book = busy_desk.book
    for number, cycles in ((1, 900), (2, 3)):
        at = f"2031-06-1{number}T08:00Z"
        put(
            book,
            "observation",
            {"observation_id": f"O{number}", "serial_no": P1, "at": at, "counter_cycles": cycles},
        )
        entry = {"entry_id": f"B{number}", "aircraft": WATT, "completed": at, "text": "Inspected"}
        near = (
            aircraft_totals(book, at)[WATT]["hours"] + 0.6 / number
        )  # so near that no rule speaks of the difference
        put(book, "maintenance", entry | {"aircraft_hours": round(near, 2)})
    return busy_desk


def answered(desk, kind: str, record_id: str) -> list[bool]:
    return [flag["answered"] for flag in show(desk.book, kind, record_id)["flags"]]


async def say(walker, words: str) -> None:
    await walker.until("what was found out?")
    await walker.press(*words)
    await walker.press("f2")


def listed(walker) -> list[str]:
    """All lines of the lists, in sight or not."""
    lists = walker.app.screen.query(LineList)
    return ["".join(span.text for span in line.head) + line.body for one in lists for line in one._lines]


def says(walker, words: str):
    return lambda: any(words in line for line in listed(walker))


def go_to(walker, target: tuple[str, str]) -> None:
    for lines in walker.app.screen.query(LineList):
        if target in [line.target for line in lines._lines]:
            lines.focus()
            lines.action_move(-9999)
            while lines.target != target:
                lines.action_move(1)
            return
    raise AssertionError(target)


@pytest.mark.parametrize("size", SIZES)
async def test_in_maintenance_a_flag_is_answered_and_then_stands_as_answered(back, size) -> None:
    async with walk(back, size, first="maintenance") as walker:
        await walker.until(says(walker, "Flags without an answer: 2 of observations and entries"))
        go_to(walker, ("maintenance", "B2"))
        await walker.press("w")
        await say(walker, "typo")
        await walker.until(says(walker, "Flags without an answer: 1 of observations and entries"))
        assert answered(back, "maintenance", "B2") == [True]
        assert any("went back" in line and "Answered: typo" in line for line in listed(walker))


async def test_in_today_it_waits_until_it_is_answered(back) -> None:
    async with walk(back, (140, 40)) as walker:
        await walker.until(says(walker, "2 of observations and entries"))
        go_to(walker, ("observation", "O2"))
        await walker.press("w")
        await say(walker, "reset")
        await walker.until(says(walker, "1 of observations and entries"))
        assert answered(back, "observation", "O2") == [True]


@pytest.mark.parametrize("size", SIZES)
async def test_the_record_itself_shows_its_flag_with_what_to_do_and_then_the_answer(back, size) -> None:
    async with walk(back, size, first="maintenance") as walker:
        walker.app.open_record("observation", "O2")
        await walker.until(lambda: isinstance(walker.app.screen, RecordScreen))
        await walker.until("1 of 1 without an answer")
        await walker.until("what to do")
        await walker.press("w")
        await say(walker, "reset")
        await walker.until("0 of 1 without an answer")
        await walker.until("reset (")


async def test_the_pack_shows_it_beside_the_observation(back) -> None:
    async with walk(back, (140, 40), first="packs") as walker:
        walker.app.open_record("pack", P1)
        await walker.until(says(walker, "! The cycle counter"))
        go_to(walker, ("observation", "O2"))
        await walker.press("w")
        await say(walker, "reset")
        await walker.until(says(walker, "ok The cycle counter"))


async def test_a_record_no_rule_looks_at_says_so(back) -> None:
    async with walk(back, (80, 24), first="setup") as walker:
        walker.app.open_record("place", club.FIELD)
        await walker.until(lambda: isinstance(walker.app.screen, RecordScreen))
        await walker.press("w")
        await walker.until("No rule looks at such a record")
