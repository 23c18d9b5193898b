"""The app: sections by letter and by menu, help everywhere, one look at who is at the keys, a whole book at the end."""

import re
from pathlib import Path

import pytest

from logbook.ui.actions import SECTIONS, actions_of
from logbook.ui.app import LogbookApp
from logbook.ui.help_text import FOLDER, blocks, page
from logbook.ui.screens.menu import picks_of
from logbook.ui.sections import RECORD_SCREENS, SECTION_SCREENS
from logbook.ui.widgets.pick_box import Pick, PickBox, matching
from tests import club
from tests.ui.walk import walk


def test_every_section_has_a_screen() -> None:
    assert set(SECTION_SCREENS) == set(SECTIONS)


@pytest.mark.parametrize("section", SECTIONS)
async def test_every_section_opens_by_its_name_and_has_something_for_every_key(busy_desk, section) -> None:
    async with walk(busy_desk) as walker:
        walker.app.action_go(section)
        screen = walker.app.get_screen(section)
        await walker.until(lambda: screen in walker.app.screen_stack and screen.is_mounted)
        for action in actions_of(screen.NAME):
            name = "action_go" if action.id.startswith("go.") else f"action_{action.call}"
            assert hasattr(screen, name) or hasattr(walker.app, name), action.id
        assert section == screen.SECTION


@pytest.mark.parametrize("section", SECTIONS)
def test_every_section_has_a_page_of_help_written_for_it(section) -> None:
    screen = SECTION_SCREENS[section].load()
    assert page(screen.HELP_PAGE or screen.NAME), f"ui/help/{screen.HELP_PAGE or screen.NAME}.md is missing"


@pytest.mark.parametrize("kind", RECORD_SCREENS)
def test_every_screen_of_a_record_has_something_for_every_key_and_a_page_of_help(kind) -> None:
    screen = RECORD_SCREENS[kind].load()
    assert page(screen.HELP_PAGE or screen.NAME)
    for action in actions_of(screen.NAME):
        if not action.id.startswith("go."):
            assert hasattr(screen, f"action_{action.call}") or hasattr(LogbookApp, f"action_{action.call}"), (
                action.id
            )


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.md")), ids=lambda path: path.stem)
def test_a_page_of_help_begins_with_its_heading_and_fits_its_marks(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    found = blocks(text)
    assert found[0].what == "heading"
    assert not re.search(r"[*`_]{2}|\]\(", text), "only headings, points and paragraphs are drawn"


async def test_letters_lead_to_sections_and_back(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await walker.press("f")
        await walker.until("[Flights]")
        await walker.press("s")
        await walker.until("[Setup]")
        await walker.press("t")
        await walker.until("[Today]")
        assert len(walker.app.screen_stack) == 2  # nothing piles up


async def test_the_head_line_names_book_operator_and_the_time_of_the_look(busy_desk) -> None:
    busy_desk.set("operator", club.BEN)
    async with walk(busy_desk) as walker:
        line = walker.text.splitlines()[1]
    assert "book.logbook · Ben Marsh · 2031-06-30 12:00 UTC" in line


async def test_where_room_is_short_the_time_stays_whole(busy_desk) -> None:
    async with walk(busy_desk, (40, 20)) as walker:
        assert walker.text.splitlines()[1].endswith("2031-06-30 12:00 UTC")


async def test_what_can_be_done_is_found_in_the_menu_by_typing(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await walker.press("f8")
        await walker.until("What can be done here")
        await walker.press(*"book of", "enter")
        await walker.until("[Flights]")


async def test_the_menu_holds_everything_the_screen_can_do(busy_desk) -> None:
    async with walk(busy_desk, first="flights") as walker:
        await walker.press("f8")
        box = walker.app.screen
        assert isinstance(box, PickBox)
        assert [pick.value for pick in box._picks] == [pick.value for pick in picks_of("flights")]
        assert {pick.value for pick in box._picks} | {"menu"} == {
            action.id for action in actions_of("flights")
        }


def test_a_word_at_the_beginning_goes_before_one_in_the_help() -> None:
    picks = [Pick("1", "Export", "write flights"), Pick("2", "Flights", "the book"), Pick("3", "Log flights")]
    assert [pick.value for pick in matching(picks, "flights")] == ["2", "3", "1"]
    assert matching(picks, "nothing such") == []


async def test_help_explains_the_screen_and_lists_its_keys(busy_desk) -> None:
    async with walk(busy_desk, (80, 60)) as walker:
        await walker.press("h")
        await walker.until("Today: is anything wrong, and who is out?")
        await walker.press("escape")
        await walker.until("Out now")


async def test_who_is_at_the_keys_is_picked_and_kept(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await walker.press("b")
        await walker.until("Who is at the keys?")
        await walker.press(*"cle", "enter")
        await walker.until(f"· {club.CLEO} ·")
    assert busy_desk.operator == club.CLEO


async def test_a_name_the_book_does_not_know_may_be_typed(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await walker.press("b")
        await walker.until("Who is at the keys?")
        await walker.press(*"[bo]", "enter")
        await walker.until("· [bo] ·")


async def test_the_look_is_the_one_that_was_set(busy_desk) -> None:
    busy_desk.set("theme", "logbook-light")
    busy_desk.set("ascii", True)
    async with walk(busy_desk) as walker:
        assert walker.app.theme == "logbook-light"
        assert "━" not in walker.text
        assert "▸" not in walker.text


async def test_q_leaves(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await walker.press("q")
        assert walker.app._exit


async def test_a_defect_in_a_slow_question_ends_in_a_report_and_not_in_silence(busy_desk, tmp_path) -> None:
    with pytest.raises(ZeroDivisionError):  # noqa: PT012 - it comes out where the app ends
        async with walk(busy_desk) as walker:
            walker.app.crash_folder = tmp_path / "reports"
            walker.app.screen.ask("x", lambda _: 1 // 0, print)
            await walker.until(lambda: not walker.app.is_running)
    assert len(list((tmp_path / "reports").iterdir())) == 1


async def test_a_locked_book_is_said_in_a_box_that_stays(busy_desk, monkeypatch) -> None:
    from logbook.errors import FileTrouble

    def locked(_desk):
        raise FileTrouble("The book is locked.", next_step="Close the other program.")

    async with walk(busy_desk) as walker:
        monkeypatch.setattr(type(busy_desk), "today", locked)
        await walker.press("f", "t")
        await walker.until("The book is locked. Close the other program.")
        monkeypatch.undo()
        await walker.press("escape")
        await walker.until("Out now")
