"""Countersigning one flight from its own screen: who signs, whether they taught it, and the passphrase of their key."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.errors import LogbookError
from logbook.ui.screens.people_key import ask_signer

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen


def ask_signature(screen: BookScreen, flight_id: str) -> None:
    """Asks who signs and for the passphrase, and signs the flight as it is now; a key is made where there is none."""

    def sign(flight_ids: list[str], name: str, passphrase: str) -> None:
        try:
            done = screen.desk.people.sign(flight_ids, name, passphrase)
        except LogbookError as error:
            screen.trouble(error, "Not signed")
        else:
            screen.refill()
            screen.notify(done, markup=False)

    teachers = screen.desk.people.teachers([flight_id])
    usual = teachers[flight_id] or screen.desk.operator or ""
    ask_signer(screen, "this flight", usual, teachers, sign)
