"""Every screen at three sizes, on a copy of the sample: nothing cut, nothing hidden, nothing said by colour alone."""

import re
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.widget import Widget
from textual.widgets import Static

from logbook.services.desk import Desk
from logbook.ui.actions import BY_ID as ACTION
from logbook.ui.actions import shown_key
from logbook.ui.help_text import page
from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.help import HelpScreen
from logbook.ui.widgets.head_line import HeadLine
from logbook.ui.widgets.key_line import KeyLine, shown_keys
from logbook.ui.widgets.line_list import LineList
from logbook.ui.widgets.record_table import RecordTable
from tests.ui import walk as walking
from tests.ui.stops import ALL_STOPS, FORM_STOPS, SECTION_STOPS, go, sample_desk
from tests.ui.walk import Walker, walk

LISTED = (
    *SECTION_STOPS,
    *(stop for stop in ALL_STOPS if stop.name in ("flight", "pack", "student", "defect")),
)
SIZES = ((80, 24), (140, 40), (60, 20))
STATES = ("success", "warning", "error")
DECIDES = {
    "log": "Planning aid",
    "charging": "local rules decide",
    "packs": "the pilot decide",
    "plan": "the pilot decide",
    "rates": "the pilot decide",
    "maintenance": "licensed people decide what may fly",
    "plan answered": "the pilot decide",
    "whole plan": "the pilot decide",
    "pack": "the pilot decide",
    "pack plots": "the pilot decide",
    "pack figures": "the pilot decide",
    "student": "the instructor and the flight manual decide",
    "signing": "It does not prove",
}
"""Screens whose figures could hurt somebody, and who decides instead of them."""
BESIDE = ("state", "lines", "beside")
"""Lists that only show more of what one is on in the list beside them, which says that it is empty."""
BROKEN = re.compile(
    r"Traceback|Error\b|\bNone\b(?! (yet|open|is|here|recorded))|\bnan\b|object at 0x|\[/?(bold|red|grey)\]"
)


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The sample, and time enough for all of it."""
    monkeypatch.setattr(walking, "LIMIT_S", 400)  # so many screens, on a machine with other work
    found = sample_desk(tmp_path)
    yield found
    found.book.close()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_screen_is_whole_at_every_size(desk: Desk, size: tuple[int, int]) -> None:
    wrong: list[str] = []
    async with walk(desk, size) as walker:
        for stop in ALL_STOPS:
            await go(walker, stop)
            said = [
                *_text_wrong(walker, size),
                *_keys_wrong(walker, size),
                *_cut_words(walker),
                *_cut_titles(walker),
                *_nothing_said(walker),
                *_outside(walker),
                *_colour_alone(walker),
            ]
            if stop.name in DECIDES and DECIDES[stop.name] not in walker.flat:
                said.append(f"does not say who decides: {DECIDES[stop.name]}")
            if stop in FORM_STOPS:
                said += await _hidden_fields(walker)
            if isinstance(walker.app.screen, BookScreen):
                said += await _help_wrong(walker)
            wrong += [f"{stop.name}: {words}" for words in said]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_section_of_an_empty_book_says_so(empty_desk: Desk, size: tuple[int, int]) -> None:
    wrong: list[str] = []
    async with walk(empty_desk, size) as walker:
        for stop in SECTION_STOPS:
            await go(walker, stop)
            said = [
                *_text_wrong(walker, size),
                *_keys_wrong(walker, size),
                *_cut_words(walker),
                *_nothing_said(walker),
            ]
            wrong += [f"{stop.name}: {words}" for words in said]
    assert not wrong, "\n".join(wrong)


async def test_without_colours_the_screens_say_the_same(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    coloured = await _all_texts(desk)
    monkeypatch.setenv("NO_COLOR", "1")
    plain = await _all_texts(desk)
    assert plain.keys() == coloured.keys()
    for name, text in coloured.items():
        assert plain[name] == text, name


async def test_with_plain_letters_no_screen_needs_a_font_with_lines_and_dots(desk: Desk) -> None:
    drawn = await _all_texts(desk)
    assert any("─" in text for text in drawn.values())
    desk.set("ascii", True)
    plain = await _all_texts(desk)
    strange = {
        (name, sign)
        for name, text in plain.items()
        for sign in text
        if not sign.isascii() and sign not in "°±²"
    }
    assert not strange
    assert any("#" in text for text in plain.values())  # the sign of a serious flag


async def _all_texts(desk: Desk) -> dict[str, str]:
    texts = {}
    async with walk(desk) as walker:
        for stop in ALL_STOPS:
            if stop in LISTED:
                await go(walker, stop)
                texts[stop.name] = walker.text
    return texts


# -- what can be wrong with a screen ------------------------------------------------------------------------------------


def _text_wrong(walker: Walker, size: tuple[int, int]) -> list[str]:
    """Lines that do not fit the window, and words no pilot should see."""
    lines = walker.text.split("\n")[:-1]
    said = [f"{len(lines)} lines in a window of {size[1]}"] if len(lines) != size[1] else []
    said += [f"too wide: {line!r}" for line in lines if cell_len(line) > size[0]]
    said += [
        f"runs into the edge: {line!r}" for line in lines if cell_len(line) == size[0] and line[-1].isalnum()
    ]
    return said + [
        f"broken words: {found.group()!r} in {line!r}" for line in lines if (found := BROKEN.search(line))
    ]


def _keys_wrong(walker: Walker, size: tuple[int, int]) -> list[str]:
    """A key line that is not whole."""
    lines = list(walker.app.screen.query(KeyLine))
    if not lines:
        return []
    text = walker.text.splitlines()[-1]
    shown = shown_keys(lines[0]._keys, size[0])
    whole = "  ".join(f"{key} {action.words}" for _, key, action in shown)
    said = [] if text == f" {whole}" else [f"key line is {text!r}, not {whole!r}"]
    said += [] if cell_len(text) < size[0] else ["key line reaches the edge"]
    menu = f"{shown_key(ACTION['menu'], walker.app.screen.NAME)} {ACTION['menu'].words}"
    return said + ([] if text.endswith(menu) else ["key line without the menu"])


def _cut_words(walker: Walker) -> list[str]:
    """Words of labels and paragraphs that are missing on the screen without the sign that they are cut."""
    lines = walker.text.split("\n")
    said = []
    for part in walker.app.screen.query(Static):
        if not _is_whole(part) or not str(part.render()).strip():
            continue
        box = part.content_region
        shown = "".join(line[box.x : box.right] for line in lines[box.y : box.bottom])
        wanted = "".join(str(part.render()).split())
        if "…" not in shown and "".join(shown.split()) != wanted:
            said.append(f"cut without a sign: {str(part.render())!r} as {shown!r}")
    return said


def _cut_titles(walker: Walker) -> list[str]:
    """Headings of columns, labels of fields and names of screens that lost letters, with or without the sign of it."""
    said = [
        f"column {placed.column.title!r} has only {placed.width} cells"
        for table in walker.app.screen.query(RecordTable)
        if table.region.area
        for placed in table._places()
        if cell_len(placed.column.title) > placed.width
    ]
    lines = walker.text.split("\n")
    for label in walker.app.screen.query(".label"):
        box = label.content_region
        words = str(label.render()).strip()
        if _is_whole(label) and words and words not in lines[box.y][box.x : box.right]:
            said.append(f"label {words!r} as {lines[box.y][box.x : box.right]!r}")
    said += [
        f"heading {head.heading!r} is cut"
        for head in walker.app.screen.query(HeadLine)
        if head.region.area and cell_len(head.heading) > head.size.width - 2
    ]
    return said


def _nothing_said(walker: Walker) -> list[str]:
    """Tables without a row, and lists without a line, in which no sentence says so."""
    said = []
    for table in walker.app.screen.query(RecordTable):
        sentence = table.empty.split("  ")[0][:20].strip()
        if _is_whole(table) and not table.row_count and (not sentence or sentence not in walker.flat):
            said.append(f"an empty table says nothing: {table}")
    return said + [
        f"an empty list says nothing: {lines}"
        for lines in walker.app.screen.query(LineList)
        if lines.region.area and lines.id not in BESIDE and not lines.plain_text.strip()
    ]


def _outside(walker: Walker) -> list[str]:
    """Parts that stand outside the window, or behind the edge of a part that does not scroll."""
    return [
        f"{part} lies outside at {part.region}"
        for part in walker.app.screen.query("*")
        if part.region.area
        and not part.allow_vertical_scroll
        and not _is_whole(part)
        and not any(above.allow_vertical_scroll for above in part.ancestors if isinstance(above, Widget))
    ]


def _is_whole(part: Widget) -> bool:
    """Whether all of a part is in sight."""
    if not part.is_on_screen or part.region.area == 0:
        return False
    place = part.screen.find_widget(part)
    return place.visible_region == place.region


def _colour_alone(walker: Walker) -> list[str]:
    """Rows and lines whose state would be lost where there is no colour."""
    said = []
    for table in walker.app.screen.query(RecordTable):
        for row in filter(None, (table._row(index) for index in range(min(table.row_count, 60)))):
            sign, tone = table.sign(row)
            said += [f"a row is {tone} without a sign"] if tone and not sign.strip() else []
            said += [
                f"{column.title} is {column.tone(row)} without a word"
                for column in table.columns
                if column.tone and column.tone(row) and not column.text(row).strip()
            ]
    for lines in walker.app.screen.query(LineList):
        for line in lines._lines:
            spans = [*line.head, (line.body, line.tone)]
            said += [
                f"a line is {tone} without a word"
                for text, tone in spans
                if tone in STATES and text and not text.strip()
            ]
    return said


async def _hidden_fields(walker: Walker) -> list[str]:
    """Fields that Tab leads to and that are not in sight when one is there."""
    screen = walker.app.screen
    fields, seen = list(screen.focus_chain), set()
    said = [] if fields else ["a form without fields"]
    for _ in fields:
        screen.focus_next()
        here = screen.focused
        assert here is not None
        seen.add(here)
        # the explanation of the field has its own height, and moves what is below it; most are there at once
        for _ in range(150):  # up to three seconds and more, for a busy machine
            await walker.painted()
            if _in_sight(here):
                break
            await walker.pilot.pause(0.02)
        else:
            said.append(f"{here} has the keyboard and is not in sight")
    said += [
        f"Tab never comes to {field}" for field in fields if field not in seen and field in screen.focus_chain
    ]
    return said


def _in_sight(part: Widget) -> bool:
    place = part.screen.find_widget(part)
    return place.visible_region.intersection(part.screen.region).area > 0


# -- help ---------------------------------------------------------------------------------------------------------------


async def _help_wrong(walker: Walker) -> list[str]:
    """Figures the help of a screen is silent about, or a key that opens none."""
    screen = walker.app.screen
    words = page(screen.HELP_PAGE or screen.NAME).casefold()
    said = [f"no help about {title!r}" for title in _titles(screen) if not _told(title, words)]
    if screen.NAME == "help":
        return said
    await walker.press("f9")
    opened = isinstance(walker.app.screen, HelpScreen)
    await walker.press("escape")
    return said if opened else [*said, "no help opens"]


def _titles(screen: BookScreen) -> list[str]:
    """Headings of the columns of figures."""
    return [column.title for table in screen.query(RecordTable) for column in table.columns if column.right]


def _told(title: str, words: str) -> bool:
    """Whether a page of help speaks of a heading, units aside."""
    return title.casefold().removesuffix(" %").removesuffix(" kwh") in words
