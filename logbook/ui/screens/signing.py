"""Countersigning a flight: who signs, and the passphrase of their key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.errors import LogbookError
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.words_box import WordsBox

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen


def ask_signature(screen: BookScreen, flight_id: str) -> None:
    """Asks who signs and for the passphrase, and signs the flight as it is now."""
    names = screen.desk.facts.people()

    def picked(name: str | None) -> None:
        if name is not None:
            _ask_passphrase(screen, flight_id, name)

    hint = "Whose key is it? A key is made with the command: logbook key new NAME"
    box = PickBox(
        "Countersign: who signs?",
        [Pick(name, name) for name in names],
        hint=hint,
        value=screen.desk.operator or "",
    )
    screen.app.push_screen(box, picked)


def _ask_passphrase(screen: BookScreen, flight_id: str, name: str) -> None:
    def sign(passphrase: str | None) -> None:
        if passphrase is None:
            return
        try:
            done = screen.desk.sign(flight_id, name, passphrase)
        except LogbookError as error:
            screen.trouble(error, "Not signed")
        else:
            screen.refill()
            screen.notify(done, markup=False)

    box = WordsBox(
        f"Passphrase of {name}",
        more="You sign the flight as it stands now. A later change will show.",
        needed="Without the passphrase the key cannot be opened.",
        secret=True,
    )
    screen.app.push_screen(box, sign)
