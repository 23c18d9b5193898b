"""Flags of charges: seen in Today and on the charge's screen, and answered from either."""

import pytest

from logbook.ui.screens.charge import ChargeScreen
from logbook.ui.widgets.line_list import LineList
from tests import club
from tests.ui.walk import walk

FALLEN = club.charge(
    "C1", club.P1, "2031-06-10T10:00Z", ended="2031-06-10T11:00Z", soc_start_pct=90, soc_end_pct=60
)
WORDS = f"Pack {club.P1} went from 90 to 60 % while charging."


@pytest.fixture
def fallen_desk(busy_desk):
    club.put(busy_desk.book, "charge", FALLEN)
    return busy_desk


async def answered(walker, words: str) -> None:
    await walker.press("w")
    await walker.until("Answer the flag")
    await walker.type(words)
    await walker.press("enter")
    await walker.until("Answered.")


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_today_lists_the_charge_until_it_is_answered_from_there(fallen_desk, size) -> None:
    async with walk(fallen_desk, size) as walker:
        lines = walker.app.screen.query_one("#waiting", LineList)
        await walker.until(lambda: any(line.target == ("charge", "C1") for line in lines._lines))
        while lines.target != ("charge", "C1"):
            lines.action_move(1)
        await walker.pilot.pause()
        assert WORDS in walker.flat
        await answered(walker, "gauge was replaced")
        await walker.until(lambda: not walker.app.screen.waiting and WORDS not in walker.flat)
        assert not any(line.target == ("charge", "C1") for line in lines._lines)
    (said,) = fallen_desk.show("charge", "C1")["answers"]
    assert said["words"] == "gauge was replaced"


async def test_the_line_in_today_opens_the_charge_which_says_what_to_do_and_who_answered(fallen_desk) -> None:
    fallen_desk.set("operator", club.ADA)
    async with walk(fallen_desk, (140, 40)) as walker:
        walker.app.open_record("charge", "C1")
        await walker.until(lambda: isinstance(walker.app.screen, ChargeScreen) and walker.app.screen.shown)
        await walker.until("Flags: 1 of 1 without an answer")
        assert WORDS in walker.flat
        assert "Correct the readings. Answer it with w." in walker.flat
        await answered(walker, "gauge was replaced")
        await walker.until("Flags: 0 of 1 without an answer")
        assert f"gauge was replaced ({club.ADA}," in walker.flat
        await walker.press("w")
        await walker.until("Every flag of this charge is answered.")


async def test_a_charge_without_a_flag_says_so(busy_desk) -> None:
    club.put(busy_desk.book, "charge", club.charge("C2", club.P1, "2031-06-10T10:00Z"))
    async with walk(busy_desk, (140, 40)) as walker:
        walker.app.open_record("charge", "C2")
        await walker.until("ok: no rule found anything.")
        await walker.press("w")
        await walker.until("This charge has no flag.")


async def test_a_flag_is_answered_from_the_list_of_charges(fallen_desk) -> None:
    async with walk(fallen_desk, (140, 40)) as walker:
        await walker.press("c")
        await walker.until("90-60 %")
        await answered(walker, "gauge was replaced")
    assert fallen_desk.show("charge", "C1")["flags"][0]["answered"]
