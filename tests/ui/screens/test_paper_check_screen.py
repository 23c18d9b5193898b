"""Checking an issued paper on the screen: the answer stands under the path, with a sign and in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from logbook.services.correct import correct
from logbook.services.export_pages import paper_of
from logbook.services.paper_out import write_paper_to
from logbook.ui.screens.paper_check import PaperCheckScreen
from logbook.ui.widgets.line_list import LineList
from logbook.ui.widgets.path_input import PathInput
from logbook.ui.widgets.plain import PlainText
from tests import club
from tests.ui.walk import walk

SIZES = [(60, 20), (80, 24), (140, 40)]


async def check(walker, path: Path) -> PaperCheckScreen:
    walker.app.push_screen(PaperCheckScreen())
    await walker.until(
        lambda: isinstance(walker.app.screen, PaperCheckScreen) and walker.app.screen.query("#path")
    )
    walker.app.screen.query_one("#path", PathInput).value = str(path)
    await walker.press("enter")
    return walker.app.screen


@pytest.mark.parametrize("size", SIZES)
async def test_a_paper_is_unchanged_until_a_record_behind_it_is_corrected(
    busy_desk, size, tmp_path: Path
) -> None:
    target = tmp_path / "pack.html"
    write_paper_to(target, paper_of(busy_desk.book, "pack", club.P1), "html")
    async with walk(busy_desk, size, first="exports") as walker:
        await check(walker, target)
        await walker.until("ok UNCHANGED SINCE ISSUE")
        flight = next(row["flight_id"] for row in _flights(busy_desk.book))
        correct(busy_desk.book, "flight", flight, {f"{club.P1}.soh_pct": 91.5}, by=club.ADA, why="misread")
        await walker.press("enter")
        await walker.until("! CHANGED SINCE ISSUE: flights")
        lines = walker.app.screen.query_one(LineList)._lines
        assert any(flight in line.body and "became 91.5" in line.body for line in lines)


def _flights(book):
    from logbook.services.questions import list_flights
    from logbook.store.flights import FlightFilter

    return list_flights(book, FlightFilter(pack=club.P1, limit=1))


async def test_what_is_no_paper_is_refused_under_the_path_and_another_path_clears_it(
    busy_desk, tmp_path: Path
) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear all")
    async with walk(busy_desk, (80, 24), first="exports") as walker:
        screen = await check(walker, letter)
        await walker.until("it is no paper of this")
        await walker.press("x")
        await walker.until(lambda: not str(screen.query_one("#wrong", PlainText).content))
        await walker.press("enter")
        await walker.until("There is nothing at")


async def test_it_is_opened_from_exports(busy_desk) -> None:
    async with walk(busy_desk, (80, 24), first="exports") as walker:
        await walker.until("Check a paper")
        await walker.press("end", "enter")
        await walker.until("Is an issued paper still true?")


@pytest.mark.parametrize("size", SIZES)
async def test_papers_that_were_issued_stand_there_until_a_file_is_checked(
    busy_desk, size, tmp_path: Path
) -> None:
    (text,) = (path for path in _written(busy_desk, tmp_path) if path.suffix == ".txt")
    async with walk(busy_desk, size, first="exports") as walker:
        walker.app.push_screen(PaperCheckScreen())
        await walker.until("Papers issued from this book: 1, newest first")
        await walker.until("ok Component record of pack LARK-01, as of")
        assert "UNCHANGED SINCE ISSUE" in _answer(walker)
        walker.app.screen.query_one("#path", PathInput).value = str(text)
        await walker.press("enter")
        await walker.until("Its text is as issued.")
        assert "Papers issued" not in _answer(walker)
        walker.app.screen.query_one("#path", PathInput).value = ""
        await walker.until("Papers issued from this book: 1")


async def test_a_changed_paper_of_the_list_is_named_with_its_sign(busy_desk, tmp_path: Path) -> None:
    _written(busy_desk, tmp_path)
    flight = next(row["flight_id"] for row in _flights(busy_desk.book))
    correct(busy_desk.book, "flight", flight, {f"{club.P1}.soh_pct": 91.5}, by=club.ADA, why="misread")
    async with walk(busy_desk, (140, 40), first="exports") as walker:
        walker.app.push_screen(PaperCheckScreen())
        await walker.until("! Component record of pack LARK-01")
        assert "CHANGED SINCE ISSUE: flights" in _answer(walker)


async def test_a_book_that_issued_none_says_so(busy_desk) -> None:
    async with walk(busy_desk, (80, 24), first="exports") as walker:
        walker.app.push_screen(PaperCheckScreen())
        await walker.until("No paper was issued from this book yet")


def _written(desk, folder: Path) -> list[Path]:
    return desk.packs.write_papers("pack", club.P1, {"folder": str(folder)}).files


def _answer(walker) -> str:
    return walker.app.screen.query_one(LineList).plain_text
