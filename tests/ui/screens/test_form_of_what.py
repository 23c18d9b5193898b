"""Forms for a new record of something: it is not asked for again, and what was typed is of that thing alone."""

import pytest

from logbook.ui.screens.form import FormScreen
from logbook.ui.screens.new_record import draft_id, given_of
from logbook.ui.widgets.pick_box import PickBox
from tests import club
from tests.ui.screens.reading import fill, pick
from tests.ui.walk import Walker, walk


async def observation_of(walker: Walker, place: int) -> FormScreen:
    """From the list of packs the form for what was seen of one."""
    await walker.press("p")
    await walker.until(lambda: walker.app.screen.NAME == "packs" and walker.app.screen.lines)
    await walker.press("home", *["down"] * place, "a")
    await pick(walker, "observation")
    await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
    return walker.app.screen


async def test_the_pack_one_was_on_is_not_asked_for_again(busy_desk) -> None:
    async with walk(busy_desk, (80, 24)) as walker:
        await observation_of(walker, 1)
        assert f"New observation of {club.P2}" in walker.flat
        await fill(walker, at="0800", cell_min_v="3.41", insulation_mohm="550")
        await walker.until(lambda: not isinstance(walker.app.screen, FormScreen))
    (seen,) = busy_desk.records("observation")
    assert (seen["serial_no"], seen["cell_min_v"], seen["insulation_mohm"]) == (club.P2, 3.41, 550)


async def test_what_was_typed_of_one_pack_is_not_offered_for_another(busy_desk) -> None:
    async with walk(busy_desk, (80, 24)) as walker:
        form = await observation_of(walker, 0)
        form._boxes["cell_min_v"].box.value = "3.41"
        await walker.pilot.pause()
        await walker.press("escape")
        other = await observation_of(walker, 1)
        assert other._boxes["cell_min_v"].text == ""
        await walker.press("escape")
        (draft,) = busy_desk.unfinished()
        walker.app.go_on(draft)
        await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
        assert walker.app.screen._boxes["cell_min_v"].text == "3.41"
        assert f"of {club.P1}" in walker.flat


async def test_what_was_typed_is_thrown_away_after_a_question_only(busy_desk) -> None:
    async with walk(busy_desk, (80, 24)) as walker:
        form = await observation_of(walker, 0)
        form._boxes["cell_min_v"].box.value = "3.41"
        await walker.pilot.pause()
        await walker.press("f5")
        await walker.until(lambda: isinstance(walker.app.screen, PickBox))
        await walker.press("escape")
        assert form._boxes["cell_min_v"].text == "3.41"
        await walker.press("f5")
        await walker.until(lambda: isinstance(walker.app.screen, PickBox))
        await walker.press("enter")  # the first possibility keeps it
        assert form._boxes["cell_min_v"].text == "3.41"
        await walker.press("f5")
        await pick(walker, "throw")
        await walker.until(lambda: walker.app.screen is form)
        assert form._boxes["cell_min_v"].text == ""
        assert busy_desk.unfinished() == []


@pytest.mark.parametrize("about", [{}, {"serial_no": "A 1"}, {"aircraft": "X-WATT", "person": "Ada Quill"}])
def test_a_draft_says_whose_record_it_is(about) -> None:
    assert given_of(draft_id(about)) == about
    assert given_of("P-101") is None


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_words_of_ones_own_have_more_room_than_a_figure_and_notes_stand_whole(busy_desk, size) -> None:
    async with walk(busy_desk, size) as walker:
        await walker.press("m")
        await walker.until(lambda: walker.app.screen.NAME == "maintenance")
        await walker.press("a")
        await pick(walker, "maintenance")
        await pick(walker, "repair")
        await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
        boxes = walker.app.screen._boxes
        await walker.until(lambda: boxes["text"].box.size.width > 0)
        assert boxes["text"].box.size.width > boxes["completed"].box.size.width
        assert walker.flat.count("needed") == 2
        assert "= repair ?" in walker.flat
