"""The menu: everything that can be done here, made from the table of actions."""

from __future__ import annotations

from textual.screen import Screen

from logbook.ui.actions import Action, actions_of, shown_key
from logbook.ui.widgets.pick_box import Pick, PickBox


def picks_of(screen: str) -> list[Pick]:
    """The actions of a screen as possibilities; those of the screen first, then the sections."""
    actions = [action for action in actions_of(screen) if action.id != "menu"]
    ordered = sorted(
        actions, key=lambda action: (action.id.startswith("go."), not action.screens, action.rank)
    )
    return [Pick(action.id, _words(action), action.help, shown_key(action, screen)) for action in ordered]


def _words(action: Action) -> str:
    return f"Go to {action.words}" if action.id.startswith("go.") else action.words


def open_menu(screen: Screen[object], name: str) -> None:
    """Opens the menu over a screen and does what is picked, as its key would."""
    calls = {action.id: action.call for action in actions_of(name)}

    async def run(picked: str | None) -> None:
        if picked is not None:
            await screen.run_action(calls[picked])

    screen.app.push_screen(PickBox("What can be done here", picks_of(name)), run)
