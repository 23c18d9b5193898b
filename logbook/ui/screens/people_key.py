"""Who signs, and the passphrase of their key; a key is made here where somebody has none."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from logbook.errors import DataRefused, LogbookError
from logbook.ui.screens.people_taught import ask_whose
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.words_box import WordsBox

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen

Then = Callable[[list[str], str, str], None]
"""Is given the flights, the name and the passphrase, which it must not keep."""


def ask_signer(screen: BookScreen, what: str, usual: str, teachers: Mapping[str, str], then: Then) -> None:
    """Asks who signs, whether also what others taught, and for their passphrase.

    Args:
        screen: the one over which it is asked.
        what: what is signed, in words.
        usual: who is offered first.
        teachers: who taught or commanded, by id of the flights to sign; empty where nobody is named.
        then: does it.
    """
    try:
        signers = screen.desk.people.signers()
    except LogbookError as error:
        screen.trouble(error)
        return
    here = {one.person for one in signers if one.key_here}
    picks = [
        Pick(
            one.person,
            one.person,
            "their key is on this computer" if one.key_here else "no key here: make one",
        )
        for one in signers
    ]

    def picked(name: str | None) -> None:
        if name is not None:
            ask_whose(screen, teachers, name, lambda flights: secretly(name, flights))

    def secretly(name: str, flights: list[str]) -> None:
        said = what if len(flights) == len(teachers) else f"{len(flights)} of {what}"
        if name in here:
            _ask_passphrase(screen, said, name, lambda secret: then(flights, name, secret))
        else:
            _ask_new(screen, name, lambda secret: then(flights, name, secret))

    box = PickBox(
        f"Countersign {what}: who signs?", picks, hint="The one who taught or supervised.", value=usual
    )
    screen.app.push_screen(box, picked)


def _ask_passphrase(screen: BookScreen, what: str, name: str, then: Callable[[str], None]) -> None:
    def given(passphrase: str | None) -> None:
        if passphrase is not None:
            then(passphrase)

    box = WordsBox(
        f"Passphrase of {name}",
        more=f"You sign {what} as it stands now; a later change will show. The passphrase is not kept.",
        needed="Without the passphrase the key cannot be opened.",
        secret=True,
    )
    screen.app.push_screen(box, given)


def _ask_new(screen: BookScreen, name: str, then: Callable[[str], None]) -> None:
    """A new passphrase twice, then the key, whose fingerprint is shown to be read out."""

    def first(passphrase: str | None) -> None:
        if passphrase is not None:
            screen.app.push_screen(
                WordsBox("The same again", needed="Type it once more.", secret=True),
                lambda again: second(passphrase, again),
            )

    def second(passphrase: str, again: str | None) -> None:
        if again is None:
            return
        if again != passphrase:
            differ = DataRefused(
                "The two passphrases are not the same: nothing was made.", next_step="Sign again."
            )
            screen.trouble(differ, "No key was made")
            return
        try:
            fingerprint = screen.desk.people.make_key(name, passphrase)
        except LogbookError as error:
            screen.trouble(error, "No key was made")
            return
        _show(screen, name, fingerprint, lambda: then(passphrase))

    box = WordsBox(
        f"A new key for {name}: choose a passphrase",
        more="Only its owner may know it: who knows it can sign in that name. Eight characters or more; "
        "nobody can recover it. The key is kept on this computer, outside the book.",
        needed="A key without a passphrase protects nothing.",
        secret=True,
    )
    screen.app.push_screen(box, first)


def _show(screen: BookScreen, name: str, fingerprint: str, then: Callable[[], None]) -> None:
    """The fingerprint, and whether to sign now."""

    def picked(answer: str | None) -> None:
        if answer == "sign":
            then()

    picks = [Pick("sign", "Sign now"), Pick("later", "Later")]
    hint = (
        f"Fingerprint of {name}'s new key: {fingerprint}. Read it out to those who rely on it; "
        "they keep it with: logbook key pin NAME"
    )
    screen.app.push_screen(PickBox("The key is made.", picks, hint=hint), picked)
