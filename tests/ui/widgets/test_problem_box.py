"""A problem stays on the screen until it is closed, can be read whole, and can be taken along."""

import pytest

from logbook.errors import FileTrouble
from logbook.ui.copying import SENT, write_to_file
from logbook.ui.widgets.problem_box import ProblemBox
from tests.ui.screen_text import screen_text

LOCKED = FileTrouble(
    "The book is locked by another program.", next_step="Close it, then save again. Nothing was lost."
)


@pytest.mark.parametrize("size", [(80, 24), (140, 40), (60, 20), (40, 12)])
async def test_what_is_wrong_and_what_to_do_can_be_read(show, size: tuple[int, int]) -> None:
    app = show(list)
    async with app.run_test(size=size) as pilot:
        await app.push_screen(ProblemBox.of(LOCKED))
        await pilot.pause()
        words = " ".join(screen_text(app).replace("▌", " ").split())
    for part in ("! This did not work", "The book is locked", "Nothing was lost.", "Esc Back"):
        assert part in words


@pytest.mark.parametrize("key", ["enter", "escape"])
async def test_it_stays_until_it_is_closed(show, key: str) -> None:
    app = show(list)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(ProblemBox.of(LOCKED))
        await pilot.press("x", "q", "t")  # behind it, these would go elsewhere
        assert isinstance(app.screen, ProblemBox)
        await pilot.press(key)
        assert not isinstance(app.screen, ProblemBox)


async def test_a_long_report_can_be_scrolled(show) -> None:
    app = show(list)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(ProblemBox("p", "n", details="\n".join(f"row {n}" for n in range(60))))
        await pilot.pause()
        assert "row 59" not in screen_text(app)
        await pilot.press("end")
        await pilot.pause()
        assert "row 59" in screen_text(app)


async def test_it_can_be_copied_and_written_and_says_where(show, tmp_path) -> None:
    app = show(list)
    sent = []
    app.copy_to_clipboard = sent.append
    async with app.run_test(size=(80, 24)) as pilot:
        box = ProblemBox.of(LOCKED, details="[b]x\x1b")
        await app.push_screen(box)
        await pilot.press("y")
        assert sent == [box.plain_text]
        assert SENT[:20] in screen_text(app)
        await pilot.press("z")
        (path,) = (tmp_path / "state").iterdir()
        assert path.read_text(encoding="utf-8") == box.plain_text
        assert "Written to" in screen_text(app)
    assert "[b]x\\x1b" in box.plain_text


def test_a_file_is_never_written_over(tmp_path) -> None:
    first = write_to_file("one", tmp_path, "problem")
    second = write_to_file("two", tmp_path, "problem")
    assert (first.read_text(encoding="utf-8"), second.read_text(encoding="utf-8")) == ("one", "two")
    assert second.stat().st_mode & 0o777 == 0o600
