"""Every screen there is, and the way to it from Today: what the tests walk that look at all of them."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final, NamedTuple

from logbook.paths import sample_file
from logbook.services.desk import Desk
from logbook.services.drafts import Drafts
from logbook.store.database import Book
from tests.ui.walk import Walker

NOW: Final = "2026-11-25T10:00Z"
"""A month after the last flight of the sample."""


class Stop(NamedTuple):
    """A screen, by its section, what is opened from there, and the keys then pressed."""

    name: str
    section: str
    open: Callable[[Any], object] | None = None
    keys: tuple[str, ...] = ()


def _record(kind: str, record_id: str) -> Callable[[Any], object]:
    return lambda app: app.open_record(kind, record_id)


def _new(kind: str) -> Callable[[Any], object]:
    return lambda app: app.new_record(kind)


def _export(which: str) -> Callable[[Any], object]:
    def show(app: Any) -> None:
        from logbook.ui.screens.exports_form import export_form

        app.push_screen(export_form(app.desk, which))

    return show


def _student(app: Any) -> None:
    from logbook.ui.screens.student import StudentScreen

    app.push_screen(StudentScreen("Jun Parel"))


def _list(kind: str) -> Callable[[Any], object]:
    def show(app: Any) -> None:
        from logbook.ui.screens.setup import KINDS
        from logbook.ui.screens.setup_list import SetupList

        title, about = KINDS[kind]
        app.push_screen(SetupList(kind, title, about))

    return show


def _first(app: Any) -> None:
    from logbook.ui.screens.first_start import first_form

    first_form(app)


SECTION_STOPS: Final = tuple(
    Stop(name, name)
    for name in (
        "today",
        "flights",
        "log",
        "charging",
        "packs",
        "plan",
        "rates",
        "people",
        "maintenance",
        "exports",
        "setup",
    )
)
RECORD_STOPS: Final = (
    Stop("flight", "flights", _record("flight", "B00124")),
    Stop("charge", "charging", _record("charge", "BC00246")),
    Stop("pack", "packs", _record("pack", "A1-417")),
    Stop("pack plots", "packs", _record("pack", "A1-417"), ("g",)),
    Stop("pack figures", "packs", _record("pack", "A1-417"), ("u",)),
    Stop("person", "people", _record("person", "Jun Parel")),
    Stop("student", "people", _student),
    Stop("students", "people", None, ("f4",)),
    Stop("signing", "people", None, ("k",)),
    Stop("defect", "maintenance", _record("defect", "D-014")),
    Stop("aeroplane", "setup", _record("aircraft", "ZZ-AMP")),
    Stop("place", "setup", _record("place", "Skarholm")),
    Stop("plan answered", "plan", None, ("4",)),
    Stop("whole plan", "plan", None, ("f3",)),
    Stop("kept plan", "plan", None, ("f2",)),
    Stop("kept plans", "plan", None, ("f4",)),
    Stop("rate plots", "rates", None, ("g",)),
    Stop("rate figures", "rates", None, ("u",)),
    *(
        Stop(f"list {kind}", "setup", _list(kind))
        for kind in ("aircraft", "pack-type", "pack", "installation", "person", "person-item", "place")
    ),
)
BOX_STOPS: Final = (
    Stop("menu", "today", None, ("f8",)),
    Stop("who", "today", None, ("b",)),
    Stop("order", "flights", None, ("j",)),
    Stop("help", "today", None, ("h",)),
)
FORM_STOPS: Final = (
    Stop("first start", "setup", _first),
    Stop("new aeroplane", "setup", _new("aircraft")),
    Stop("plan form", "plan"),
    Stop("log form", "log"),
    Stop("take from a track", "log", None, ("f7",)),
    Stop("new pack", "setup", _new("pack")),
    Stop("correct flight", "flights", _record("flight", "B00124"), ("e",)),
    Stop("correct charge", "charging", _record("charge", "BC00246"), ("e",)),
    Stop("new charge", "charging", None, ("a",)),
    Stop("find flights", "flights", None, ("i",)),
    Stop("export whole", "exports", _export("package")),
    Stop("import", "exports", lambda app: app.push_screen(_importing())),
    Stop("check a paper", "exports", lambda app: app.push_screen(_checking())),
)
ALL_STOPS: Final = (*SECTION_STOPS, *RECORD_STOPS, *BOX_STOPS, *FORM_STOPS)


def _importing() -> Any:
    from logbook.ui.screens.imports import ImportScreen

    return ImportScreen(merging=False)


def _checking() -> Any:
    from logbook.ui.screens.paper_check import PaperCheckScreen

    return PaperCheckScreen()


def sample_desk(folder: Path) -> Desk:
    """A desk on a copy of the sample, at a fixed time."""
    path = folder / "sample.logbook"
    path.write_bytes(sample_file().read_bytes())
    path.chmod(0o600)
    return Desk(Book.open(path), clock=lambda: NOW, drafts=Drafts(path, folder / "drafts"))


async def go(walker: Walker, stop: Stop) -> None:
    """Goes to a screen, and waits until all its answers are there."""
    app = walker.app
    app.action_go(stop.section)
    await settled(walker)
    if stop.open is not None:
        stop.open(app)
        await settled(walker)
    for key in stop.keys:
        await walker.press(key)
        await settled(walker)


async def settled(walker: Walker) -> None:
    """Waits until no answer is to come and the boxes that wait for the cursor to rest have been filled."""
    for _ in range(400):
        await walker.pilot.pause(0.02)
        if not getattr(walker.app.screen, "waiting", False) and not _first_look_to_come(walker):
            break
    await walker.pilot.pause()
    await walker.painted()


def _first_look_to_come(walker: Walker) -> bool:
    """Today looks through charges and observations a moment after it was painted first, and shows what it found then."""
    from logbook.ui.screens.today import TodayScreen

    app = walker.app
    return isinstance(app.screen, TodayScreen) and app.desk.charging.known_flagged() is None
