"""The pictures of the documents: real screens on the sample at a fixed time. `python -m tests.docs.pictures [NAME …]`.

They are what Textual itself draws, as SVG, so that no font of this or that machine decides how they look. A test compares their
words with what the program shows now; colours and curves may move without anybody having to draw them again.
"""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Final, NamedTuple
from xml.etree import ElementTree as ET

from logbook.paths import sample_file
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.store.database import Book
from tests.docs.pages import DOCS
from tests.ui.walk import Walker, walk

FOLDER: Final = DOCS / "pictures"
NOW: Final = datetime(2026, 11, 16, 9, 0, tzinfo=UTC)
LINE_HEIGHT: Final = 24.4
_REMOTE_FONT = re.compile(r',?\s*url\("https?://[^"]*"\)\s*format\("[^"]*"\)')
_BUTTONS = re.compile(r"<g transform=\"translate\(26,22\)\">.*?</g>", re.DOTALL)
_COMMENT = re.compile(r"\s*<!--.*?-->")


class Picture(NamedTuple):
    """One picture: how big the window is, and what leads to the screen."""

    name: str
    size: tuple[int, int]
    keys: tuple[str, ...]
    shows: str
    """Words that are there once the screen is complete."""
    type: Callable[[Walker], Awaitable[None]] | None = None


async def _a_flight(walker: Walker) -> None:
    """Types a flight that ends a little low, field by field, and stops before saving."""
    await walker.until(lambda: getattr(walker.app.screen, "form", None) is not None)
    await walker.press("f5")
    texts = {
        "pilot": "Ada Brink",
        "A1-417.soc_departure_pct": "94", "A1-417.temp_departure_c": "12", "A1-417.soh_pct": "86",
        "A3-827.soc_departure_pct": "95", "A3-827.temp_departure_c": "12", "A3-827.soh_pct": "87",
        "pilot_estimate_soc_pct": "38", "off_blocks": "0805", "takeoff": "0812", "landing": "0853", "on_blocks": "0857",
        "climb_ft": "3000", "level_min": "26", "landings_day": "1", "A1-417.soc_landing_pct": "28", "A1-417.temp_max_c": "31",
        "A3-827.soc_landing_pct": "31", "A3-827.temp_max_c": "30", "place_to": "Skarholm",
    }  # fmt: skip
    fields = walker.app.screen.fields.by_name  # type: ignore[attr-defined] # the form has them
    for name, text in texts.items():
        fields[name].box.value = text
        await walker.pilot.pause()
    fields["remarks"].focus()


async def _six_circuits(walker: Walker) -> None:
    boxes = walker.app.screen.fields.boxes  # type: ignore[attr-defined] # the form has them
    for name, text in {
        "circuits": "6",
        "A1-417.temp_departure_c": "12",
        "A3-827.temp_departure_c": "12",
    }.items():
        boxes[name].box.value = text
        await walker.pilot.pause()


PICTURES: Final = {
    picture.name: picture
    for picture in (
        Picture("today", (100, 34), ("t",), "Flags without an answer"),
        Picture("log", (110, 40), ("l",), "below the reserve", _a_flight),
        Picture("plan", (110, 42), ("n",), "Go-around", _six_circuits),
        Picture("rates", (100, 36), ("r",), "Who flies"),
        Picture("student", (100, 30), ("o", "f4", "down", "enter"), "Own error"),
        Picture("pack", (100, 34), ("p", "enter"), "First to come"),
    )
}


@contextmanager
def sample_desk(folder: Path) -> Iterator[Desk]:
    """A desk on a copy of the sample, at the fixed time."""
    path = folder / "club.logbook"
    shutil.copyfile(sample_file(), path)
    path.chmod(0o600)
    with Book.open(path) as book:
        yield Desk(book, clock=lambda: f"{NOW:%Y-%m-%dT%H:%MZ}", drafts=Drafts(path, folder / "drafts"))


async def draw(picture: Picture, folder: Path) -> tuple[str, str]:
    """Goes to the screen. Returns the picture as SVG and the screen as text."""
    with sample_desk(folder) as desk:
        desk.set("operator", "Ada Brink")
        async with walk(desk, picture.size) as walker:
            if picture.name in ("log", "plan"):
                await _take_aeroplane(walker, picture.keys[0])
            else:
                for key in picture.keys:
                    await walker.press(key)
                    await walker.pilot.pause(0.1)
            if picture.type is not None:
                await picture.type(walker)
            await walker.until(picture.shows)
            await _settle(walker)
            return _plain(walker.app.export_screenshot(title="logbook")), walker.text


def _plain(svg: str) -> str:
    """The picture without fonts to be fetched and without the buttons of a window: a terminal may look otherwise."""
    for pattern in (_REMOTE_FONT, _BUTTONS, _COMMENT):
        svg = pattern.sub("", svg)
    return "".join(f"{line.rstrip()}\n" for line in svg.splitlines())


async def _take_aeroplane(walker: Walker, key: str) -> None:
    """Opens a form for ZZ-AMP."""
    await walker.press(key)
    await walker.until("[ZZ-OHM]")
    from logbook.ui.widgets.choice_field import ChoiceField

    choice = next(iter(walker.app.screen.query(ChoiceField)))
    choice.value = "ZZ-AMP"
    await walker.until("[ZZ-AMP]")
    await _settle(walker)


async def _settle(walker: Walker) -> None:
    """Waits until nothing on the screen changes any more."""
    last, same = "", 0
    while same < 4:
        await walker.pilot.pause(0.1)
        same = same + 1 if walker.text == last else 0
        last = walker.text


def words(svg: str) -> list[str]:
    """The lines of a picture, each as its words."""
    rows: dict[int, list[tuple[float, str]]] = {}
    for node in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):  # noqa: S314 - our own file
        place = re.search(r"-line-(\d+)\)", node.get("clip-path", ""))
        if place:
            rows.setdefault(int(place[1]), []).append((float(node.get("x", "0")), node.text or ""))
    lines = ("".join(text for _, text in sorted(rows[row])) for row in sorted(rows))
    return [line for line in (only_words(line) for line in lines) if line]


def only_words(line: str) -> str:
    """A line without blanks, curves, edges and the marks of scroll bars."""
    return "".join(re.findall(r"[^\s\u00a0\u2500-\u28ff]", line))


def main(names: list[str]) -> None:
    """Draws the pictures anew."""
    os.environ.pop("NO_COLOR", None)
    os.environ["TEXTUAL_ANIMATIONS"] = "none"
    FOLDER.mkdir(exist_ok=True)
    for picture in PICTURES.values():
        if names and picture.name not in names:
            continue
        with tempfile.TemporaryDirectory() as folder:
            os.environ["LOGBOOK_STATE"] = folder
            svg, text = asyncio.run(draw(picture, Path(folder)))
        (FOLDER / f"{picture.name}.svg").write_text(svg, encoding="utf-8")
        sys.stdout.write(text + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
