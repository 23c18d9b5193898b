"""Where the screens are: sections by name, and the screen that shows one record of a kind. Loaded when they are opened.

To add a section:

1. write `logbook/ui/screens/NAME.py` with a class that extends `BookScreen` (screens/base.py) and says
   `NAME`, `SECTION`, `HEADING`, `BINDINGS = [*bindings_of(NAME), ...]`, `CSS_PATH = STYLES / "NAME.tcss"` if it has a style
   sheet, `body()` (its widgets) and `fill()` (asks `self.desk` and shows; called each time the screen comes to the front);
2. enter it below; its letter and words are in `actions.py`, where every action it has is listed too: an action `add`
   calls `action_add` of the screen;
3. write `logbook/ui/help/NAME.md`: which question the screen answers, what each figure means and where it comes from;
4. slow questions: `self.ask("topic", lambda desk: desk.rates(name), self.show_rates)`; what is wrong: `self.trouble(error)`;
   one record: `self.logbook.open_record("pack", serial_no)`; another section: `self.logbook.action_go("plan")`.

tests/ui/test_app.py opens every section and checks that each key in the table has something to call.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from logbook.ui.screens.base import BookScreen


class Place(NamedTuple):
    """Module in `logbook.ui.screens` and class."""

    module: str
    name: str

    def load(self) -> type[BookScreen]:
        """The class of the screen."""
        module = import_module(f"logbook.ui.screens.{self.module}")
        screen: type[BookScreen] = getattr(module, self.name)
        return screen


SECTION_SCREENS: Final = {
    "today": Place("today", "TodayScreen"),
    "flights": Place("flights", "FlightsScreen"),
    "log": Place("log_flight", "LogFlightScreen"),
    "charging": Place("charging", "ChargingScreen"),
    "packs": Place("packs", "PacksScreen"),
    "plan": Place("plan", "PlanScreen"),
    "rates": Place("rates", "RatesScreen"),
    "people": Place("people", "PeopleScreen"),
    "maintenance": Place("maintenance", "MaintenanceScreen"),
    "exports": Place("exports", "ExportsScreen"),
    "setup": Place("setup", "SetupScreen"),
}
"""Each section's screen; made once, without arguments, and kept, so that a list keeps its place."""

RECORD_SCREENS: Final = {
    "flight": Place("flight", "FlightScreen"),
    "charge": Place("charge", "ChargeScreen"),
    "pack": Place("pack", "PackScreen"),
    "person": Place("person", "PersonScreen"),
    "defect": Place("defect", "DefectScreen"),
    "plan": Place("plan_kept", "KeptPlanScreen"),
}
"""Kinds with a screen of their own, made with the record's id; any other kind is shown by `record.RecordScreen`."""


def record_screen(kind: str, record_id: str, section: str) -> BookScreen:
    """A new screen that shows one record, opened from a section."""
    place = RECORD_SCREENS.get(kind)
    if place is not None:
        return place.load()(record_id)  # screens of records take the id
    from logbook.ui.screens.record import RecordScreen

    return RecordScreen(kind, record_id, section)
