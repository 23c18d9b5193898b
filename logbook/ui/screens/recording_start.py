"""Asks from when the seconds of a recording count, where nothing in the file or its mapping says so."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from logbook.ui.screens.base import BookScreen
from logbook.ui.screens.form import FormScreen


def ask_start(screen: BookScreen, path: Path, day: str, then: Callable[[str], None]) -> None:
    """Asks, and goes on with the moment ISO; not where one leaves without an answer.

    Args:
        screen: in front of which it is asked.
        path: the recording.
        day: meant where only a time is typed; empty: the day of the file.
        then: called with the moment.
    """
    form = screen.desk.exchange.start_form(path, day)

    def answered(start: str | None) -> None:
        if start is not None:
            then(start)

    screen.app.push_screen(
        FormScreen(form, lambda record: record["start"], section=screen.SECTION, page="import"), answered
    )
