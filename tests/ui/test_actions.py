"""Keys mean the same everywhere, and what is promised at the bottom is there."""

import re

import pytest
from rich.cells import cell_len

from logbook.ui.actions import (
    ACTIONS,
    BOXES,
    BY_ID,
    FOOTER_KEYS,
    FORMS,
    OF_EACH_FORM,
    SECTIONS,
    bindings_of,
    footer_of,
    is_typed,
)
from logbook.ui.widgets.key_line import KeyLine, shown_keys
from logbook.ui.widgets.section_bar import TITLES, SectionBar
from tests.ui.screen_text import screen_text

SCREENS = sorted({screen for action in ACTIONS for screen in action.screens} | set(SECTIONS))
# A letter; F2 to F9; Enter, Escape; the question mark beside a letter.
ALLOWED = re.compile(r"[a-z]|f[2-9]|enter|escape|question_mark")


def test_a_key_means_the_same_everywhere_but_for_a_few_that_each_form_has_for_itself() -> None:
    owners: dict[str, set[str]] = {}
    for action in ACTIONS:
        for key in action.keys:
            owners.setdefault(key, set()).add(action.id)
    assert {key: ids for key, ids in owners.items() if len(ids) > 1 and key not in OF_EACH_FORM} == {}
    assert len(BY_ID) == len(ACTIONS)


@pytest.mark.parametrize("screen", SCREENS)
def test_on_one_screen_a_key_does_one_thing(screen: str) -> None:
    keys = [key for binding in bindings_of(screen) for key in binding.key.split(",")]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("action", ACTIONS, ids=lambda action: action.id)
def test_every_action_can_be_pressed_shown_and_explained(action) -> None:
    assert all(ALLOWED.fullmatch(key) for key in action.keys)
    assert 0 < cell_len(action.words) <= 10
    assert action.help.endswith((".", "?"))
    assert len(action.help.split()) >= 3


@pytest.mark.parametrize("screen", SCREENS)
def test_the_line_of_keys_is_whole_at_eighty_columns(screen: str) -> None:
    keys = footer_of(screen)
    assert len(keys) <= FOOTER_KEYS
    assert keys[0][1].id == ("back" if screen in BOXES else "help")
    placed = shown_keys(keys, 80)
    assert len(placed) == len(keys)
    column, key, action = placed[-1]
    assert column + len(key) + 1 + cell_len(action.words) < 80


@pytest.mark.parametrize("screen", FORMS)
def test_in_a_form_no_letter_is_taken_from_the_fields(screen: str) -> None:
    keys = [key for binding in bindings_of(screen) for key in binding.key.split(",")]
    assert keys
    assert not [key for key in keys if is_typed(key)]
    assert not [key for key, _ in footer_of(screen) if len(key) == 1]


@pytest.mark.parametrize("screen", SCREENS)
def test_every_key_at_the_bottom_is_bound(screen: str) -> None:
    bound = {binding.id for binding in bindings_of(screen)}
    assert {action.id for _, action in footer_of(screen)} <= bound


@pytest.mark.parametrize(("width", "whole"), [(80, True), (140, True), (40, False)])
async def test_keys_that_do_not_fit_leave_whole_and_the_menu_stays(show, width: int, whole: bool) -> None:
    app = show(lambda: [KeyLine("flights")])
    async with app.run_test(size=(width, 5)):
        line = screen_text(app).splitlines()[-1]
    words = [f"{key} {action.words}" for key, action in footer_of("flights")]
    shown = [word for word in words if word in line]
    assert line.split("  ") == [" " + shown[0], *shown[1:]]  # nothing but whole keys
    assert (shown == words) is whole
    assert "F8 Menu" in shown


@pytest.mark.parametrize("screen", BOXES)
def test_behind_an_open_box_nothing_can_be_started(screen: str) -> None:
    assert not [
        binding for binding in bindings_of(screen) if binding.id.startswith("go.") or binding.id == "quit"
    ]


async def test_every_section_is_seen_at_eighty_columns_with_the_current_one_in_brackets(show) -> None:
    app = show(lambda: [SectionBar("packs")])
    async with app.run_test(size=(80, 5)):
        line = screen_text(app).splitlines()[0]
    assert [line.count(title) for title in TITLES.values()] == [1] * len(SECTIONS)
    assert "[Packs]" in line


async def test_in_a_narrow_terminal_the_current_section_comes_first(show) -> None:
    app = show(lambda: [SectionBar("setup")])
    async with app.run_test(size=(40, 5)):
        line = screen_text(app).splitlines()[0]
    assert line.startswith(" [Setup] ")


@pytest.mark.parametrize("section", SECTIONS)
def test_the_letter_of_a_section_is_in_its_name(section: str) -> None:
    assert BY_ID[f"go.{section}"].keys[0] in TITLES[section].lower()


async def test_a_click_on_a_key_does_what_the_key_does(show) -> None:
    app = show(lambda: [KeyLine("flights")])
    done: list[str] = []

    async with app.run_test(size=(80, 5)) as pilot:
        app.screen.action_add = lambda: done.append("add")
        column = screen_text(app).splitlines()[-1].index("Add")
        await pilot.click(KeyLine, offset=(column, 0))
    assert done == ["add"]
