"""The list of packs: every pack with its state in words, and a paper in a few keys."""

from pathlib import Path

import pytest

from logbook.services.pack_standing import set_state
from logbook.ui.screens.form import FormScreen
from logbook.ui.screens.pack import PackScreen
from tests import club
from tests.ui.screens.reading import fill, pick, told
from tests.ui.walk import Walker, walk


async def at_packs(walker: Walker) -> None:
    await walker.press("p")
    await walker.until(lambda: walker.app.screen.NAME == "packs" and walker.app.screen.lines)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)])
async def test_every_pack_is_listed_by_serial_number_with_place_and_charge(busy_desk, size) -> None:
    async with walk(busy_desk, size) as walker:
        await at_packs(walker)
        rows = [line for line in walker.text.splitlines() if "LARK-0" in line[:12]]
    assert [row.split()[0].strip("▸") or row.split()[1] for row in rows][:4] == [
        club.P1,
        club.P2,
        club.P3,
        club.P4,
    ]
    assert "X-WATT front" in rows[0]
    assert "20 %" in rows[0]  # the landing of the last flight


async def test_a_wide_window_shows_life_and_capacity_beside_the_list(busy_desk) -> None:
    async with walk(busy_desk, (140, 40)) as walker:
        await at_packs(walker)
        await walker.until("Usable as flown")
        await walker.until(lambda: "working …" not in walker.flat)
        text = walker.flat
    assert "Life left" in text
    assert "Usable capacity as flown" in text
    assert "No limit is set for this pack." in text


async def test_a_pack_that_may_not_fly_says_so_in_words_and_signs(busy_desk) -> None:
    set_state(busy_desk.book, club.P2, "quarantined", why="swollen", at="2031-06-29T08:00Z")
    club.put(
        busy_desk.book,
        "defect",
        {"serial_no": club.P3, "found": "2031-06-29T09:00Z", "text": "hard landing", "needs_inspection": 1},
    )
    async with walk(busy_desk) as walker:
        await at_packs(walker)
        rows = {line[3:10]: line for line in walker.text.splitlines() if "LARK-0" in line[:12]}
    assert rows[club.P2][1] == "‼"
    assert "QUARANTINED" in rows[club.P2]
    assert rows[club.P3][1] == "‼"
    assert "INSPECT" in rows[club.P3]
    assert "‼" not in rows[club.P1]


async def test_a_record_on_paper_takes_eight_keys_at_most_from_today(busy_desk, tmp_path: Path) -> None:
    busy_desk.packs.learned["paper_folder"] = str(tmp_path / "papers")
    keys = 0

    async def press(walker: Walker, key: str) -> None:
        nonlocal keys
        keys += 1
        await walker.press(key)

    async with walk(busy_desk) as walker:
        await press(walker, "p")
        await walker.until(lambda: walker.app.screen.NAME == "packs" and walker.app.screen.lines)
        await press(walker, "down")
        await press(walker, "z")
        await walker.until(lambda: isinstance(walker.app.screen, FormScreen))
        await press(walker, "f2")
        await walker.until(lambda: len(list((tmp_path / "papers").glob("*"))) == 3)
        await walker.until(lambda: "Written: pack-LARK-02" in told(walker))
    assert keys <= 8
    written = {path.suffix: path for path in (tmp_path / "papers").iterdir()}
    text = written[".txt"].read_text(encoding="utf-8")
    assert "Component record: battery pack LARK-02" in text
    assert "not a release to service" in text
    assert written[".html"].read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert written[".html"].stat().st_mode & 0o077 == 0


async def test_a_second_paper_of_the_day_stands_beside_the_first(busy_desk, tmp_path: Path) -> None:
    first = busy_desk.packs.write_papers("pack", club.P1, {"folder": str(tmp_path)}).files
    second = busy_desk.packs.write_papers("pack", club.P1, {"folder": str(tmp_path)}).files
    assert len({*first, *second}) == 6
    assert all(path.exists() for path in (*first, *second))


async def test_keys_lead_into_the_part_of_the_pack_they_name(busy_desk) -> None:
    async with walk(busy_desk) as walker:
        await at_packs(walker)
        await walker.press("g")
        await walker.until(lambda: isinstance(walker.app.screen, PackScreen))
        await walker.until("Plot 1 of 4")
        await walker.press("escape", "escape")
        await walker.until(lambda: walker.app.screen.NAME == "packs")
        await walker.press("u")
        await walker.until("Usable capacity: where it comes from")


async def test_a_book_without_packs_says_how_to_add_one(empty_desk) -> None:
    club.put(empty_desk.book, "aircraft", club.aircraft())
    async with walk(empty_desk) as walker:
        await walker.press("p")
        await walker.until("No pack is in the book yet: a adds one.")


async def test_a_swap_at_the_wrong_time_is_asked_about_kept_and_taken_back(busy_desk) -> None:
    before = [line.row["aircraft"] for line in busy_desk.packs.lines()]
    async with walk(busy_desk, (80, 24)) as walker:
        await at_packs(walker)
        await walker.press("f3")
        await pick(walker, "swap")
        await fill(walker, second=club.P3, at="2031-05-01 0800")
        await walker.until("By the record")
        assert "save once more to keep it" in walker.flat
        assert [line.row["aircraft"] for line in busy_desk.packs.lines()] == before
        await walker.press("f2")
        await walker.until(lambda: not isinstance(walker.app.screen, FormScreen))
        assert "they do not count for it" in told(walker)
        assert [line.row["aircraft"] for line in busy_desk.packs.lines()] != before
        await walker.press("f3")
        await pick(walker, "back")
        await fill(walker)
        await walker.until(lambda: "again, since" in told(walker))
    assert [line.row["aircraft"] for line in busy_desk.packs.lines()] == before
