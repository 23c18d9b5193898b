"""The first start: begin a book with a short form, look at the sample, or look around first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from logbook.ui.screens.form import FormScreen, Kept
from logbook.ui.widgets.pick_box import Pick, PickBox

if TYPE_CHECKING:
    from logbook.ui.app import LogbookApp

INTRO = (
    "Only the registration is needed. What is left empty can be added later in Setup; the words below say what cannot be "
    "told until then. Have the flight manual at hand. F2 saves, Esc keeps what was typed for later."
)
OPEN_SAMPLE = "open the sample"
"""What the app ends with where the sample is wanted instead."""


def ask_first(app: LogbookApp) -> None:
    """Asks how to begin."""
    picks = [
        Pick("begin", "Begin a book", "your aeroplane, its packs, the reserve: one short form"),
        Pick("sample", "Look at the sample", "a scratch copy, to be tried and forgotten"),
        Pick("later", "Look around first", "nothing is written; Setup begins the book at any time"),
    ]
    if not app.sample_offered:
        del picks[1]

    def picked(what: str | None) -> None:
        if what == "begin":
            first_form(app)
        elif what == "sample":
            app.exit(OPEN_SAMPLE)

    app.push_screen(PickBox("This book is empty. How do you want to begin?", picks), picked)


def first_form(app: LogbookApp) -> None:
    """Opens the form; afterwards the book is ready for its first flight."""

    def save(values: dict[str, Any]) -> str:
        return app.desk.save_first({name: value for name, value in values.items() if value is not None})

    form = app.desk.first_form()
    screen = FormScreen(
        form,
        save,
        section="setup",
        kept=Kept("first-start", "first", form.title),
        intro=INTRO,
        page="first-start",
    )

    def done(registration: str | None) -> None:
        if registration:
            app.notify(
                f"{registration} is in the book. Log the first flight with l.", markup=False, timeout=8
            )

    app.push_screen(screen, done)
