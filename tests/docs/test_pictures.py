"""The pictures in the documents say what the program shows now."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.docs.pages import PAGES, links
from tests.docs.pictures import FOLDER, PICTURES, draw, only_words, words

AGAIN = "draw them again: python -m tests.docs.pictures"


@pytest.fixture(autouse=True)
def _no_foreign_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TEXTUAL_ANIMATIONS", "none")


@pytest.mark.parametrize("picture", PICTURES.values(), ids=PICTURES)
async def test_a_picture_says_what_the_screen_says_now(picture, tmp_path: Path) -> None:
    kept = words((FOLDER / f"{picture.name}.svg").read_text(encoding="utf-8"))
    svg, text = await draw(picture, tmp_path)
    shown = [line for line in map(only_words, text.splitlines()) if line]
    assert words(svg) == shown, "the words are not read off the picture as they are"
    assert kept == shown, AGAIN


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_fetches_nothing_and_runs_nothing(name: str) -> None:
    svg = (FOLDER / f"{name}.svg").read_text(encoding="utf-8")
    for word in ("url(http", 'url("http', "<script", "href="):
        assert word not in svg


def test_every_picture_that_is_kept_is_shown_somewhere_and_drawn_by_the_script() -> None:
    shown = {
        (page.parent / link).resolve() for page in PAGES for link in links(page) if link.endswith(".svg")
    }
    assert shown == set(FOLDER.glob("*.svg")) == {FOLDER / f"{name}.svg" for name in PICTURES}
