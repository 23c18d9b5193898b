"""Who is at the keys: picked once, changed with one key; every entry is kept under that name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.ui.widgets.pick_box import Pick, PickBox

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen

NOBODY = "\0nobody"


def ask_operator(screen: BookScreen) -> None:
    """Asks who is at the keys; a name the book does not know may be typed."""
    desk = screen.desk
    names = [Pick(name, name) for name in desk.facts.people()]
    picks = [*names, Pick(NOBODY, "Nobody named", "Entries are kept without a name.")]

    def keep(picked: str | None) -> None:
        if picked is not None:
            desk.set("operator", None if picked == NOBODY else picked)
            screen.paint_head()

    box = PickBox(
        "Who is at the keys?",
        picks,
        hint="Every entry and correction is kept under this name. Type to find, or type a name.",
        free="This name",
        value=desk.operator or "",
    )
    screen.app.push_screen(box, keep)
