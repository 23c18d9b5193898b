"""Asking for a paper: as of when, and where to; it is written in a thread, and the files are named."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from logbook.ui.screens.form import FormScreen

if TYPE_CHECKING:
    from logbook.services.paper_files import Written
    from logbook.ui.screens.base import BookScreen

INTRO = "F2 writes it, to print and as text. Empty fields: as of now, into the folder that stands there."


def ask_paper(screen: BookScreen, what: str, which: str = "") -> None:
    """Opens the short form for a paper.

    Args:
        screen: the screen it is asked from.
        what: pack or aircraft.
        which: serial number or registration; empty: it is asked for.
    """

    def write(values: dict[str, Any] | None) -> None:
        if values is None:
            return
        given = {name: value for name, value in values.items() if value is not None}
        screen.notify("Writing …", markup=False, timeout=2)
        screen.ask("paper", lambda desk: desk.packs.write_papers(what, which, given), said)

    def said(written: Written) -> None:
        paths = written.files
        names = ", ".join([paths[0].name, *(path.suffix for path in paths[1:])])
        screen.notify(
            f"Written: {names} in {paths[0].parent}. {written.said}".strip(), markup=False, timeout=12
        )

    form = screen.desk.packs.paper_form(what, which)
    screen.app.push_screen(
        FormScreen(form, lambda values: values, section=screen.SECTION, intro=INTRO, page="papers"), write
    )
