"""Answering a flag in words: what it says, what to do, and what was found out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

from logbook.errors import LogbookError
from logbook.ui.widgets.pick_box import Pick, PickBox
from logbook.ui.widgets.words_box import WordsBox

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen

Flag = Mapping[str, Any]
KINDS: Final = ("flight", "charge", "observation", "maintenance")
"""Kinds of record that can have flags."""
_CALLED: Final = {"maintenance": "entry"}


def answer_flag(screen: BookScreen, record_id: str, said: str = "", *, kind: str = "flight") -> None:
    """Asks which flag of a record, where it has several without an answer, and then for the words.

    Args:
        screen: where the key was pressed.
        record_id: its id.
        said: what the line one is on says: where that is a flag without an answer, it is the one that is meant.
        kind: one of `KINDS`.
    """
    try:
        shown = screen.desk.show(kind, record_id)
    except LogbookError as error:
        screen.trouble(error)
        return
    open_flags = [flag for flag in shown["flags"] if not flag["answered"]]
    meant = [flag for flag in open_flags if screen.desk.measures.sentence(flag["words"]) == said]
    if not open_flags:
        thing = _CALLED.get(kind, kind)
        words = f"Every flag of this {thing} is answered." if shown["flags"] else f"This {thing} has no flag."
        screen.notify(words, markup=False)
    elif len(open_flags) == 1 or meant:
        _ask_words(screen, record_id, (meant or open_flags)[0])
    else:
        picks = [
            Pick(str(place), f"{flag['severity']}: {screen.desk.measures.sentence(flag['words'])}")
            for place, flag in enumerate(open_flags)
        ]

        def picked(place: str | None) -> None:
            if place is not None:
                _ask_words(screen, record_id, open_flags[int(place)])

        screen.app.push_screen(PickBox("Which flag?", picks), picked)


def _ask_words(screen: BookScreen, record_id: str, flag: Flag) -> None:
    from logbook.services.rule_words import what_to_do

    def keep(words: str | None) -> None:
        if words is None:
            return
        try:
            screen.desk.answer(record_id, flag, words)
        except LogbookError as error:
            screen.trouble(error, "Not answered")
        else:
            screen.refill()
            screen.notify("Answered. It opens again if its figure changes.", markup=False)

    box = WordsBox(
        "Answer the flag: what was found out?",
        more=f"{screen.desk.measures.sentence(flag['words'])}\nWhat to do: {what_to_do(flag['rule'])}",
        needed="An answer needs words.",
    )
    screen.app.push_screen(box, keep)
