"""Maintenance: defects, what falls due, entries, components, and the page for an inspector."""

from pathlib import Path

import pytest

from logbook.ui.screens.defect import DefectScreen
from logbook.ui.screens.form import FormScreen
from logbook.ui.screens.pack import PackScreen
from tests import club
from tests.ui.screens.reading import fill, lines, pick, told
from tests.ui.walk import Walker, walk


@pytest.fixture
def kept_desk(busy_desk):
    """The club with an annual inspection past due, a propeller with a limit, and a hundred hours to come."""
    book = busy_desk.book
    annual = {
        "aircraft": club.WATT,
        "work": "annual inspection",
        "text": "no findings",
        "done_by": "Dan Holt",
    }
    club.put(book, "maintenance", annual | {"completed": "2030-06-01T09:00Z", "next_due_date": "2031-06-01"})
    hundred = {"aircraft": club.VOLT, "work": "hundred hours", "text": "oil-free", "next_due_hours": 100}
    club.put(book, "maintenance", hundred | {"completed": "2031-05-01T09:00Z"})
    club.put(
        book,
        "component",
        {"component_id": "C-1", "aircraft": club.WATT, "name": "propeller", "limit_hours": 1},
    )
    return busy_desk


async def at_maintenance(walker: Walker) -> None:
    await walker.press("m")
    await walker.until(lambda: walker.app.screen.NAME == "maintenance" and walker.app.screen.board)
    await walker.until(lambda: not walker.app.screen.waiting)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_defects_stand_first_in_words_and_as_they_were_written(kept_desk, size) -> None:
    async with walk(kept_desk, size) as walker:
        await at_maintenance(walker)
        text = lines(walker)
    assert "Defects: 2 not closed" in text
    assert "open: Brake [red]drags\\x1b[2J" in text
    assert "deferred until 2031-07-05: Radio hiss (in 5 d)" in text


async def test_what_is_past_due_says_so_by_date_and_by_hours(kept_desk) -> None:
    async with walk(kept_desk, (140, 50)) as walker:
        await at_maintenance(walker)
        text = lines(walker)
    assert "PAST DUE: annual inspection of X-WATT, 29 d past" in text
    assert "PAST DUE: propeller by hours of X-WATT: 1.0 h past, limit 1, now 2.0" in text
    assert "hundred hours by hours of X-VOLT: 99.5 h left, limit 100, now 0.5" in text
    assert "limit 1 h, PASSED" in text
    assert "medical" not in text  # what people hold is not maintenance


async def test_a_deferred_defect_past_its_day_is_no_longer_valid(kept_desk) -> None:
    late = {"aircraft": club.VOLT, "found": "2031-05-01T09:00Z", "text": "Tyre worn", "state": "deferred"}
    club.put(kept_desk.book, "defect", late | {"deferred_until": "2031-06-15"})
    async with walk(kept_desk, (140, 40)) as walker:
        await at_maintenance(walker)
        assert "NO LONGER VALID, deferred until 2031-06-15: Tyre worn" in lines(walker)


async def test_a_defect_is_deferred_with_day_basis_and_name_then_closed_by_an_entry(kept_desk) -> None:
    async with walk(kept_desk) as walker:
        await at_maintenance(walker)
        await walker.press("enter")
        await walker.until(lambda: isinstance(walker.app.screen, DefectScreen))
        defect = walker.app.screen.record_id
        await walker.press("f3")
        await fill(
            walker, deferred_until="2031-08-01", deferred_basis="day flights only", deferred_by="Dan Holt"
        )
        await walker.until(lambda: "Deferred until 2031-08-01." in told(walker))
        shown = kept_desk.show("defect", defect)
        assert (shown["state"], shown["deferred_by"]) == ("deferred", "Dan Holt")
        assert shown["versions"]
        await walker.press("f4")
        await pick(walker, "repair")
        await fill(walker, text="linings renewed", done_by="Dan Holt", completed="2031-06-30 1000")
        await walker.until("Closed by maintenance entry")
    assert kept_desk.show("defect", defect)["state"] == "closed"


async def test_an_entry_closes_a_defect_and_moves_what_falls_due(kept_desk) -> None:
    async with walk(kept_desk, (140, 50)) as walker:
        await at_maintenance(walker)
        await walker.press("a")
        await pick(walker, "maintenance")
        await pick(walker, "inspection")
        await fill(walker, of="x-watt", work="annual inspection", text="no findings", completed="2031-06-30 1000",
                   next_due_date="2032-06-30")  # fmt: skip
        await walker.until(lambda: "Entry recorded for X-WATT" in told(walker))
        await walker.until(lambda: "annual inspection of X-WATT, in 366 d" in lines(walker))
        assert "PAST DUE: annual inspection" not in lines(walker)


async def test_a_defect_that_grounds_is_told_and_stands_on_top(kept_desk) -> None:
    kept_desk.set("operator", club.BEN)
    async with walk(kept_desk, (140, 40)) as walker:
        await at_maintenance(walker)
        await walker.press("a")
        await pick(walker, "defect")
        await fill(walker, of=club.VOLT, text="water in the bay", needs_inspection="yes")
        await walker.until(lambda: "X-VOLT is grounded: inspection before next use" in told(walker))
        await walker.until(lambda: "INSPECTION BEFORE NEXT USE: water in the bay" in lines(walker))
    newest = kept_desk.records("defect")[0]
    assert (newest["found_by"], newest["found"]) == (club.BEN, club.NOW)


async def test_a_pack_that_got_too_hot_stands_on_top_until_an_entry_for_it(kept_desk) -> None:
    hot = [club.reading(club.P1, temp_max_c=58), club.reading(club.P2)]
    club.put(kept_desk.book, "flight", club.flight_at(9, "HOT", day="2031-06-22", readings=hot))
    async with walk(kept_desk, (80, 24)) as walker:
        await at_maintenance(walker)
        assert "LARK-01: too hot on 2031-06-22: inspection before next use" in lines(walker)
        seen = {"serial_no": club.P1, "text": "cells even, no swelling", "completed": "2031-06-23T09:00Z"}
        club.put(kept_desk.book, "maintenance", seen)
        walker.app.screen.refill()
        await walker.until(lambda: "too hot" not in lines(walker))


async def test_the_board_narrows_to_one_thing_and_comes_back(kept_desk) -> None:
    async with walk(kept_desk, (140, 40)) as walker:
        await at_maintenance(walker)
        await walker.press("i")
        await pick(walker, club.VOLT)
        await walker.until("Maintenance of X-VOLT")
        assert "X-WATT" not in lines(walker)
        await walker.press("escape")
        await walker.until(lambda: "propeller by hours of X-WATT" in lines(walker))


async def test_the_page_for_an_inspector_is_written_as_of_a_day(kept_desk, tmp_path: Path) -> None:
    kept_desk.packs.learned["paper_folder"] = str(tmp_path / "papers")
    async with walk(kept_desk) as walker:
        await at_maintenance(walker)
        await walker.press("z")
        await fill(walker, which="x-watt", as_of="2031-06-10")
        await walker.until((tmp_path / "papers" / "aircraft-X-WATT-2031-06-10.txt").exists)
        await walker.until(lambda: "Written: aircraft-X-WATT" in told(walker))
    text = (tmp_path / "papers" / "aircraft-X-WATT-2031-06-10.txt").read_text(encoding="utf-8")
    assert "2031-06-10" in text
    assert "Brake" not in text  # found on the 21st


async def test_a_folder_that_cannot_be_written_stays_in_a_box(kept_desk, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    async with walk(kept_desk) as walker:
        await at_maintenance(walker)
        await walker.press("z")
        await fill(walker, which="x-watt", folder=str(tmp_path / "file" / "below"))
        await walker.until("cannot be written")


async def test_a_pack_limit_that_falls_due_opens_the_pack(kept_desk) -> None:
    kept_desk.correct("pack", club.P1, {"limit_date": "2031-06-02"}, why="log card")
    async with walk(kept_desk, (140, 40)) as walker:
        await at_maintenance(walker)
        await walker.until(lambda: "pack limit of LARK-01" in lines(walker))
        walker.app.screen.on_line_list_selected(_Selected(("pack", club.P1)))
        await walker.until(lambda: isinstance(walker.app.screen, PackScreen))


class _Selected:
    """A line that was opened."""

    def __init__(self, target: tuple[str, str]) -> None:
        self.target = target

    def stop(self) -> None:
        """Nothing above wants it."""


async def test_an_entry_that_was_begun_is_offered_again_with_everything_typed(kept_desk) -> None:
    async with walk(kept_desk) as walker:
        await at_maintenance(walker)
        await walker.press("a")
        await pick(walker, "maintenance")
        await pick(walker, "repair")
        await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
        walker.app.screen._boxes["text"].box.value = "linings renewed"
        await walker.pilot.pause()
        await walker.press("escape", "t")
        await walker.until("Unfinished entries")
        draft = kept_desk.unfinished()[0]
        walker.app.go_on(draft)
        await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
        await walker.until("linings renewed")
        await fill(walker, of="x-watt", completed="2031-06-30 1000")
        await walker.until(lambda: "Entry recorded for X-WATT" in told(walker))
    assert kept_desk.unfinished() == []
    assert kept_desk.records("maintenance")[0]["text"] == "linings renewed"
