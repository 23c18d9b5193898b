"""The start does nothing twice and nothing before it is needed: counted, not timed, so that any machine can tell."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from textual._compositor import Compositor
from textual.css.stylesheet import Stylesheet
from textual.geometry import Region
from textual.strip import Strip

from logbook.paths import sample_file
from logbook.services.desk import Desk
from logbook.ui.app import LogbookApp
from logbook.ui.widgets.line_list import LineList

MOST_MODULES = 56
"""Modules of ours that are loaded for Today, the command line included."""

_START = """
import asyncio, gc, sys
from logbook.cli.grammar import parse
from logbook.ui.first_paint import hurry
hurry()
options = parse(["--file", sys.argv[1]])
from logbook.services.desk import Desk
from logbook.ui.app import LogbookApp
async def paint():
    async with LogbookApp(Desk.at(options.file)).run_test(size=(140, 40)) as pilot:
        await pilot.pause()
        print(*(name for name in sys.modules if name.split(".")[0] in ("logbook", "argparse", "platformdirs")))
        print(gc.isenabled(), gc.get_freeze_count() > 0)
asyncio.run(paint())
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "book.logbook"
    path.write_bytes(sample_file().read_bytes())
    return path


@pytest.fixture
def started(book: Path) -> list[str]:
    """What a fresh process has loaded when Today is painted, and how it stands with the collector."""
    done = subprocess.run(
        [sys.executable, "-c", _START, str(book)], capture_output=True, text=True, check=True, timeout=60
    )
    return done.stdout.splitlines()


def test_modules_that_today_does_not_need_are_not_loaded_for_it(started: list[str]) -> None:
    loaded = started[0].split()
    needless = ("argparse", "logbook.domain", "logbook.energy", "logbook.planning", "logbook.exchange")
    assert [name for name in loaded if name.startswith(needless)] == []
    assert {name for name in loaded if name.startswith("logbook.rules")} == {
        "logbook.rules",
        "logbook.rules.edition",
    }
    screens = {name for name in loaded if name.startswith("logbook.ui.screens.")}
    assert screens == {f"logbook.ui.screens.{name}" for name in ("base", "today", "today_lines")}
    assert len([name for name in loaded if name.startswith("logbook")]) <= MOST_MODULES


def test_the_collector_works_again_once_the_first_screen_is_painted(started: list[str]) -> None:
    assert started[1] == "True True"


class Watched:
    """What happened until Today was painted for the first time."""

    def __init__(self) -> None:
        self.read_again = 0
        self.first: dict[str, int] = {}
        """Of each list, how many rows with words it showed."""


@pytest.fixture
def watched(monkeypatch: pytest.MonkeyPatch) -> Watched:
    seen = Watched()
    reparse, render_lines = Stylesheet.reparse, LineList.render_lines

    def counting(self: Stylesheet) -> None:
        seen.read_again += 1
        reparse(self)

    def painting(self: LineList, crop: Region) -> list[Strip]:
        strips = render_lines(self, crop)
        rows = sum(1 for strip in strips if strip.text.strip())
        seen.first.setdefault(str(self.id), rows)
        return strips

    monkeypatch.setattr(Stylesheet, "reparse", counting)
    monkeypatch.setattr(LineList, "render_lines", painting)
    return seen


async def test_today_is_not_painted_into_nothing_while_the_library_starts(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = LogbookApp(Desk.at(book))
    painted: list[bool] = []
    render = Compositor.render_update

    def rendering(self: Compositor, *given: Any, **named: Any) -> Any:
        painted.append(bool(app._batch_count))
        return render(self, *given, **named)

    monkeypatch.setattr(Compositor, "render_update", rendering)
    async with app.run_test(size=(140, 40)) as pilot:
        await pilot.pause()
    assert painted
    assert not any(painted)


@pytest.mark.parametrize(("size", "lists"), [((140, 40), {"waiting", "state"}), ((80, 24), {"waiting"})])
async def test_the_first_paint_shows_everything_and_no_sheet_is_read_twice(
    book: Path, watched: Watched, size: tuple[int, int], lists: set[str]
) -> None:
    async with LogbookApp(Desk.at(book)).run_test(size=size) as pilot:
        await pilot.pause()
    assert watched.first.keys() == lists
    assert min(watched.first.values()) > 5
    assert watched.read_again == 0
