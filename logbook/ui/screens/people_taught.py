"""Before somebody signs: entries that name another instructor are told apart, so that nobody certifies them by one key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from logbook.ui.widgets.pick_box import Pick, PickBox

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen

_MINE, _ALL = "mine", "all"


def ask_whose(
    screen: BookScreen, teachers: Mapping[str, str], name: str, then: Callable[[list[str]], None]
) -> None:
    """Asks whether entries that name another instructor are to be signed too; says nothing where there are none.

    Args:
        screen: the one over which it is asked.
        teachers: who taught or commanded, by id of the flight; empty where nobody is named.
        name: who signs.
        then: is given the flights to sign.
    """
    mine = [flight_id for flight_id, teacher in teachers.items() if teacher in ("", name)]
    if len(mine) == len(teachers):
        then(mine)
        return
    others = sorted({teacher for teacher in teachers.values() if teacher not in ("", name)})
    count, whole = len(teachers) - len(mine), len(teachers)
    picks = [Pick(_MINE, f"Leave them out: sign {len(mine)} of {whole}")] if mine else []
    certified = f"all the same: sign {whole}" if whole > 1 else "it all the same"
    picks.append(Pick(_ALL, f"{name} certifies {certified}"))

    def picked(answer: str | None) -> None:
        if answer is not None:
            then(mine if answer == _MINE else list(teachers))

    heading = (
        f"{count} of {whole} entries {'names' if count == 1 else 'name'} another instructor: {', '.join(others)}"
        if whole > 1
        else f"This entry names another instructor: {', '.join(others)}"
    )
    hint = "Whoever signs certifies the lesson. Enter takes the first, arrows choose, Esc signs nothing."
    screen.app.push_screen(PickBox(heading, picks, hint=hint), picked)
