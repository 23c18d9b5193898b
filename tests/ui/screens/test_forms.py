"""A form of any kind keeps every key, explains its fields, and never loses what was typed."""

import pytest

from logbook.ui.screens.form import FormScreen
from tests import club
from tests.ui.walk import walk


async def form(walker, kind: str = "place") -> FormScreen:
    walker.app.new_record(kind)
    await walker.until(lambda: isinstance(walker.app.screen, FormScreen) and walker.app.screen.focused)
    return walker.app.screen


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_one_types_at_once_and_the_field_is_explained(club_desk, size) -> None:
    async with walk(club_desk, size) as walker:
        screen = await form(walker)
        await walker.press(*"Mill", "enter", *"Europe/Rome")
        assert screen._boxes["place"].text == "Mill"
        assert screen._boxes["zone"].text == "Europe/Rome"
        await walker.until("public zone database")


async def test_a_saved_record_is_in_the_book_and_its_draft_is_gone(club_desk) -> None:
    async with walk(club_desk) as walker:
        await form(walker)
        await walker.press(*"Mill")
        assert [draft.kind for draft in club_desk.drafts.offered()] == ["form:place"]
        await walker.press("f2")
        await walker.until(lambda: not isinstance(walker.app.screen, FormScreen))
    assert club_desk.show("place", "Mill")["place"] == "Mill"
    assert not club_desk.drafts.offered()


async def test_escape_keeps_the_draft_and_the_form_takes_it_up_again(club_desk) -> None:
    async with walk(club_desk) as walker:
        await form(walker)
        await walker.press(*"Mi")
        await walker.press("escape")
        await walker.until(lambda: not isinstance(walker.app.screen, FormScreen))
        screen = await form(walker)
        assert screen._boxes["place"].text == "Mi"


async def test_what_is_wrong_is_said_beside_the_field_and_stays(club_desk) -> None:
    async with walk(club_desk) as walker:
        screen = await form(walker)
        screen._boxes["place"].box.value = "Mill"
        screen._boxes["latitude_deg"].box.value = "north"
        await walker.pilot.pause()
        await walker.press("f2")
        await walker.until("a number, such as 7.4")
        assert screen._boxes["latitude_deg"].has_focus_within
        assert club_desk.drafts.offered()


async def test_the_same_name_with_another_content_is_refused_in_a_box_and_nothing_is_lost(club_desk) -> None:
    async with walk(club_desk) as walker:
        screen = await form(walker)
        screen._boxes["place"].box.value = club.FIELD
        screen._boxes["elevation_ft"].box.value = "300"
        await walker.pilot.pause()
        await walker.press("f2")
        await walker.until("other content")
        if walker.app.screen is not screen:
            await walker.press("escape")
        assert screen._boxes["elevation_ft"].text == "300"


async def test_f6_leads_from_heading_to_heading_and_around(club_desk) -> None:
    async with walk(club_desk) as walker:
        screen = await form(walker, "person")
        await walker.press("f6")
        assert screen._boxes["brought_forward_total_min"].has_focus_within
        await walker.press("f6")
        assert screen._boxes["person"].has_focus_within


async def test_a_folder_that_cannot_take_the_draft_is_said_and_typing_goes_on(club_desk, monkeypatch) -> None:
    def full(_draft):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(club_desk.drafts, "keep", full)
    async with walk(club_desk) as walker:
        screen = await form(walker)
        await walker.press(*"Mi")
        await walker.until("No space left on device")
        assert screen._boxes["place"].text == "Mi"


@pytest.mark.parametrize("junk", ["[/] [bold]x", "\x1b[2J", "\u202eabc", "a" * 300, "\U0001f6e9"])
async def test_pasted_junk_is_shown_as_text_and_stored_or_refused_in_words(club_desk, junk) -> None:
    from textual import events

    async with walk(club_desk) as walker:
        screen = await form(walker)
        screen.focused.post_message(events.Paste(junk))
        await walker.pilot.pause()
        await walker.press("f2")
        await walker.pilot.pause()
        assert "\x1b" not in walker.text
    assert len(club_desk.records("place")) in (2, 3)
