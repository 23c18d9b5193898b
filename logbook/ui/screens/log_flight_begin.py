"""What to go on with when a flight is to be logged: what was begun and not saved, who is out, or a new flight."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from logbook.services.drafts import Draft
from logbook.services.typed_time import clock_text
from logbook.services.unfinished import entry_of
from logbook.ui.widgets.pick_box import Pick, PickBox

if TYPE_CHECKING:
    from logbook.services.desk import Desk
    from logbook.ui.screens.log_flight import LogFlightScreen

_THROW_AWAY = "throw-away"


def begin(screen: LogFlightScreen) -> None:
    """Begins a new flight, or asks first where something is unfinished or somebody is out."""
    desk = screen.desk
    drafts = [draft for draft in desk.unfinished() if draft.kind == "flight"]
    picks = offers(desk, drafts)
    if not picks:
        screen.call_later(screen.work_on, desk.begin_flight(desk.facts.fleet()[0]))
        return
    picks += [Pick(f"new:{name}", f"A new flight of {name}") for name in desk.facts.fleet()]
    if drafts:
        picks.append(Pick(_THROW_AWAY, "Throw away an unfinished entry"))
    box = PickBox("Log a flight", picks, hint="Enter takes the first, arrows choose, Esc leaves.")
    screen.app.push_screen(box, partial(_picked, screen, drafts))


def offers(desk: Desk, drafts: list[Draft]) -> list[Pick]:
    """Unfinished entries and open flights, as they are offered."""
    found = []
    for draft in drafts:
        entry = entry_of(draft, desk.measures)
        what = "closing of" if entry.closing else "flight of"
        help_text = f"{len(entry.values)} fields; last key {draft.changed[:10]} {draft.changed[11:16]} UTC"
        found.append(
            Pick(f"draft:{draft.record_id}", f"Go on: {what} {entry.aircraft}, {entry.day}", help_text)
        )
    begun = {draft.record_id for draft in drafts}
    for flight in desk.facts.open_flights():
        if flight["flight_id"] in begun:
            continue
        since = flight["off_blocks"] or flight["entered_at"]
        when = f" since {clock_text(since, 'UTC')[:2]}:{clock_text(since, 'UTC')[2:]} UTC" if since else ""
        day = "" if since and since[:10] == flight["date"] else f" of {flight['date']}"
        pilot = f"with {flight['pilot']}" if flight["pilot"] else ""
        found.append(
            Pick(f"open:{flight['flight_id']}", f"{flight['aircraft']} is out{day}{when}: close it", pilot)
        )
    return found


async def _picked(screen: LogFlightScreen, drafts: list[Draft], value: str | None) -> None:
    desk = screen.desk
    what, _, rest = (value or "").partition(":")
    if what == "draft":
        draft = next(draft for draft in drafts if draft.record_id == rest)
        await screen.work_on(entry_of(draft, desk.measures))
    elif what == "open":
        await screen.work_on(desk.go_on_with(rest))
    elif what == "new":
        await screen.work_on(desk.begin_flight(rest))
    elif what == _THROW_AWAY:
        picks = [pick for pick in offers(desk, drafts) if pick.value.startswith("draft:")]
        box = PickBox("Throw away for good", picks, hint="Enter throws the entry away, Esc keeps it.")
        screen.app.push_screen(box, partial(_throw_away, screen, drafts))
    else:
        await screen.leave()
        screen.logbook.action_go("today")


def _throw_away(screen: LogFlightScreen, drafts: list[Draft], value: str | None) -> None:
    for draft in drafts:
        if value == f"draft:{draft.record_id}":
            screen.desk.drafts.drop(draft)
    begin(screen)
